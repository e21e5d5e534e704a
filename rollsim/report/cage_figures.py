"""Pictures of the elastic cage: deformed under a load, in space and unrolled; shapes of modes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from rollsim.report.cage_text import execution_words, load_words
from rollsim.report.plain_data import number
from rollsim.report.style import (
    COLOURS,
    GREY,
    Picture,
    caption_text,
    drawing,
    new_figure,
    save_figure,
)
from rollsim.structure.cage_study import PARTS, CageStudy, polar
from rollsim.units import DEG, MM, UM

#: Colour and width of every part in the pictures of modes; drawn from the last to the first.
_PEN = {
    "base ring": (COLOURS["blue"], 1.6),
    "cover": (COLOURS["vermilion"], 1.6),
    "bars": (COLOURS["black"], 1.0),
    "closures": (COLOURS["orange"], 2.0),
}
# The largest drawn motion, in lengths of the cage along its axis.
_STATIC_SHARE, _MODE_SHARE = 0.25, 0.4
_COLOUR_MAP = "cividis"
_COLUMNS, _MOST_PANELS = 3, 12
# Looking down on the cage, cover above.
_ELEVATION = 28.0 * DEG


def draw_static(studies: Sequence[CageStudy], path: str | Path) -> Picture:
    """Draw the deformed cage in space and unrolled; two executions side by side.

    Parameters
    ----------
    studies : sequence of CageStudy
        One, or two for the same load.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    largest = max(_sizes(study.displacement).max() for study in studies)
    factor = _round_factor(_STATIC_SHARE * _axial_length(studies[0]) / max(largest, 1e-30))
    scale = (factor, float(largest) / UM)
    columns = len(studies)
    with drawing():
        figure = new_figure((6.4, 7.2) if columns == 1 else (9.6, 6.4))
        panels = figure.subplots(2, columns, squeeze=False, height_ratios=[1.25, 1.0])
        for k, study in enumerate(studies):
            _draw_space(panels[0, k], study, scale)
            image = _draw_unrolled(panels[1, k], study, scale)
            lead = f"{'AB'[k]}: " if columns > 1 else ""
            if columns > 1:
                panels[0, k].set_title(f"{lead}{execution_words(study)}")
            else:
                figure.suptitle(execution_words(study), fontsize=12)
        _same_limits(panels)
        bar = figure.colorbar(image, ax=panels, location="bottom", shrink=0.7, aspect=45)
        bar.set_label("Deformation in um")
        return save_figure(figure, path, _static_caption(studies, factor))


def draw_modes(study: CageStudy, path: str | Path) -> Picture:
    """Draw the shapes of the first modes.

    Parameters
    ----------
    study : CageStudy
        The cage.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    from matplotlib.lines import Line2D

    count = min(len(study.frequencies), _MOST_PANELS)
    columns = min(_COLUMNS, count)
    rows = -(-count // columns)
    with drawing():
        figure = new_figure((6.4, 1.75 * rows + 0.9 if columns > 1 else 4.4))
        panels = figure.subplots(rows, columns, squeeze=False)
        for k, axes in enumerate(panels.flat):
            axes.set_axis_off()
            if k < count:
                _draw_shape(axes, study, study.shapes[k])
                axes.set_title(f"{k + 1}: {number(float(study.frequencies[k]), 4)} Hz")
        _same_limits(panels.reshape(1, -1)[:, :count])
        present = [part for part in PARTS if part in study.parts]
        handles = [Line2D([], [], color=_PEN[part][0], lw=_PEN[part][1]) for part in present]
        figure.legend(handles, present, loc="outside upper center", ncols=len(present))
        return save_figure(figure, path, _mode_caption(study, count))


def _sizes(motion: np.ndarray) -> np.ndarray:
    """Magnitudes of displacements."""
    return np.linalg.norm(motion[:, :3], axis=1)


def _axial_length(study: CageStudy) -> float:
    """Distance of both rings in m."""
    return float(np.ptp(study.nodes[:, 2]))


def _round_factor(wanted: float) -> float:
    """Largest of 1, 2, 5 times a power of ten that does not exceed a number."""
    decade = 10.0 ** np.floor(np.log10(wanted))
    return float(decade * max(step for step in (1.0, 2.0, 5.0) if step * decade <= wanted))


def _seen(places: np.ndarray) -> np.ndarray:
    """Places (n, 3) m in a parallel view from the front and above, in mm on the paper."""
    across, deep, high = places.T
    up = high * np.cos(_ELEVATION) + deep * np.sin(_ELEVATION)
    return np.column_stack([across, up]) / MM


def _from_front(nodes: np.ndarray, lines: np.ndarray) -> np.ndarray:
    """Numbers of the lines, those behind first."""
    return np.argsort(-nodes[lines].mean(axis=1)[:, 1], kind="stable")


def _strokes(axes, ends: np.ndarray, colour: str, width: float) -> None:
    """Lines of one colour."""
    from matplotlib.collections import LineCollection

    axes.add_collection(LineCollection(ends, colors=colour, linewidths=width))


def _coloured(axes, ends: np.ndarray, values: np.ndarray, most: float):
    """Lines in the colours of their values from 0 to `most`."""
    from matplotlib.collections import LineCollection

    image = LineCollection(ends, cmap=_COLOUR_MAP, linewidths=2.0, capstyle="round")
    image.set_array(values)
    image.set_clim(0.0, most)
    return axes.add_collection(image)


def _draw_space(axes, study: CageStudy, scale: tuple[float, float]) -> None:
    """Cage at rest in grey, deformed in colours of the magnitude; `scale`: factor, largest um."""
    order = study.lines[_from_front(study.nodes, study.lines)]
    moved = _seen(study.nodes + scale[0] * study.displacement[:, :3])
    _strokes(axes, _seen(study.nodes)[order], GREY, 0.6)
    size = _sizes(study.displacement)[order].mean(axis=1) / UM
    _coloured(axes, moved[order], size, scale[1])
    axes.set_aspect("equal")
    axes.set_axis_off()
    axes.autoscale_view()


def _draw_shape(axes, study: CageStudy, shape: np.ndarray) -> None:
    """One mode over the cage at rest."""
    factor = _MODE_SHARE * _axial_length(study) / _sizes(shape).max()
    moved = _seen(study.nodes + factor * shape[:, :3])
    _strokes(axes, _seen(study.nodes)[study.lines], GREY, 0.4)
    names = np.array(study.parts)
    for part in reversed(_PEN):
        _strokes(axes, moved[study.lines[names == part]], *_PEN[part])
    axes.set_aspect("equal")
    axes.autoscale_view()


def _draw_unrolled(axes, study: CageStudy, scale: tuple[float, float]):
    """Developed cage: angle along, axis up; returns the coloured lines."""
    _, tangential = polar(study.nodes, study.displacement[:, :3])
    distance = np.hypot(study.nodes[:, 0], study.nodes[:, 1])
    angle = np.rad2deg(np.arctan2(study.nodes[:, 1], study.nodes[:, 0]))
    rest = np.column_stack([angle, study.nodes[:, 2] / MM])[study.lines]
    # The line that closes a ring must not run back across the whole picture.
    rest[:, 1, 0] -= 360.0 * np.round((rest[:, 1, 0] - rest[:, 0, 0]) / 360.0)
    shift = np.column_stack([np.rad2deg(tangential / distance), study.displacement[:, 2] / MM])
    size = _sizes(study.displacement)[study.lines].mean(axis=1) / UM
    _strokes(axes, rest, GREY, 0.6)
    image = _coloured(axes, rest + scale[0] * shift[study.lines], size, scale[1])
    axes.autoscale_view()
    axes.set_xlim(-185.0, 185.0)
    axes.set_xticks(range(-180, 181, 90))
    axes.set_xlabel("Angle in degrees")
    axes.set_ylabel("z in mm")
    axes.set_title("Unrolled")
    return image


def _same_limits(panels: np.ndarray) -> None:
    """Give all panels of a row the same scales."""
    for row in panels:
        limits = np.array([(*axes.get_xlim(), *axes.get_ylim()) for axes in row])
        low, high = limits.min(axis=0), limits.max(axis=0)
        for axes in row:
            axes.set(xlim=(low[0], high[1]), ylim=(low[2], high[3]))


def _static_caption(studies: Sequence[CageStudy], factor: float) -> str:
    """Words below the panels."""
    names = [study.case_name for study in studies]
    lead = names[0] if len(names) == 1 else f"A: {names[0]}; B: {names[1]}"
    return caption_text(
        lead,
        f"Load: {load_words(studies[0])}",
        f"Deformation drawn {factor:g} times too large, counted from the mean rigid motion of the"
        " base ring; grey: the cage at rest",
        "Cover above; unrolled: 0 degrees at roller 1",
    )


def _mode_caption(study: CageStudy, drawn: int) -> str:
    """Words below the modes."""
    rest = len(study.frequencies) - drawn
    return caption_text(
        study.case_name,
        f"Free vibrations of the cage ({execution_words(study)}), interface bonded",
        f"Each shape is drawn with an equal largest motion, {100 * _MODE_SHARE:.0f} % of the axial"
        " length; grey: the cage at rest",
        f"{rest} more modes are in the table and the VTK file" if rest else "",
    )
