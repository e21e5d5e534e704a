"""The command that tells whether a run is fit for use."""

import click

from rollsim.cli.parts import HISTORY, JSON, say, show
from rollsim.errors import RollsimError


@click.command("quality")
@HISTORY
@click.option(
    "--check",
    "checks",
    multiple=True,
    type=click.Choice(["tolerance", "stiffness"]),
    help="Compute a span of the run again with half the tolerance, or with raceway and pocket "
    "stiffness 20 % lower and higher (four runs); may be given twice. Results are kept in "
    "HIST.h5.quality.json and shown by peaks and fatigue too.",
)
@click.option(
    "--span",
    type=click.FloatRange(min=0, min_open=True),
    metavar="S",
    help="Time after settling that the checks compute, s; 1 s or what there is when not given.",
)
@JSON
def quality_command(history, checks, span, as_json):
    """Tell whether a run is fit for use: energy balance, refused steps, checks on request.

    Checks compare statistics of ten blocks (rms and percentiles) with those of the stored run and
    hold the change against the scatter from block to block, for two runs that differ in anything
    part after the first impacts.

    \b
    Example: rollsim quality screen.h5
             rollsim quality screen.h5 --check tolerance --check stiffness --span 2
    """
    from rollsim.analysis.quality import run_quality
    from rollsim.history.reader import open_history
    from rollsim.report.quality_text import quality_dict, quality_text

    if span is not None and not checks:
        raise click.UsageError("--span is for --check: give that too.")
    if checks:
        from rollsim.sweep.quality_checks import check_quality

        try:
            check_quality(history, list(dict.fromkeys(checks)), span, say)
        except KeyboardInterrupt:
            raise RollsimError("Stopped by the user; no check was kept.") from None
    with open_history(history) as opened:
        found = run_quality(opened)
    show(quality_dict(found), quality_text(found), as_json)
