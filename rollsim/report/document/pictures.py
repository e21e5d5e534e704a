"""All figures of the document, in the order in which they stand."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

from rollsim.report.compare_figures import draw_compared_exceedance, draw_compared_utilisation
from rollsim.report.document.closure_loads import draw_closure_polar
from rollsim.report.document.embedded import Drawn, Embedded, drawn, embed
from rollsim.report.document.gather import Execution, Findings
from rollsim.report.document.hot_spots import draw_hot_spots
from rollsim.report.document.scales import share_scales
from rollsim.report.document.sketch import draw_sketch
from rollsim.report.document.timeline import draw_timeline
from rollsim.report.fatigue_figures import draw_fatigue
from rollsim.report.look_figures import (
    draw_course,
    draw_histogram,
    draw_response,
    draw_spectrum,
    spectral,
)
from rollsim.report.mechanisms_figures import draw_mechanisms
from rollsim.report.peaks_figures import draw_exceedance, draw_pocket_map
from rollsim.report.slip_figures import draw_slip, draw_smearing, draw_wear
from rollsim.report.style import drawing
from rollsim.report.whirl_figures import draw_coherence, draw_orbit, draw_waterfall

_NOWHERE = "figure.svg"
Draw = Callable[[], Any]


def pictures_of(found: Findings) -> dict[str, list[Embedded]]:
    """Draw everything.

    Parameters
    ----------
    found : Findings
        All evaluations.

    Returns
    -------
    dict of str to list of Embedded
        Section -> its figures, executions side by side on common scales.
    """
    with drawing():
        return _all_pictures(found)


def _all_pictures(found: Findings) -> dict[str, list[Embedded]]:
    """Draw everything with the look that is set."""
    sections: dict[str, list[_Entry]] = {}
    for own in found.executions:
        for section, title, draw in _of_execution(own):
            _add(
                sections,
                section,
                _Entry(f"{section}-{own.letter.lower()}", title, own.letter),
                draw,
            )
    for section, title, draw in _of_all(found):
        _add(sections, section, _Entry(section, title, ""), draw)
    for entries in sections.values():
        share_scales([one.drawn.figure for one in entries])
    return {
        section: [
            embed(one.name, one.title, one.drawn, one.side, before and before.drawn.figure)
            for before, one in zip([None, *entries], entries, strict=False)
        ]
        for section, entries in sections.items()
    }


class _Entry(NamedTuple):
    """A figure on its way: its name, title, letter of the execution, and what was drawn."""

    name: str
    title: str
    side: str
    drawn: Drawn | None = None


def _add(sections: dict[str, list[_Entry]], section: str, entry: _Entry, draw: Draw) -> None:
    """Draw a figure and put it into its section, if there is anything to show."""
    figure = drawn(draw)
    if figure is not None:
        sections.setdefault(section, []).append(entry._replace(drawn=figure))


def _of_execution(own: Execution) -> Iterator[tuple[str, str, Draw]]:
    """Figures of one execution: section, title, how it is drawn."""
    history = own.history
    yield (
        "sketch",
        "Bearing, pocket and closure",
        lambda: draw_sketch(own.case, own.shapes, _NOWHERE),
    )
    yield "timeline", "Forces and motion against time", lambda: draw_timeline(history, _NOWHERE)
    yield "map", "Force in every pocket against time", lambda: draw_pocket_map(history, _NOWHERE)
    yield "exceedance", "How often a force is passed", lambda: draw_exceedance(own.peaks, _NOWHERE)
    yield "whirl", "Whirl of the cage", lambda: draw_orbit(history, own.whirl, _NOWHERE)
    yield "coherence", "Whirl and vibration", lambda: draw_coherence(own.whirl, _NOWHERE)
    yield "waterfall", "Whirl over time", lambda: draw_waterfall(own.whirl, _NOWHERE)
    yield "slip", "Slip", lambda: draw_slip(history, own.slip, _NOWHERE)
    if own.slip.smearing is not None:
        yield (
            "smearing",
            "Pressure times sliding speed of the raceways",
            lambda: draw_smearing(own.slip, _NOWHERE),
        )
    if own.wear is not None:
        yield "wear", "Impulse and friction work", lambda: draw_wear(own.wear, _NOWHERE)
    if own.look is not None:
        look = own.look
        if spectral(look):
            yield "vibration", "Vibration asked and applied", lambda: draw_spectrum(look, _NOWHERE)
        if look.measures.course is not None:
            yield "vibration-course", "Course in time", lambda: draw_course(look, _NOWHERE)
        yield "vibration-histogram", "How strong, how often", lambda: draw_histogram(look, _NOWHERE)
        yield "vibration-response", "Shock response", lambda: draw_response(look, _NOWHERE)
    if own.verdict is not None:
        yield "mechanisms", "Every mechanism", lambda: draw_mechanisms(own.verdict, _NOWHERE)
        yield "fatigue", "Stress cycles and reserve", lambda: draw_fatigue(own.fatigue, _NOWHERE)
        yield (
            "hotspots",
            "Stress and damage on the cage",
            lambda: draw_hot_spots(own.fatigue, own.case, _NOWHERE),
        )


def _of_all(found: Findings) -> Iterator[tuple[str, str, Draw]]:
    """Figures of all executions together."""
    if found.judged:
        loads = {f"{own.letter}  {own.name}": own.closures for own in found.executions}
        yield "closures", "Load of the closures", lambda: draw_closure_polar(loads, _NOWHERE)
    if found.comparison is not None:
        both = found.comparison
        yield (
            "compared-exceedance",
            "Forces side by side",
            lambda: draw_compared_exceedance(both, _NOWHERE),
        )
        yield (
            "compared-use",
            "Utilisation side by side",
            lambda: draw_compared_utilisation(both, _NOWHERE),
        )
