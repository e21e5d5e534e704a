"""Common scales for figures that stand side by side, so that the eye may compare them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from rollsim.report.style import drawing


def share_scales(figures: Sequence[Any]) -> None:
    """Give panels that show the same thing the same axes and colours.

    Panels are matched by their order and their words. An axis is shared where its name and its sort
    of scale are the same in all figures; panels without data, or of figures that are built
    otherwise, stay as they are.

    Parameters
    ----------
    figures : sequence of Figure
        Of one kind, one an execution; changed.
    """
    if len(figures) < 2:
        return
    with drawing():
        for panels in _matched(figures):
            for name in ("x", "y"):
                _share_axis(panels, name)
            _share_colours(panels)


def _matched(figures: Sequence[Any]) -> Iterator[list[Any]]:
    """Panels of equal words in the same place of all figures."""
    lists = [[axes for axes in one.axes if axes.get_label() != "<colorbar>"] for one in figures]
    if len({len(own) for own in lists}) > 1:
        return
    for panels in zip(*lists, strict=True):
        named = {(axes.get_xlabel(), axes.get_ylabel(), axes.name) for axes in panels}
        if len(named) == 1 and all(axes.has_data() for axes in panels):
            yield list(panels)


def _share_axis(panels: list[Any], name: str) -> None:
    """One axis of all panels from the least to the greatest of them."""
    axes = [getattr(panel, f"{name}axis") for panel in panels]
    if len({_scale(axis) for axis in axes}) > 1 or axes[0].get_scale() == "category":
        return
    limits = [getattr(panel, f"get_{name}lim")() for panel in panels]
    if any(low > high for low, high in limits):
        return
    common = min(low for low, _ in limits), max(high for _, high in limits)
    for panel in panels:
        getattr(panel, f"set_{name}lim")(*common)


def _scale(axis: Any) -> tuple[Any, ...]:
    """What makes two scales one: their sort, and where a symmetric logarithm becomes straight."""
    transform = axis.get_transform()
    return axis.get_scale(), getattr(transform, "linthresh", None)


def _share_colours(panels: list[Any]) -> None:
    """Colours of maps and points, where all panels have as many of them."""
    coloured = [
        [one for one in (*axes.images, *axes.collections) if one.get_array() is not None]
        for axes in panels
    ]
    if len({len(own) for own in coloured}) > 1:
        return
    for images in zip(*coloured, strict=True):
        norms = {type(image.norm) for image in images}
        limits = [image.get_clim() for image in images]
        if len(norms) > 1 or any(None in pair for pair in limits):
            continue
        low, high = min(low for low, _ in limits), max(high for _, high in limits)
        for image in images:
            _set_colours(image, low, high)


def _set_colours(image: Any, low: float, high: float) -> None:
    """Other limits of colours; a colour bar keeps how it writes its numbers."""
    bar = image.colorbar
    writes = bar.long_axis.get_major_formatter() if bar else None
    image.set_clim(low, high)
    if bar:
        bar.long_axis.set_major_formatter(writes)


def built_alike(figure: Any, other: Any) -> bool:
    """Whether one layout suits both figures: same panels, words and limits all round.

    Parameters
    ----------
    figure, other : Figure
        Two figures of one kind, their scales shared.

    Returns
    -------
    bool
        False for figures of several parts, and for those with a title over all panels.
    """
    return all(not (own.subfigs or own.get_suptitle()) for own in (figure, other)) and _build(
        figure
    ) == _build(other)


def _build(figure: Any) -> tuple[Any, ...]:
    """Everything that takes room in a figure."""
    legends = tuple(
        tuple(text.get_text() for text in legend.get_texts()) for legend in figure.legends
    )
    panels = tuple(
        (
            axes.get_label(), axes.name, axes.get_title(), axes.get_xlabel(), axes.get_ylabel(),
            axes.get_xlim(), axes.get_ylim(), axes.get_xscale(), axes.get_yscale(),
            axes.get_legend() is None or axes.get_legend().get_bbox_to_anchor() is axes.bbox,
        )
        for axes in figure.axes
    )  # fmt: skip
    return tuple(figure.get_size_inches()), panels, legends
