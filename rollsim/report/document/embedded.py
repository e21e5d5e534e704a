"""Figures inside the document: SVG with text as text, its data as CSV, words, time axes."""

from __future__ import annotations

import base64
import gzip
import io
import math
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NamedTuple

from rollsim.report.document.drawn import csv_text, described, panels_of
from rollsim.report.document.scales import built_alike
from rollsim.report.style import drawing, handed_over

TIME = "Time in s"
#: Most characters of one table of numbers.
MOST_CSV = 1_500_000
_IDS = re.compile(r'(\bid="|xlink:href="#|(?<!:)href="#|url\(#)')
_PATHS = re.compile(r' (?:d|x|y|transform)="[^"]*"')
#: Dots of an inch in SVG.
_POINTS = 72
_RAISED = str.maketrans(
    "-0123456789", "\u207b\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079"
)
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


class Drawn(NamedTuple):
    """A figure that is finished but not yet written, and its caption."""

    figure: Any
    caption: str


def drawn(draw: Callable[[], Any]) -> Drawn | None:
    """Have a figure drawn.

    Parameters
    ----------
    draw : callable
        Draws one figure and saves it with `rollsim.report.style.save_figure`.

    Returns
    -------
    Drawn or None
        None where the function found nothing to draw.
    """
    taken: list[Drawn] = []
    with handed_over(lambda figure, caption: taken.append(Drawn(figure, caption))):
        draw()
    return taken[0] if taken else None


def embed(name: str, title: str, one: Drawn, side: str = "", beside: Any = None) -> Embedded:
    """Lay a figure out and keep it for the document.

    Parameters
    ----------
    name : str
        Unique in the document.
    title : str
        Heading of the figure.
    one : Drawn
        The figure.
    side : str
        Letter of the execution.
    beside : Figure or None
        The same figure of another execution, laid out already: where it is built alike, panels
        stand at the same places.

    Returns
    -------
    Embedded
    """
    with drawing():
        svg = _svg(one.figure, beside)
    panels = panels_of(one.figure)
    text = csv_text(panels)
    if len(text) > MOST_CSV:
        kept = text[:MOST_CSV].rpartition("\n")[0]
        text = f"# cut after {MOST_CSV} characters\n{kept}\n"
    return Embedded(
        name,
        title,
        _inline(svg, name),
        one.caption,
        described(panels),
        packed_text(text),
        _timed(one.figure),
        side,
    )


def _svg(figure: Any, beside: Any = None) -> str:
    """The figure as SVG: laid out and drawn once each, by one renderer.

    The usual way measures every word twice, at the resolution of the screen and again for SVG, and
    goes through everything once more without drawing it.
    """
    import matplotlib
    from matplotlib.backend_bases import FigureCanvasBase
    from matplotlib.backends.backend_mixed import MixedModeRenderer
    from matplotlib.backends.backend_svg import RendererSVG

    matplotlib.rcParams["svg.fonttype"] = "none"
    dots, (width, height) = figure.dpi, figure.get_size_inches()
    figure.dpi = _POINTS
    stream = io.StringIO()
    plain = RendererSVG(
        width * _POINTS, height * _POINTS, stream, image_dpi=dots,
        metadata={"Date": None, "Creator": "rollsim"},
    )  # fmt: skip
    renderer = MixedModeRenderer(figure, width, height, dots, plain)
    canvas = FigureCanvasBase(figure)
    # The layout asks the canvas for what it measures with.
    canvas.get_renderer = lambda: renderer
    _lay_out(figure, beside)
    figure.draw(renderer)
    renderer.finalize()
    return stream.getvalue()


def _lay_out(figure: Any, beside: Any = None) -> None:
    """Lay out once, here: a figure that is drawn would do it again.

    Small ticks between the large ones of logarithmic axes take half of the time and no meaning.
    """
    from matplotlib.ticker import LogFormatterSciNotation, NullLocator

    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            if axis.get_scale() != "log":
                continue
            axis.set_minor_locator(NullLocator())
            if isinstance(axis.get_major_formatter(), LogFormatterSciNotation):
                axis.set_major_formatter(_power)
    engine = figure.get_layout_engine()
    if beside is not None and built_alike(figure, beside):
        for axes, other in zip(figure.axes, beside.axes, strict=True):
            axes.set_position(other.get_position(original=True))
    elif engine is not None:
        engine.execute(figure)
    figure.set_layout_engine("none")
    for axes in figure.axes:
        _hold_title(axes)


def _hold_title(axes: Any) -> None:
    """Spare a title that stands where it should the search for a free place when it is drawn.

    The search measures all labels of the axes again. A title that had to move, because of numbers
    above the axes, goes on looking for its place.
    """
    title = axes.title
    alone = not (axes.child_axes or axes.get_title("left") or axes.get_title("right"))
    if alone and title.get_position()[1] == 1.0:
        axes.set_title(title.get_text(), y=1.0, fontsize=title.get_fontsize())


def _power(value: float, _place: Any = None) -> str:
    """A tick of a logarithmic axis in plain letters, which need no typesetting.

    Examples
    --------
    >>> _power(1e-5), _power(1000.0), _power(20.0)
    ('10\u207b\u2075', '10\u00b3', '20')
    """
    power = round(math.log10(value)) if value > 0.0 else None
    if power is None or not math.isclose(value, 10.0**power, rel_tol=1e-9):
        return f"{value:g}"
    return f"10{str(power).translate(_RAISED)}"


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
            # Of the whole figure: positions count within a part of it where it has parts.
            box = axes.get_window_extent().transformed(figure.transFigure.inverted())
            place = (box.x0, 1.0 - box.y1, box.x1, 1.0 - box.y0, *axes.get_xlim())
            found.append(tuple(round(float(value), 6) for value in place))
    return tuple(found)
