"""Load of the closures around the cage, one picture for all executions."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np

from rollsim.report.style import CYCLE, Picture, caption_text, drawing, empty_note, new_figure
from rollsim.report.style import save_figure as save

_STYLES = ("o-", "s--", "D-.", "^:")


def draw_closure_polar(loads: Mapping[str, Any], path: str | Path) -> Picture:
    """Draw swing of axial force, and bending, by the place of the closure.

    Parameters
    ----------
    loads : mapping of str to ClosureLoads or None
        Name of the execution -> loads, None for a cage in one piece.
    path : str or Path
        File; the suffix chooses PNG, SVG or PDF, PNG without one.

    Returns
    -------
    Picture
    """
    from matplotlib.ticker import MaxNLocator

    known = {name: own for name, own in loads.items() if own is not None}
    with drawing():
        figure = new_figure((6.4, 7.6))
        panels = figure.subplots(2, 1, subplot_kw={"projection": "polar"})
        for axes, (name, title) in zip(
            panels,
            (("swing", "Swing of axial force in N"), ("bending", "Bending moment in N m")),
            strict=True,
        ):
            axes.set_title(title)
            axes.set_rlabel_position(10)
            axes.yaxis.set_major_locator(MaxNLocator(3))
            for k, (label, own) in enumerate(known.items()):
                angle = np.append(own.azimuth, own.azimuth[:1] + 2.0 * np.pi)
                values = getattr(own, name)
                closed = np.append(values, values[:1])
                style = {"color": CYCLE[k % len(CYCLE)], "ms": 4, "label": label}
                axes.plot(angle, closed, _STYLES[k % len(_STYLES)], **style)
            if known:
                axes.set_ylim(bottom=0.0)
            else:
                empty_note(axes, "The cage is one piece.")
        if known:
            figure.legend(*axes.get_legend_handles_labels(), loc="outside lower center", ncols=1)
        return save(figure, path, _CAPTION)


_CAPTION = caption_text(
    "Section forces between cover and bar, after the settling time",
    "Angle: place of the closure on the cage at angle zero, in degrees counter-clockwise from"
    " pocket 1, seen from the cover",
    "Swing: largest less least axial force; bending: largest moment that the run adds",
    "Points: closures; lines only lead the eye",
)
