"""Picture of a cage sector as a solid: stress in the plane through the middle of the bar."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from rollsim.report.cage_text import CLOSURES
from rollsim.report.plain_data import number
from rollsim.report.style import Picture, caption_text, drawing, new_figure, save_figure
from rollsim.structure.sector_compare import SectorComparison
from rollsim.structure.sector_mesh import BASE, CLOSURE, COVER
from rollsim.units import MM, MPA

_COLOUR_MAP = "cividis"
# The largest drawn motion, as a share of the cover's thickness.
_DRAWN_SHARE = 0.35
# The scale ends here: single corners would leave the rest in one colour.
_SCALE_END = 99.0
_SAME_MM = 1e-6


def draw_sector(found: SectorComparison, path: str | Path) -> Picture:
    """Draw the whole bar and the joint close by, deformed, coloured by the largest tension.

    Parameters
    ----------
    found : SectorComparison
        Both models.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    cut, finest = found.cut, found.meshes[-1]
    largest = finest.deflection_m / found.force_N
    scale = _DRAWN_SHARE * found.design.cover_thickness / largest
    moved = (cut.places + scale * cut.motions) / MM
    tension = cut.stress * found.force_N / MPA
    design = found.design
    joint = (design.base_thickness + design.bar_length) / MM
    # The joint alone sets the scale: the corners of the far ring are not its matter.
    near = np.mean(cut.places[:, :, 1], axis=1) / MM > joint - 2.0 * design.cover_thickness / MM
    most = float(np.percentile(np.maximum(tension[near], 0.0), _SCALE_END))
    with drawing():
        figure = new_figure((6.4, 6.0))
        panels = figure.subplots(1, 2, width_ratios=[1.0, 1.7])
        for axes in panels:
            image = _draw_parts(axes, moved, tension, _pieces(found), most)
            axes.set_aspect("equal")
            axes.grid(False)
            axes.set_xlabel("radius in mm")
            axes.autoscale_view()
        panels[0].set_ylabel("height over the base ring's face in mm")
        panels[0].set_title("whole bar")
        panels[1].set_title("joint")
        reach = 2.0 * design.cover_thickness / MM
        panels[1].set_ylim(joint - reach, float(moved[:, :, 1].max()) + 0.5)
        bar = figure.colorbar(image, ax=panels, location="bottom", extend="both", shrink=0.8)
        bar.set_label("largest tension (first principal stress) in MPa")
        caption = caption_text(
            found.case_name,
            f"Plane through the middle of a bar, {CLOSURES[design.kind]},"
            f" {found.force_N:g} N of every roller on the cover.",
            f"Motions drawn {number(scale / found.force_N, 2)} times too large; largest"
            f" {number(finest.deflection_m * 1e3)} mm.",
        )
        return save_figure(figure, path, caption)


def _pieces(found: SectorComparison) -> list[np.ndarray]:
    """Quadrilaterals of every piece of metal: a tenon is one with its bar."""
    body, rivet = found.cut.body, found.design.kind == "steel_rivet"
    groups = ((BASE,), (CLOSURE,), (COVER,)) if rivet else ((BASE, CLOSURE), (COVER,))
    return [np.isin(body, group) for group in groups]


def _draw_parts(axes, moved: np.ndarray, tension: np.ndarray, pieces, most: float):
    """Coloured quadrilaterals and the outline of every piece."""
    from matplotlib.collections import LineCollection, PolyCollection

    image = PolyCollection(moved, cmap=_COLOUR_MAP, edgecolors="face", linewidths=0.3)
    image.set_array(tension)
    image.set_clim(0.0, most)
    axes.add_collection(image)
    for piece in pieces:
        if np.any(piece):
            edges = _outline(moved[piece])
            axes.add_collection(LineCollection(edges, colors="black", linewidths=0.8))
    return image


def _outline(quads: np.ndarray) -> np.ndarray:
    """Edges that belong to one quadrilateral only, (m, 2, 2)."""
    edges = np.concatenate([quads[:, [k, (k + 1) % 4]] for k in range(4)])
    rounded = np.round(edges / _SAME_MM).astype(np.int64)
    flipped = (rounded[:, 0, 0] > rounded[:, 1, 0]) | (
        (rounded[:, 0, 0] == rounded[:, 1, 0]) & (rounded[:, 0, 1] > rounded[:, 1, 1])
    )
    rounded[flipped] = rounded[flipped][:, ::-1]
    _, first, counts = np.unique(
        rounded.reshape(-1, 4), axis=0, return_index=True, return_counts=True
    )
    return edges[first[counts == 1]]
