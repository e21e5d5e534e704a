"""The command that shows what a failed run did last."""

import click

from rollsim.cli.parts import FOLDER, HISTORY, JSON, results_folder, show, tell_files


@click.command("blackbox")
@HISTORY
@FOLDER
@JSON
def blackbox_command(history, output, as_json):
    """Last milliseconds of a failed run at every internal step: what failed, forces, picture.

    A run that fails leaves NAME_blackbox.h5 beside its history: all channels at the end of every
    internal step. It is an HDF5 file for any reader.

    \b
    Example: rollsim blackbox screen.h5 -o results
    """
    from rollsim.history.black_box import black_box_path, read_black_box
    from rollsim.report.black_box_figures import draw_black_box
    from rollsim.report.black_box_text import black_box_dict, black_box_text

    box = read_black_box(history)
    path = history if history.stem.endswith("_blackbox") else black_box_path(history)
    found = black_box_dict(box, path)
    written = [draw_black_box(box, results_folder(history, output) / "blackbox.png").path]
    show(found, black_box_text(found), as_json)
    tell_files(written, as_json)
