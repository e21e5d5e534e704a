"""The command that writes one offline document."""

from pathlib import Path

import click

from rollsim.cautions import CAUTION
from rollsim.cli.parts import JSON, BadInput, say, show
from rollsim.report.document.collector import rare_collections


@click.command("report", epilog=CAUTION)
@click.argument(
    "histories",
    metavar="HIST.h5|NAME_replicates.json...",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path),
)
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("report.html"),
    show_default=True,
    help="HTML file to write; a report of that name is replaced.",
)
@click.option("--question", metavar="TEXT", help="Question that the report answers.")
@click.option(
    "--no-verdict",
    is_flag=True,
    help="Leave out verdict, stresses and closure loads, which take most of the time; the report "
    "says so.",
)
@click.option(
    "--afresh",
    is_flag=True,
    help="Evaluate again what is kept of an earlier report, comparison or verdict of a file.",
)
@JSON
def report_command(histories, output, question, no_verdict, afresh, as_json):
    """One file with everything: verdict, figures, motion player, inputs, how to make it again.

    The file needs no network and nothing beside it: open it from disk, send it, print it to PDF.
    Every figure brings its numbers as CSV and its content in words. In the player, rollers, cage
    and rings move with their contact forces; a click on one of the hardest contacts moves player,
    heat map and time plots there. Two cases are shown side by side and move in step.

    Histories whose cases differ in their seeds alone are runs of one execution; the case whose
    file comes first is A, the next B. Motion and figures are those of its first run, the verdict
    is that of all of them.

    \b
    Example: rollsim report riveted.h5 -o report.html
             rollsim report riveted.h5 tenon.h5 -o report.html --question "Rivets or tenons?"
    """
    folders = [str(path) for path in histories if path.is_dir()]
    if folders:
        raise BadInput(f"{', '.join(folders)}: a folder, not a history file.")
    if output.suffix.lower() not in (".html", ".htm"):
        raise BadInput(f"A report ends in .html; '{output.name}' does not.")
    if not output.parent.is_dir():
        raise BadInput(f"There is no folder {output.parent} for the report.")
    with rare_collections():
        # Imported here: it takes seconds that no other command has to wait for.
        from rollsim.report.document.page import write_report
        from rollsim.sweep.cores import cores_available

        jobs = cores_available()[0]
        written = write_report(histories, output, question, not no_verdict, say, afresh, jobs)
    size = written.stat().st_size
    found = {"report": str(written), "size_bytes": size, "verdict": not no_verdict}
    show(found, f"wrote {written} ({size / 1e6:.2f} MB)", as_json)
