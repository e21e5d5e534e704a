"""The command that holds what was found on site against histories."""

import re
from pathlib import Path

import click

from rollsim.cautions import CAUTION
from rollsim.cli.parts import (
    FOLDER,
    JSON,
    figure_options,
    results_folder,
    say,
    show,
    tell_files,
)


@click.command("evidence", epilog=CAUTION)
@click.argument("observations", metavar="OBSERVATIONS.toml", type=click.Path(path_type=Path))
@click.argument(
    "histories",
    metavar="HIST.h5|NAME_replicates.json...",
    nargs=-1,
    required=True,
    type=click.Path(path_type=Path),
)
@FOLDER
@figure_options
@JSON
def evidence_command(observations, histories, output, as_json):
    """What was found on a cage, held against several cases: evidence by hypothesis.

    OBSERVATIONS.toml holds [site] and tables [[observation]] with kind = broken, intact (parts),
    most_worn (face of the pockets), worn_pockets, land_marks, line (a frequency) or life; see
    cases/observations (installed: rollsim/case/examples/observations). Every case is scored on each
    by a written criterion: agrees, contradicts or cannot tell. Runs of one case with other seeds
    count as one hypothesis.

    Writes the table (figure and CSV) and, for each case, the cage to scale with impulse and
    friction work of every pocket face, load on the lands and use of the closures, to hold beside a
    photograph.

    \b
    Example: rollsim evidence site.toml riveted.h5 tenon.h5 -o evidence
    """
    from rollsim.inquiry.judged import inquire
    from rollsim.inquiry.observations import read_observations
    from rollsim.report.inquiry_figures import draw_cage_map, draw_evidence, write_cage_map_csv
    from rollsim.report.inquiry_text import inquiry_dict, inquiry_text, write_inquiry_csv

    read = read_observations(observations)
    found = inquire(read, histories, say)
    folder = results_folder(observations, output)
    written = [
        write_inquiry_csv(found, folder / "evidence.csv"),
        draw_evidence(found, folder / "evidence_table.png").path,
    ]
    for one in found.hypotheses:
        if one.runs[0].wear is not None:
            name = f"cage_map_{re.sub('[^A-Z0-9]', '', one.letter)}"
            written.append(draw_cage_map(one.runs[0], folder / f"{name}.png").path)
            written.append(write_cage_map_csv(one.runs[0], folder / f"{name}.csv"))
    show(inquiry_dict(found), inquiry_text(found), as_json)
    tell_files(written, as_json)
