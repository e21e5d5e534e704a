"""The command that holds cages against each other."""

from pathlib import Path

import click

from rollsim.cautions import CAUTION
from rollsim.cli.parts import (
    FOLDER,
    JSON,
    BadInput,
    figure_options,
    results_folder,
    say,
    show,
    tell_files,
)


@click.command("compare", epilog=CAUTION)
@click.argument(
    "histories", metavar="A.h5 B.h5 ...", nargs=-1, required=True, type=click.Path(path_type=Path)
)
@FOLDER
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    metavar="K",
    help="Runs evaluated side by side; as many as there are physical cores when not given.",
)
@JSON
@figure_options
def compare_command(histories, output, jobs, as_json):
    """Two or more cages side by side, each by all of its runs.

    Takes histories and lists of replicates (NAME_replicates.json). Runs whose cases differ in
    their seeds alone belong together; the case whose file comes first is A, the next B.

    First the inputs that differ, then every quantity A | B with its 90 % interval over replicates
    and the probability that A is better. Cages are ranked by the governing utilisation alone, and
    only where the interval of its ratio leaves 1 out and each has three replicates or more;
    otherwise the answer is "cannot rank". What is kept of an earlier evaluation of a file is used.

    \b
    Example: rollsim compare riveted_replicates.json tenon_replicates.json -o results
    after:   rollsim run riveted.toml --replicates 8 -o riveted.h5
             rollsim run tenon.toml --replicates 8 -o tenon.h5
    """
    from rollsim.sweep.compare import compare

    missing = [str(path) for path in histories if path.is_dir()]
    if missing:
        raise BadInput(f"{', '.join(missing)}: a folder, not a history file.")
    found = compare(histories, jobs, _tell)
    from rollsim.report.compare_figures import draw_comparison
    from rollsim.report.compare_table import compare_dict, write_compare_csv
    from rollsim.report.compare_text import compare_text

    folder = results_folder(Path("comparison"), output)
    written = [*draw_comparison(found, folder), write_compare_csv(found, folder / "comparison.csv")]
    show(compare_dict(found), compare_text(found), as_json)
    tell_files(written, as_json)


def _tell(done, count):
    """Say how far the evaluation is."""
    say(f"{done} of {count} runs evaluated")
