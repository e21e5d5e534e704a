"""What a figure shows, read back from the figure: a table of its numbers and a few sentences."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from typing import Any, NamedTuple

import numpy as np

from rollsim.analysis.reduction import block_min_max
from rollsim.report.plain_data import number
from rollsim.report.style import told_numbers

#: Points of one curve beyond which extremes of blocks stand for them.
MOST_POINTS = 4000
HEAD = ("panel", "series", "x", "x_end", "y", "value")


class Series(NamedTuple):
    """One curve, band, set of columns or map: its name and its rows (x, x_end, y, value)."""

    name: str
    rows: np.ndarray


class Panel(NamedTuple):
    """One pair of axes: title, names of the axes, and what is drawn."""

    title: str
    across: str
    up: str
    series: tuple[Series, ...]


def panels_of(figure: Any) -> tuple[Panel, ...]:
    """Read everything that is drawn in a figure.

    Parameters
    ----------
    figure : Figure
        A finished figure.

    Returns
    -------
    tuple of Panel
        Colour bars are left out.
    """
    found = [_panel(axes) for axes in figure.axes if axes.get_label() != "<colorbar>"]
    return tuple(panel for panel in found if panel.series)


def _panel(axes: Any) -> Panel:
    """One pair of axes."""
    series = tuple(one for one in _series(axes) if len(one.rows))
    lines = (axes.get_title(), _shared_label(axes, "x"), _shared_label(axes, "y"))
    return Panel(*(" ".join(text.split()) for text in lines), series)


def _shared_label(axes: Any, name: str) -> str:
    """Name of an axis; panels above each other have it at the lowest one only."""
    siblings = getattr(axes, f"get_shared_{name}_axes")().get_siblings(axes)
    labels = (getattr(one, f"get_{name}label")() for one in (axes, *siblings))
    return next((label for label in labels if label), "")


def _series(axes: Any) -> Iterator[Series]:
    """Lines, points, bands, columns, stairs and maps of a panel; bare marks are left out."""
    from matplotlib.patches import Rectangle, StepPatch

    for name, rows in told_numbers(axes):
        yield Series(name, rows)
    caps = {id(cap) for group in axes.containers for cap in _caps(group)}
    for line in axes.lines:
        if id(line) in caps:
            continue
        if line.get_transform().contains_branch(axes.transData) and len(line.get_xdata()) > 2:
            xy = np.column_stack([np.asarray(each, float) for each in line.get_data()])
            yield Series(_label(line, "line"), _points(_reduced(xy)))
    bars = {id(bar) for group in axes.containers for bar in _error_bars(group)}
    for drawn in axes.collections:
        for one in _collected(drawn):
            yield one._replace(name="error bars, by their ends") if id(drawn) in bars else one
    boxes = [box for box in axes.patches if isinstance(box, Rectangle)]
    yield from _columns(axes, boxes)
    for patch in axes.patches:
        if isinstance(patch, StepPatch):
            values, edges, _ = patch.get_data()
            rows = np.column_stack([edges[:-1], edges[1:], values, np.full(len(values), np.nan)])
            yield Series(_label(patch, "steps"), rows.astype(float))
    for image in axes.images:
        yield Series("map", _cells(image))


def _collected(drawn: Any) -> Iterator[Series]:
    """Points, bands, cells and coloured lines of a collection."""
    from matplotlib.collections import LineCollection, PathCollection, PolyCollection, QuadMesh

    values = drawn.get_array()
    if isinstance(drawn, QuadMesh):
        yield Series(_label(drawn, "map"), _mesh(drawn))
    elif isinstance(drawn, PathCollection):
        yield Series(_label(drawn, "points"), _points(drawn.get_offsets(), values))
    elif isinstance(drawn, PolyCollection) and values is not None:
        middle = np.array([path.vertices[:-1].mean(axis=0) for path in drawn.get_paths()])
        yield Series(_label(drawn, "cells, at their middle"), _points(middle, values))
    elif isinstance(drawn, PolyCollection):
        for path in drawn.get_paths():
            yield Series(_label(drawn, "band"), _points(_reduced(path.vertices)))
    elif isinstance(drawn, LineCollection):
        parts = drawn.get_segments()
        if values is not None:
            middle = np.array([np.mean(part, axis=0) for part in parts])
            yield Series(_label(drawn, "lines"), _points(middle, values))
        elif parts:
            yield Series(_label(drawn, "lines, by their ends"), _points(np.concatenate(parts)))


def _mesh(drawn: Any) -> np.ndarray:
    """Cells of a mesh of rectangles."""
    corners = np.asarray(drawn.get_coordinates(), dtype=float)
    across, up = corners[0, :, 0], corners[:, 0, 1]
    values = np.ma.filled(np.ma.asarray(drawn.get_array(), dtype=float), np.nan)
    values = values.reshape(len(up) - 1, len(across) - 1)
    middle = np.repeat(0.5 * (up[:-1] + up[1:]), len(across) - 1)
    left, right = (np.tile(part, len(up) - 1) for part in (across[:-1], across[1:]))
    return np.column_stack([left, right, middle, values.ravel()])


def _columns(axes: Any, boxes: list[Any]) -> Iterator[Series]:
    """Columns by their container, so that each set keeps its name."""
    named = {
        id(box): str(group.get_label()) for group in axes.containers for box in _patches(group)
    }
    for name in dict.fromkeys(named.get(id(box), "") for box in boxes):
        own = [box for box in boxes if named.get(id(box), "") == name]
        rows = [
            (b.get_x(), b.get_x() + b.get_width(), b.get_y() + b.get_height(), np.nan) for b in own
        ]
        yield Series(name if name and not name.startswith("_") else "columns", np.array(rows))


def _patches(group: Any) -> list[Any]:
    """Boxes of a container; containers of other things have none."""
    return list(getattr(group, "patches", ()))


def _error_bars(group: Any) -> tuple[Any, ...]:
    """Bars of a container; containers of other things have none."""
    from matplotlib.container import ErrorbarContainer

    return tuple(group[2]) if isinstance(group, ErrorbarContainer) else ()


def _caps(group: Any) -> tuple[Any, ...]:
    """Ends of the error bars of a container, which tell nothing more."""
    from matplotlib.container import ErrorbarContainer

    return tuple(group[1]) if isinstance(group, ErrorbarContainer) else ()


def _label(drawn: Any, other: str) -> str:
    """Name in the legend, or what sort of thing it is."""
    label = str(drawn.get_label())
    return other if label.startswith("_") or not label else " ".join(label.split())


def _points(xy: Any, value: Any = None) -> np.ndarray:
    """Rows of points."""
    xy = np.ma.filled(np.ma.asarray(xy, dtype=float), np.nan).reshape(-1, 2)
    colour = np.full(len(xy), np.nan)
    if value is not None and len(value) == len(xy):
        colour = np.ma.filled(np.ma.asarray(value, dtype=float), np.nan)
    return np.column_stack([xy[:, 0], np.full(len(xy), np.nan), xy[:, 1], colour])


def _reduced(xy: np.ndarray) -> np.ndarray:
    """A curve of bounded length that keeps its extremes."""
    if len(xy) <= MOST_POINTS:
        return xy
    blocks = block_min_max(np.nan_to_num(xy[:, 1]), MOST_POINTS // 2)
    first = blocks.edges[:-1]
    return np.column_stack(
        [np.repeat(xy[first, 0], 2), np.column_stack([blocks.low, blocks.high]).ravel()]
    )


def _cells(image: Any) -> np.ndarray:
    """Cells of a map that hold a number."""
    values = np.ma.masked_invalid(np.ma.asarray(image.get_array(), dtype=float))
    if values.ndim != 2:
        return np.zeros((0, 4))
    left, right, bottom, top = image.get_extent()
    rows, columns = values.shape
    across = left + (np.arange(columns) + 0.5) * (right - left) / columns
    up = bottom + (np.arange(rows) + 0.5) * (top - bottom) / rows
    j, i = np.nonzero(~np.ma.getmaskarray(values))
    half = 0.5 * (right - left) / columns
    return np.column_stack([across[i] - half, across[i] + half, up[j], values.data[j, i]])


def csv_text(panels: tuple[Panel, ...]) -> str:
    """Write the numbers of a figure as CSV, one row a point, column or cell.

    Parameters
    ----------
    panels : tuple of Panel
        From `panels_of`.

    Returns
    -------
    str
        Names of the axes, with their units, stand in lines of their own that begin with #.
    """
    stream = io.StringIO()
    for panel in panels:
        title = panel.title or "panel"
        stream.write(f"# {title}: x is {panel.across or 'x'}; y is {panel.up or 'y'}\n")
    write = csv.writer(stream, lineterminator="\n").writerow
    write(HEAD)
    for panel in panels:
        for name, rows in panel.series:
            for row in rows.tolist():
                write([panel.title, name, *("" if v != v else f"{v:.6g}" for v in row)])
    return stream.getvalue()


def described(panels: tuple[Panel, ...]) -> str:
    """Say what a figure shows, with its numbers.

    Parameters
    ----------
    panels : tuple of Panel
        From `panels_of`.

    Returns
    -------
    str
        One or two sentences a panel.
    """
    return " ".join(_panel_words(panel) for panel in panels) or "Nothing is drawn."


def _panel_words(panel: Panel) -> str:
    """Title, axes, and the reach of every curve."""
    axes = f"{panel.up or 'Height'} over {panel.across or 'width'}"
    start = f"{panel.title}: {axes}." if panel.title else f"{axes[:1].upper()}{axes[1:]}."
    words = [one for one in map(_series_words, _merged(panel.series)) if one]
    return f"{start} {'; '.join(words)}." if words else start


def _merged(series: tuple[Series, ...]) -> list[Series]:
    """Curves of one name together."""
    names = dict.fromkeys(one.name for one in series)
    return [
        Series(name, np.concatenate([one.rows for one in series if one.name == name]))
        for name in names
    ]


def _series_words(series: Series) -> str:
    """Reach of a curve and where its greatest value lies."""
    rows = series.rows
    column = 3 if np.isfinite(rows[:, 3]).any() else 2
    known = rows[np.isfinite(rows[:, column]) & np.isfinite(rows[:, 0])]
    if not len(known):
        return ""
    k = int(np.argmax(known[:, column]))
    low, high = known[:, column].min(), known[k, column]
    x = known[k, 0] if np.isnan(known[k, 1]) else 0.5 * (known[k, 0] + known[k, 1])
    place = f"at {number(x)}" + (f", height {number(known[k, 2])}" if column == 3 else "")
    return f"{series.name}: {number(low)} to {number(high)}, greatest {place}"
