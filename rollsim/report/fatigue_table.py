"""Fatigue verdict in words and as plain data."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Iterable
from dataclasses import asdict
from typing import Any

import numpy as np

from rollsim.fatigue.result import SURVIVES, FatigueResult, PartVerdict, SpotResult
from rollsim.report.fatigue_side import side_dict, side_lines
from rollsim.report.plain_data import CAUTION, json_ready, numbering
from rollsim.structure.hot_spots import CLOSURE
from rollsim.units import MPA

_CLOSURES = {
    "steel_rivet": "steel rivets",
    "integral_tenon": "integral tenons",
    "one_piece": "one piece, no closures",
}
NO_CLOSURE = "none, the cage is one piece"
_NO_CLOSURE = {"verdict": None, "reason": NO_CLOSURE}
_WIDTH = 96
_WHERE_ALL = (
    "`rollsim check CASE` and the JSON of this evaluation list every assumption with its effect."
)


def fatigue_text(result: FatigueResult) -> str:
    """Verdict for a terminal, closures and bars apart before the overall one.

    Then a table of places, limits, assumptions and the caution; warnings come before everything.

    Parameters
    ----------
    result : FatigueResult
        From `rollsim.fatigue.verdict.fatigue`.

    Returns
    -------
    str
        Lines without a closing line break.
    """
    lines = [f"Fatigue of the cage: {result.case_name} ({_CLOSURES[result.closure]})", ""]
    for warning in result.warnings:
        lines += _wrapped(warning, "!! ", "!! ")
    lines += ["", *_part_lines(result), *_verdict_lines(result)]
    lines += ["", *_spot_table(result), "", *_spot_notes(result), *side_lines(result)]
    lines += _listed("Notes", (result.reserve_note, *result.notes))
    lines += _listed("Limits of this verdict", result.limits)
    lines += _listed("Assumptions of this evaluation", result.own_assumptions)
    lines += _listed("Assumptions of the case that touch the verdict", result.touching_assumptions)
    lines += ["", *_wrapped(_WHERE_ALL)]
    lines += ["", *_wrapped(CAUTION)]
    return "\n".join(lines)


def fatigue_dict(result: FatigueResult) -> dict[str, Any]:
    """Verdict as plain numbers, texts, lists and dictionaries, ready for JSON.

    None stands for a life or reserve without limit, and for an interval that the history is too
    short for. Closures and bars are counted from 1, as in the text.

    Parameters
    ----------
    result : FatigueResult
        From `rollsim.fatigue.verdict.fatigue`.

    Returns
    -------
    dict
    """
    governing = result.governing
    content = {
        "case": result.case_name,
        "closure": result.closure,
        "closure_verdict": _NO_CLOSURE if result.closures is None else _part_dict(result.closures),
        "bars_verdict": _part_dict(result.bars),
        "governing_part": governing.part,
        "verdict": result.verdict,
        "reason": governing.reason,
        "warnings": result.warnings,
        "numbering": numbering(max(int(spot.bars.max()) for spot in result.spots) + 1),
        "governing_place": governing.spot.name,
        "governing_bar": governing.bar + 1,
        "life_h": result.life_h,
        "life_interval_h": governing.life_interval_h,
        "reserve_factor": result.reserve,
        "reserve_factor_interval": governing.reserve_interval,
        "reserve_factor_of_blocks": governing.block_reserve,
        "reserve_factor_found": result.reserve_note,
        "reserve_factor_passes": result.reserve_passes,
        "interface_opens_at_factor": result.opening_factor,
        "yield_share": result.yield_share,
        "target_life_h": result.target_life_h,
        "survival_probability": result.survival_probability,
        "load_share": result.load_share,
        "evaluated_s": {
            "from": result.start_s,
            "to": result.end_s,
            "duration": result.duration_s,
        },
        "largest_cover_force_N": result.largest_cover_force,
        "largest_bar_force_N": result.largest_bar_force,
        "largest_base_force_N": result.largest_base_force,
        "largest_land_force_N": result.largest_land_force,
        "method": result.method,
        "modal_over_quasi_static": None if result.difference is None else asdict(result.difference),
        "interface_open_share": result.open_share,
        "interface_searched_share": result.searched_share,
        "places": [_spot_dict(spot) for spot in result.spots],
        "notes": result.notes,
        "limits": result.limits,
        "assumptions": result.assumptions,
        "caution": CAUTION,
    }
    return json_ready(content)


def _part_dict(part: PartVerdict) -> dict[str, Any]:
    """Verdict on closures or bars as plain data."""
    return {
        "verdict": part.verdict,
        "reason": part.reason,
        "place": part.spot.name,
        "bar": part.bar + 1,
        "life_h": part.life_h,
        "life_interval_h": part.life_interval_h,
        "reserve_factor": part.reserve,
        "reserve_factor_interval": part.reserve_interval,
        "yield_share": part.yield_share,
        "spectral_side_line": side_dict(part),
    }


def verdict_words(result: FatigueResult, part: PartVerdict) -> str:
    """The word on a part, and what it holds for where that is not everything.

    Parameters
    ----------
    result : FatigueResult
        From `rollsim.fatigue.verdict.fatigue`.
    part : PartVerdict
        One of its parts.

    Returns
    -------
    str
    """
    alone = result.on_bars_alone and part.verdict == SURVIVES
    return f"{part.verdict} forces on the bars alone" if alone else part.verdict


def with_interval(value: float, interval: tuple[float, float] | None, write: Callable) -> str:
    """Value and, where there is one, its interval over the blocks.

    Parameters
    ----------
    value : float
        Life or reserve factor.
    interval : tuple of float or None
        Least and largest.
    write : callable
        `hours` or `factor`.

    Returns
    -------
    str

    Examples
    --------
    >>> with_interval(1.5, (1.25, float("inf")), factor), with_interval(1.5, None, factor)
    ('1.50 (1.25 to no limit)', '1.50 (no interval)')
    """
    if interval is None:
        return f"{write(value)} (no interval)"
    low, high = (write(end) for end in interval)
    return f"{write(value)} ({low} to {high})" if low != high else f"{write(value)} (all blocks)"


def _part_lines(result: FatigueResult) -> list[str]:
    """Closures first, bars next."""
    lines = [] if result.closures else _pair(CLOSURE, NO_CLOSURE)
    for part in result.parts:
        lines += _pair(
            part.part,
            f"{verdict_words(result, part).upper()};"
            f" reserve factor {with_interval(part.reserve, part.reserve_interval, factor)};"
            f" life in h {with_interval(part.life_h, part.life_interval_h, hours)};"
            f" {part.spot.name}, bar {part.bar + 1} ({part.spot.material}). {part.reason}",
        )
    return lines


def _verdict_lines(result: FatigueResult) -> list[str]:
    """The overall verdict and the numbers behind it."""
    part = result.governing
    spread = (
        f"{len(part.block_reserve)} blocks; intervals: least to largest of the blocks and the whole"
        if part.reserve_interval
        else "too short a history for an interval"
    )
    pairs = [
        ("verdict", f"{verdict_words(result, part).upper()}, governed by the {part.part}"),
        ("target life", f"{hours(result.target_life_h)} h"),
        ("survival", f"{100.0 * result.survival_probability:g} % of cages"),
        ("share of yield", f"{100.0 * result.yield_share:.0f} % (nominal, largest place)"),
        ("time in this duty", f"{100.0 * result.load_share:g} % of the service time"),
        ("evaluated", f"{result.start_s:.3g} to {result.end_s:.3g} s, {spread}"),
        ("largest force on a bar", f"{result.largest_bar_force:.0f} N"),
        ("largest force on the cover", f"{result.largest_cover_force:.0f} N"),
        ("largest on the base ring", f"{result.largest_base_force:.0f} N"),
        ("largest force of a land", f"{result.largest_land_force:.0f} N"),
        ("section forces", _method_words(result)),
    ]
    return [line for pair in pairs for line in _pair(*pair)]


def _method_words(result: FatigueResult) -> str:
    """How loads became section forces."""
    words = {
        "quasi_static": "quasi-static on the free cage, its vibrations left out",
        "modal": "with the vibrations of the free cage",
    }
    return (
        f"{words.get(result.method, result.method)}; a part of the interface of cover and bar ends"
        f" is open in {100.0 * result.open_share:.0f} % of the states{_difference_words(result)}"
    )


def _difference_words(result: FatigueResult) -> str:
    """What the vibrations change against a verdict as at rest."""
    found = result.difference
    if found is None:
        return ""
    return (
        f"; as at rest the moments at the {found.place.replace('_', ' ')} would be off by"
        f" {100.0 * found.rms:.0f} % (rms, at the samples); modal over quasi-static at the"
        f" governing place: stress {found.stress_ratio:.2f}, damage {found.damage_ratio:.2g},"
        f" reserve {found.reserve_ratio:.2f}"
    )


def _pair(name: str, value: str) -> list[str]:
    """A name and what there is to say."""
    return _wrapped(value, f"  {name + ':':<28}", " " * 30)


def _spot_table(result: FatigueResult) -> list[str]:
    """One line a sort of place: its worst bar."""
    lines = [
        "  place                  worst bar  reserve    life h   damage  highest local  share of",
        "                                    on load             per h     stress MPa   yield %",
    ]
    for spot in result.spots:
        k = spot.worst
        lines.append(
            f"  {spot.name:<22} {spot.bars[k] + 1:>9} {factor(spot.reserve[k]):>8}"
            f" {hours(spot.life_h[k]):>9} {spot.damage_per_h[k]:>8.1e}"
            f" {np.max(spot.highest_stress) / MPA:>14.1f} {100.0 * np.max(spot.yield_share):>9.0f}"
        )
    return lines


def _spot_notes(result: FatigueResult) -> list[str]:
    """S-N line and notch factors of every place."""
    lines = []
    for spot in result.spots:
        curve = spot.curve
        pull, about_r, about_t = spot.notch_factors
        text = (
            f"{spot.name}: {spot.material}, {curve.strength / MPA:.0f} MPa amplitude at"
            f" {curve.knee_cycles:.0e} cycles with surface, size and survival factors, slope"
            f" {curve.slope:g}, beyond {_beyond(curve.slope_beyond)}; mean stress by"
            f" {curve.mean_law}; notch factors {pull:.2f} (tension),"
            f" {about_r:.2f} (bending by bar forces), {about_t:.2f} (bending by cover forces):"
            f" {spot.note}"
        )
        if spot.preload_stress > 0.0:
            text += f"; preload {spot.preload_stress / MPA:.0f} MPa"
        lines += _wrapped(text, "  - ", "    ")
    return lines


def _beyond(slope: float) -> str:
    """Slope beyond the knee in words."""
    return "no damage" if math.isinf(slope) else f"{slope:g}"


def _spot_dict(spot: SpotResult) -> dict[str, Any]:
    """One sort of place as plain data."""
    cycles = spot.cycles
    return {
        "name": spot.name,
        "material": spot.material,
        "bars": spot.bars + 1,
        "worst_bar": int(spot.bars[spot.worst]) + 1,
        "damage_per_h": spot.damage_per_h,
        "life_h": spot.life_h,
        "life_of_blocks_h": spot.block_life_h,
        "reserve_factor": spot.reserve,
        "highest_local_stress_MPa": spot.highest_stress / MPA,
        "yield_share": spot.yield_share,
        "preload_stress_MPa": spot.preload_stress / MPA,
        "notch_factors": {
            "tension": spot.notch_factors[0],
            "about_r": spot.notch_factors[1],
            "about_t": spot.notch_factors[2],
        },
        "sn_line": {
            "amplitude_at_knee_MPa": spot.curve.strength / MPA,
            "knee_cycles": spot.curve.knee_cycles,
            "slope": spot.curve.slope,
            "slope_beyond": spot.curve.slope_beyond,
            "ultimate_MPa": spot.curve.ultimate / MPA,
            "mean_stress": spot.curve.mean_law,
            "mean_stress_parameter": spot.curve.mean_parameter,
        },
        "cycles_of_worst_bar": {
            "range_MPa": cycles.range / MPA,
            "mean_MPa": cycles.mean / MPA,
            "count": cycles.count,
        },
        "note": spot.note,
    }


def hours(value: float) -> str:
    """Hours for people: whole numbers where they say something, powers of ten elsewhere.

    Parameters
    ----------
    value : float, h
        Life.

    Returns
    -------
    str

    Examples
    --------
    >>> hours(20000.0), hours(3.2e9), hours(0.0012), hours(float("inf"))
    ('20000', '3.2e+09', '0.0012', 'no limit')
    """
    if math.isinf(value):
        return "no limit"
    return f"{value:.0f}" if 100.0 <= value < 1e5 else f"{value:.2g}"


def factor(value: float) -> str:
    """Reserve factor for people.

    Parameters
    ----------
    value : float
        Factor.

    Returns
    -------
    str

    Examples
    --------
    >>> factor(1.234), factor(float("inf")), factor(0.0)
    ('1.23', 'no limit', '0')
    """
    if math.isinf(value):
        return "no limit"
    return "0" if value == 0.0 else f"{value:.2f}" if value < 100.0 else f"{value:.0f}"


def _listed(title: str, sentences: Iterable[str]) -> list[str]:
    """Title and sentences, nothing where there are none."""
    lines: list[str] = []
    for sentence in sentences:
        lines += _wrapped(sentence, "  - ", "    ")
    return ["", f"{title}:", *lines] if lines else []


def _wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    """Lines of a sentence."""
    return textwrap.wrap(text, _WIDTH, initial_indent=first, subsequent_indent=rest)
