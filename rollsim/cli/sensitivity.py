"""The command that tells which values of a case its verdict rests on."""

from pathlib import Path

import click

from rollsim.cautions import CAUTION
from rollsim.cli.parts import CASE, JSON, figure_options, results_folder, say, show, tell_files
from rollsim.errors import RollsimError


@click.command("sensitivity", epilog=CAUTION)
@CASE
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for histories, picture and table; NAME_sensitivity beside CASE when not given.",
)
@click.option(
    "--vary",
    metavar="KEY=LOW:HIGH",
    multiple=True,
    help="Vary this key of the case, with values in its unit; may be repeated, goes before the "
    "range that is stated for the key. One value or more than two are allowed.",
)
@click.option(
    "--only",
    metavar="KEY",
    multiple=True,
    help="Apart from --vary, vary this key or table alone (fatigue, lubricant, ...); may be "
    "repeated.",
)
@click.option(
    "--most",
    type=click.IntRange(min=0),
    metavar="N",
    help="At most N inputs that need runs of their own, in the order of expected effect.",
)
@click.option(
    "--no-runs",
    is_flag=True,
    help="Vary only what needs no run of its own: the case alone is run.",
)
@click.option(
    "--replicates",
    type=click.IntRange(min=2),
    default=3,
    show_default=True,
    metavar="N",
    help="Runs of the case and of every variant.",
)
@click.option(
    "--duration",
    type=click.FloatRange(min=0, min_open=True),
    metavar="S",
    help="Simulated time of a run in s; the preview duration of the case when not given.",
)
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    metavar="K",
    help="Runs side by side; as many as there are physical cores when not given.",
)
@click.option(
    "--hours",
    type=click.FloatRange(min=0, min_open=True),
    metavar="H",
    help="End work after this time and report what is there; the same command goes on.",
)
@click.option("--overwrite", is_flag=True, help="Compute all runs again.")
@click.option(
    "--list", "list_table", is_flag=True, help="Show the ranges that are stated, run nothing."
)
@JSON
@figure_options
def sensitivity_command(case, output, as_json, list_table, **given):
    """Which values of a case its verdict rests on: one at a time is changed, the others stay.

    Varied are the values that the case does not give, and some that are never known exactly
    (clearances, oil in the pockets, preload), within ranges that are stated with their basis
    (--list). Every variant runs as short replicates with the seeds of those of the case; what
    touches fatigue alone is judged from the histories of the case. An effect that is smaller than
    the scatter of the runs is shown as not seen. The expected time is told first; a stopped
    command is continued by the same one.

    Cautions: short runs lack rare strong impacts, so this says what to find out first, not
    whether the cage survives (rollsim fatigue does). Values that matter only together are not
    found. The ranges are mostly engineering choices: replace them by your own.

    \b
    Example: rollsim sensitivity screen.toml --most 6
             rollsim sensitivity screen.toml --no-runs
             rollsim sensitivity screen.toml --only fatigue --vary clearance.pocket_um=300:600
    """
    from rollsim.case.read import load_case
    from rollsim.sweep.sensitivity_inputs import read_vary, table_rows

    loaded = load_case(case)
    if list_table:
        return _show_ranges(list(table_rows()), as_json)
    from rollsim.simulation.progress import Progress
    from rollsim.simulation.run import RunOptions
    from rollsim.sweep.sensitivity import sensitivity
    from rollsim.sweep.sensitivity_types import SensitivityPlan

    plan = SensitivityPlan(
        replicates=given["replicates"],
        vary=dict(map(read_vary, given["vary"])),
        only=given["only"],
        most=given["most"],
        runs=not given["no_runs"],
        jobs=given["jobs"],
        hours=given["hours"],
    )
    duration = given["duration"]
    options = RunOptions(duration=duration, preview=duration is None, overwrite=given["overwrite"])
    folder = output or case.parent / f"{case.stem}_sensitivity"
    try:
        found = sensitivity(loaded, folder, options, plan, Progress, say)
    except KeyboardInterrupt:
        raise RollsimError(
            "Stopped by the user; no run goes on. The same command goes on with the others."
        ) from None
    return _report(found, folder, as_json)


def _report(found, folder: Path, as_json):
    """Print the result, write table and picture."""
    from rollsim.report.sensitivity_figures import draw_tornado
    from rollsim.report.sensitivity_text import (
        sensitivity_dict,
        sensitivity_text,
        write_sensitivity_csv,
    )

    folder = results_folder(folder, folder)
    written = [
        write_sensitivity_csv(found, folder / "sensitivity.csv"),
        draw_tornado(found, folder / "tornado.png").path,
    ]
    show(sensitivity_dict(found), sensitivity_text(found), as_json)
    tell_files(written, as_json)


def _show_ranges(rows, as_json):
    """Print the table of ranges."""
    from rollsim.report.plain_data import table

    names = ("key", "range", "given", "basis")
    ordered = [(key, how, given, basis) for key, how, basis, given in rows]
    text = "\n".join(table(names, ordered))
    show({"ranges": [dict(zip(names, row, strict=True)) for row in ordered]}, text, as_json)
