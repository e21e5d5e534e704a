"""Figures inside the document: SVG with text as text, its data as CSV, words, time axes."""

from __future__ import annotations

import base64
import gzip
import io
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from rollsim.report.document.drawn import csv_text, described, panels_of
from rollsim.report.style import handed_over

TIME = "Time in s"
#: Most characters of one table of numbers.
MOST_CSV = 1_500_000
_IDS = re.compile(r'(\bid="|xlink:href="#|(?<!:)href="#|url\(#)')
_PATHS = re.compile(r' (?:d|x|y|transform)="[^"]*"')
_LONG = re.compile(r"-?\d+\.\d{2,}")


@dataclass(frozen=True)
class Embedded:
    """A figure of the document.

    Fields: name (unique; also of the CSV file); title; svg; caption; words (what it shows, with
    numbers, for those who do not see it); csv (compressed by gzip, in base64); time_panels (left,
    top, right, bottom as shares of the figure, first and last time in s of every panel over time);
    side (letter, empty for all).
    """

    name: str
    title: str
    svg: str
    caption: str
    words: str
    csv: str
    time_panels: tuple[tuple[float, ...], ...]
    side: str = ""


def embed(name: str, title: str, draw: Callable[[], Any], side: str = "") -> Embedded | None:
    """Have a figure drawn and keep it for the document.

    Parameters
    ----------
    name : str
        Unique in the document.
    title : str
        Heading of the figure.
    draw : callable
        Draws one figure and saves it with `rollsim.report.style.save_figure`.
    side : str
        Letter of the execution.

    Returns
    -------
    Embedded or None
        None where the function found nothing to draw.
    """
    taken: list[tuple[Any, ...]] = []
    with handed_over(lambda figure, caption: taken.append(_taken(figure, caption, name))):
        draw()
    if not taken:
        return None
    svg, caption, words, csv, panels = taken[0]
    return Embedded(name, title, svg, caption, words, csv, panels, side)


def _taken(figure: Any, caption: str, name: str) -> tuple[Any, ...]:
    """Everything that the document needs of a figure, while it is still within its look."""
    import matplotlib

    matplotlib.rcParams["svg.fonttype"] = "none"
    _lay_out(figure)
    stream = io.StringIO()
    figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": "rollsim"})
    drawn = panels_of(figure)
    text = csv_text(drawn)
    if len(text) > MOST_CSV:
        kept = text[:MOST_CSV].rpartition("\n")[0]
        text = f"# cut after {MOST_CSV} characters\n{kept}\n"
    return (
        _inline(stream.getvalue(), name),
        caption,
        described(drawn),
        packed_text(text),
        _timed(figure),
    )


def _lay_out(figure: Any) -> None:
    """Lay out once, here: a figure that is saved does it again and draws twice.

    Small ticks between the large ones of logarithmic axes take half of the time and no meaning.
    """
    from matplotlib.ticker import NullLocator

    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            if axis.get_scale() == "log":
                axis.set_minor_locator(NullLocator())
    engine = figure.get_layout_engine()
    if engine is not None:
        engine.execute(figure)
        figure.set_layout_engine("none")


def packed_text(text: str) -> str:
    """Compress a text for the document; equal texts give equal letters.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        gzip, base64.
    """
    return base64.b64encode(gzip.compress(text.encode(), 9, mtime=0)).decode()


def _inline(svg: str, name: str) -> str:
    """The drawing without its head, scaled by the page, with names of its own for its parts."""
    svg = svg[svg.index("<svg") :]
    svg = re.sub(r"<metadata>.*?</metadata>", "", svg, flags=re.DOTALL)
    svg = re.sub(r'(<svg[^>]*?) width="[^"]*"', r"\1", svg, count=1)
    svg = re.sub(r'(<svg[^>]*?) height="[^"]*"', r"\1", svg, count=1)
    svg = _IDS.sub(rf"\g<1>{name}-", svg)
    svg = _PATHS.sub(_shorter, svg)
    svg = re.sub(r"<!--.*?-->\s*", "", svg, flags=re.DOTALL)
    svg = re.sub(r"\n\s+", "\n", svg)
    mark = f'<svg role="img" aria-labelledby="{name}-words"'
    return svg.replace("<svg", mark, 1).strip()


def _shorter(found: re.Match[str]) -> str:
    """Lengths to a hundredth of a point: nobody sees less, and files are half as large."""
    if "scale" in found[0] or "rotate" in found[0]:
        return found[0]
    return _LONG.sub(lambda one: f"{float(one[0]):.2f}".rstrip("0").rstrip("."), found[0])


def _timed(figure: Any) -> tuple[tuple[float, ...], ...]:
    """Places of the panels whose axis is time."""
    found = []
    for axes in figure.axes:
        shared = [axes, *axes.get_shared_x_axes().get_siblings(axes)]
        if any(one.get_xlabel() == TIME for one in shared):
            box = axes.get_position()
            place = (box.x0, 1.0 - box.y1, box.x1, 1.0 - box.y0, *axes.get_xlim())
            found.append(tuple(round(float(value), 6) for value in place))
    return tuple(found)
