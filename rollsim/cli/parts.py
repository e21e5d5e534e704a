"""What the commands share: options, printing, folders."""

import functools
import json
from pathlib import Path

import click

from rollsim.errors import RollsimError

JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON for machines.")
FOLDER = click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for figures and tables; NAME_results beside the file when not given.",
)
HISTORY = click.argument("history", metavar="HIST.h5", type=click.Path(path_type=Path))
CASE = click.argument("case", metavar="CASE", type=click.Path(path_type=Path))

_FORMAT = click.option(
    "--format",
    "figure_format",
    type=click.Choice(["png", "svg", "pdf"]),
    help="Format of the figures; png when not given.",
)
_WIDTH = click.option(
    "--width-mm",
    type=click.FloatRange(60.0, 400.0),
    metavar="MM",
    help="Width of the figures on paper, 60 to 400 mm (85: one column, 170: two); type keeps 7.5 to"
    " 9 points, the caption goes into NAME.txt beside each figure.",
)
_NUMBERS = click.option(
    "--csv", "numbers", is_flag=True, help="Write what each figure shows into NAME_figure.csv too."
)


def figure_options(command):
    """Give a command the options of its figures: format, width on paper, numbers.

    Parameters
    ----------
    command : callable
        Function of the command; it has the option `as_json`.

    Returns
    -------
    callable
    """

    @functools.wraps(command)
    def with_figures(*arguments, figure_format, width_mm, numbers, **options):
        from rollsim.report.paper import on_page

        suffix = f".{figure_format}" if figure_format else ""
        with on_page(width_mm, suffix, numbers) as page:
            answer = command(*arguments, **options)
        tell_files(page.beside, options.get("as_json", False))
        return answer

    return _FORMAT(_WIDTH(_NUMBERS(with_figures)))


class BadInput(RollsimError):
    """Input that cannot be used (exit code 2)."""

    exit_code = 2


def say(text):
    """Tell the user something that is not the result.

    Parameters
    ----------
    text : str
        Goes to the error stream.
    """
    click.echo(text, err=True)


def show(found, text, as_json):
    """Print a result as JSON or as text.

    Parameters
    ----------
    found : dict
        Plain data.
    text : str
        The same in words.
    as_json : bool
        Which of them.
    """
    from rollsim.report.plain_data import json_ready

    found = json_ready(found)
    click.echo(json.dumps(found, indent=2, allow_nan=False) if as_json else text)


def results_folder(history, output):
    """Folder for the results of a history or case, made when missing.

    Parameters
    ----------
    history : Path
        The file they are made from.
    output : Path or None
        Folder that the user asked for; None for NAME_results beside the file.

    Returns
    -------
    Path

    Raises
    ------
    BadInput
        The folder cannot be made.
    """
    folder = output or history.parent / f"{history.stem}_results"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise BadInput(f"Cannot make the folder {folder}: {problem.strerror}.") from problem
    return folder


def tell_files(paths, as_json):
    """Name the files that were written.

    Parameters
    ----------
    paths : iterable of Path
        The files.
    as_json : bool
        True where the output is for machines: the names then go to the error stream.
    """
    for path in paths:
        click.echo(f"wrote {path}", err=as_json)
