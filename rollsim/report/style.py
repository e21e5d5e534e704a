"""One look for every picture: colours, sizes, caption, saving.

Pictures are drawn on `matplotlib.figure.Figure` directly, without pyplot, so no display is
needed and no global setting of the caller is changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import matplotlib
import numpy as np

from rollsim.errors import RollsimError
from rollsim.report.paper import page, write_scaled

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

# Palette for colour-blind readers (Okabe & Ito 2002, "Color Universal Design"; hex values from
# memory).
COLOURS = {
    "black": "#000000",
    "orange": "#E69F00",
    "sky": "#56B4E9",
    "green": "#009E73",
    "yellow": "#F0E442",
    "blue": "#0072B2",
    "vermilion": "#D55E00",
    "purple": "#CC79A7",
}
GREY = "#8C8C8C"
CYCLE = tuple(
    COLOURS[name]
    for name in ("blue", "vermilion", "green", "orange", "purple", "sky", "black", "yellow")
)

# Width and height in inches. The widths are equal so that text has one size on a page.
SIZES = {
    "plain": (6.4, 4.4),
    "tall": (6.4, 6.8),
    "triple": (6.4, 11.2),
    "flat": (6.4, 3.2),
}
SUFFIXES = (".png", ".svg", ".pdf")
#: What takes a finished figure and its caption in place of a file; None where pictures are saved.
_TAKER: ContextVar[Callable[[Any, str], None] | None] = ContextVar("taker", default=None)
DOTS_PER_INCH = 130
_CAPTION_POINTS = 9.0
_CAPTION_MARGIN = 0.1

_SETTINGS: dict[str, Any] = {
    "font.family": "sans-serif",
    "font.sans-serif": ["DejaVu Sans"],
    "font.size": 11.0,
    "axes.titlesize": 12.0,
    "axes.labelsize": 11.5,
    "axes.grid": True,
    "axes.axisbelow": True,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "grid.color": "#DDDDDD",
    "grid.linewidth": 0.7,
    "legend.fontsize": 10.0,
    "legend.frameon": True,
    "legend.framealpha": 0.9,
    "lines.linewidth": 1.6,
    "path.simplify": True,
    "agg.path.chunksize": 20000,
    "svg.fonttype": "path",
    "svg.hashsalt": "rollsim",
    "pdf.fonttype": 42,
    "savefig.bbox": None,
}


@dataclass(frozen=True)
class Picture:
    """A picture on disk.

    Attributes
    ----------
    path : Path
        The file that was written.
    caption : str
        The words printed below the picture.
    """

    path: Path
    caption: str


@contextmanager
def handed_over(taker: Callable[[Any, str], None]) -> Iterator[None]:
    """Hand every figure that is saved inside the `with` block to a function; no file is written.

    A document prints captions and lays out pages itself, so nothing is added to the figure.

    Parameters
    ----------
    taker : callable
        Takes the figure and its caption, still within the look of the pictures.
    """
    token = _TAKER.set(taker)
    try:
        yield
    finally:
        _TAKER.reset(token)


_LOOK_SET = ContextVar("inside drawing()", default=False)


@contextmanager
def drawing() -> Iterator[None]:
    """Apply the look to everything drawn inside the `with` block, and only there.

    A block within another one has the look already: setting it takes a hundredth of a second.
    """
    if _LOOK_SET.get():
        yield
        return
    with matplotlib.rc_context():
        # Start from the defaults: a user's own settings file must not change the pictures.
        matplotlib.rcdefaults()
        matplotlib.rcParams.update(_SETTINGS)
        matplotlib.rcParams["axes.prop_cycle"] = matplotlib.cycler(color=list(CYCLE))
        before = _LOOK_SET.set(True)
        try:
            yield
        finally:
            _LOOK_SET.reset(before)


def new_figure(size: str | tuple[float, float] = "plain") -> Figure:
    """Return an empty figure that needs no display.

    Parameters
    ----------
    size : str or tuple of float
        A name in `SIZES`, or width and height in inches.

    Returns
    -------
    Figure
        With constrained layout, so that labels keep clear of each other.
    """
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    designed = SIZES[size] if isinstance(size, str) else size
    figsize = page().layout(*designed)
    figure = Figure(figsize=figsize, dpi=DOTS_PER_INCH, layout="constrained")
    figure.paper_scale = page().scale_of(designed[0])
    FigureCanvasAgg(figure)
    return figure


def add_caption(figure: Figure, caption: str) -> None:
    """Print a caption in small type below the panels.

    Parameters
    ----------
    figure : Figure
        A figure of `new_figure`.
    caption : str
        One paragraph; it is wrapped to the width of the figure.
    """
    width_in, height_in = figure.get_size_inches()
    lines = _wrap_to(figure, caption, width_in - 2.0 * _CAPTION_MARGIN)
    share = (0.155 * len(lines) + 0.12) / height_in
    engine = figure.get_layout_engine()
    engine.set(rect=(0.0, share, 1.0, 1.0 - share))
    figure.text(
        _CAPTION_MARGIN / width_in,
        0.06 / height_in,
        "\n".join(lines),
        fontsize=_CAPTION_POINTS,
        color="#333333",
        ha="left",
        va="bottom",
        linespacing=1.2,
        parse_math=False,
    )


def _wrap_to(figure: Figure, text: str, width_in: float) -> list[str]:
    """Break a paragraph into lines that are measured to fit a width in inches."""
    from matplotlib.font_manager import FontProperties

    font = FontProperties(family="DejaVu Sans", size=_CAPTION_POINTS)
    renderer = figure.canvas.get_renderer()
    limit = width_in * renderer.dpi
    lines = [""]
    # Only plain blanks break a line: a number stays with its unit over a no-break space.
    for word in text.split(" "):
        longer = f"{lines[-1]} {word}".lstrip(" ")
        if renderer.get_text_width_height_descent(longer, font, False)[0] <= limit:
            lines[-1] = longer
        else:
            lines.append(word)
    return [line for line in lines if line]


def caption_text(case_name: str, *sentences: str) -> str:
    """Return a caption: the case first, then what the picture shows and what was reduced.

    Parameters
    ----------
    case_name : str
        Name of the case.
    *sentences : str
        Sentences; empty ones are dropped.

    Returns
    -------
    str

    Examples
    --------
    >>> caption_text("demo", "Orbit of the cage centre", "", "Nothing was reduced.")
    'demo. Orbit of the cage centre. Nothing was reduced.'
    """
    parts = [case_name, *sentences]
    return " ".join(part.strip().rstrip(".") + "." for part in parts if part.strip())


def empty_note(axes: Axes, text: str) -> None:
    """Write a sentence in the middle of a panel that has nothing to show.

    Parameters
    ----------
    axes : Axes
        The panel.
    text : str
        What is missing and why.
    """
    axes.text(0.5, 0.5, text, transform=axes.transAxes, ha="center", va="center", color="#333333")


def tell_numbers(axes: Axes, name: str, rows: Any) -> None:
    """Keep numbers that the marks of a panel show and do not hold, for tables of the figure.

    Parameters
    ----------
    axes : Axes
        The panel.
    name : str
        What they are, with the unit of the value.
    rows : array_like, (n, 4)
        x, end in x (NaN for points), y, value; coordinates of the panel.
    """
    axes.numbers_told = [*told_numbers(axes), (name, np.asarray(rows, dtype=float))]


def told_numbers(axes: Axes) -> list[tuple[str, Any]]:
    """Numbers of `tell_numbers`.

    Parameters
    ----------
    axes : Axes
        The panel.

    Returns
    -------
    list of (str, ndarray)
    """
    return list(getattr(axes, "numbers_told", ()))


def picture_path(path: str | Path) -> Path:
    """Return the path with its suffix, `.png` where none was given.

    Parameters
    ----------
    path : str or Path
        Wanted file.

    Returns
    -------
    Path

    Raises
    ------
    RollsimError
        The suffix is none of `SUFFIXES`.

    Examples
    --------
    >>> picture_path("orbit").name
    'orbit.png'
    """
    path = Path(path)
    if path.suffix == "":
        path = path.with_suffix(".png")
    if path.suffix.lower() not in SUFFIXES:
        raise RollsimError(
            f"A picture is saved as {', '.join(SUFFIXES)}; '{path.name}' ends in '{path.suffix}'."
        )
    return path


def save_figure(figure: Figure, path: str | Path, caption: str) -> Picture:
    """Print the caption and write the picture; the suffix chooses the format.

    Equal input gives an equal file: no date is written, and SVG ids are fixed. Inside
    `rollsim.report.paper.on_page` the picture gets its width on paper, and the caption goes into a
    text file beside it.

    Parameters
    ----------
    figure : Figure
        A figure of `new_figure`, drawn inside `drawing()`.
    path : str or Path
        File to write; `.png` is added where there is no suffix.
    caption : str
        Words below the panels.

    Returns
    -------
    Picture

    Raises
    ------
    RollsimError
        The suffix is unknown or the file cannot be written.
    """
    path = picture_path(path)
    taker = _TAKER.get()
    if taker is not None:
        taker(figure, caption)
        return Picture(path, caption)
    if page().suffix:
        path = path.with_suffix(page().suffix)
    if page().width_mm is None:
        add_caption(figure, caption)
    kind = path.suffix.lower()[1:]
    metadata = {
        "svg": {"Date": None, "Creator": "rollsim"},
        "pdf": {"CreationDate": None, "Creator": "rollsim", "Producer": None},
        "png": {"Software": "rollsim"},
    }[kind]
    try:
        if page().width_mm is None:
            figure.savefig(path, format=kind, dpi=DOTS_PER_INCH, metadata=metadata)
        else:
            write_scaled(figure, path, kind, figure.paper_scale, metadata)
        _write_beside(figure, path, caption)
    except OSError as error:
        raise RollsimError(f"The picture '{path}' cannot be written: {error.strerror}.") from error
    return Picture(path, caption)


def _write_beside(figure: Figure, path: Path, caption: str) -> None:
    """Caption of a picture for paper, and what the figure shows, where they are asked for."""
    if page().width_mm is not None:
        words = path.with_suffix(".txt")
        words.write_text(caption + "\n", encoding="utf-8")
        page().beside.append(words)
    if page().tables:
        from rollsim.report.document.drawn import csv_text, panels_of

        # Names of their own: some commands write tables that are named like a figure.
        numbers = path.with_name(f"{path.stem}_figure.csv")
        numbers.write_text(csv_text(panels_of(figure)), encoding="utf-8")
        page().beside.append(numbers)
