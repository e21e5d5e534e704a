"""The command that tells how far a run is, once or until it ends."""

import json
import sys
import time

import click

from rollsim.cli.parts import HISTORY, JSON, show
from rollsim.errors import HistoryError


@click.command("status")
@HISTORY
@click.option(
    "--watch",
    is_flag=True,
    help="Refresh a view of the run (progress, peaks, cage) until it ends; Ctrl-C leaves the view "
    "and not the run.",
)
@click.option(
    "--every",
    type=click.FloatRange(min=0.2),
    metavar="S",
    help="Time between two looks of --watch, s; 2 when not given.",
)
@JSON
def status_command(history, watch, every, as_json):
    """Progress of a run, or of a set of replicates by its list, asked from a second terminal.

    Tells whether it goes on, was stopped or killed (the command that started it goes on), or
    failed; `rollsim blackbox` then shows its last milliseconds. With --watch --json, one line of
    JSON a look.

    \b
    Example: rollsim status screen.h5
             rollsim status screen.h5 --watch
             rollsim status screen_replicates.json
    """
    from rollsim.history import status_summary
    from rollsim.history.replicate_set import is_list, set_status
    from rollsim.report.status_text import set_status_text, status_text

    if every is not None and not watch:
        raise click.UsageError("--every is for --watch: give that too.")
    if is_list(history):
        if watch:
            raise click.UsageError("--watch takes a single run, not a list.")
        found = set_status(history)
        return show(found, set_status_text(found), as_json)
    if watch:
        return _watch(history, every or 2.0, as_json)
    found = status_summary(history)
    return show(found, status_text(found), as_json)


def _watch(history, pause, as_json):
    """Look again and again until the run no longer goes on."""
    try:
        while _look(history, as_json):
            time.sleep(pause)
    except KeyboardInterrupt:
        return


def _look(history, as_json):
    """One look; True while the run goes on."""
    from rollsim.history import status_summary
    from rollsim.report.plain_data import json_ready
    from rollsim.report.watch_text import watch_text, watched

    found = status_summary(history)
    try:
        view = watched(history, found)
    except HistoryError:  # finished, or begun afresh, between the two looks
        found = status_summary(history)
        view = None
    if as_json:
        click.echo(json.dumps(json_ready({**found, "latest": view}), allow_nan=False))
    else:
        if sys.stdout.isatty():
            click.clear()
        click.echo(watch_text(str(history), found, view))
    return found["state"] == "running"
