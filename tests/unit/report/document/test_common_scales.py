"""Common scales of figures that stand side by side."""

import numpy as np
import pytest

from rollsim.report.document.embedded import Drawn, embed
from rollsim.report.document.scales import built_alike, share_scales
from rollsim.report.style import drawing, new_figure


def _figure(top, label="Force in N", map_of=None):
    with drawing():
        figure = new_figure()
        upper, lower = figure.subplots(2, 1)
        upper.plot([0.0, 1.0], [0.0, top])
        upper.set(xlabel="Time in s", ylabel=label, xlim=(0.0, 1.0), ylim=(0.0, top))
        if map_of is not None:
            image = lower.imshow(np.full((2, 2), map_of), vmin=0.0, vmax=map_of)
            figure.colorbar(image, ax=lower)
    return figure


def test_axes_reach_over_both_and_colours_mean_the_same():
    one, two = _figure(5.0, map_of=1.0), _figure(9.0, map_of=30.0)
    share_scales([one, two])
    assert [figure.axes[0].get_ylim() for figure in (one, two)] == [(0.0, 9.0)] * 2
    assert [figure.axes[1].images[0].get_clim() for figure in (one, two)] == [(0.0, 30.0)] * 2


@pytest.mark.parametrize("change", ["label", "scale", "empty"])
def test_what_is_not_the_same_keeps_its_own_scale(change):
    one, two = _figure(5.0), _figure(9.0, label="Slip in %" if change == "label" else "Force in N")
    if change == "scale":
        two.axes[0].set(yscale="log", ylim=(1.0, 9.0))
    if change == "empty":
        two.axes[0].lines[0].remove()
    limits = two.axes[0].get_ylim()
    share_scales([one, two])
    assert one.axes[0].get_ylim() == (0.0, 5.0)
    assert two.axes[0].get_ylim() == limits


def test_one_figure_keeps_its_scale():
    figure = _figure(5.0)
    share_scales([figure])
    assert figure.axes[0].get_ylim() == (0.0, 5.0)


def test_panels_of_figures_that_are_built_alike_stand_at_the_same_places():
    one, two = _figure(5.0, map_of=1.0), _figure(9.0, map_of=30.0)
    share_scales([one, two])
    assert built_alike(one, two)
    embed("one", "One", Drawn(one, ""), "A")
    embed("two", "Two", Drawn(two, ""), "B", one)
    alone = _figure(9.0, map_of=30.0)
    embed("alone", "Alone", Drawn(alone, ""))
    for first, second, own in zip(one.axes, two.axes, alone.axes, strict=True):
        places = [axes.get_position(original=True).bounds for axes in (first, second, own)]
        assert places[0] == places[1]
        # The layout of the one is that of the other, had it been laid out by itself.
        assert places[1] == pytest.approx(places[2], abs=0.01)
    assert not built_alike(one, _figure(9.0, map_of=5.0))
