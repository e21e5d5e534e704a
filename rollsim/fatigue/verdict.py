"""Verdict on the closures of a cage from the history of a run."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from rollsim.analysis.settled import assumed_values, assumption_lines, case_name
from rollsim.fatigue.damage import life_hours, miner_sum, reserve_factor
from rollsim.fatigue.evaluate import (
    SpotCycles,
    SpotStreams,
    first_pass,
    second_pass,
    spot_streams,
)
from rollsim.fatigue.joint import loaded_joint, one_bar
from rollsim.fatigue.kept_pieces import KeptPieces
from rollsim.fatigue.limits import (
    SHORT_RESERVE,
    SHORT_S,
    assumptions_made,
    limits_of,
    touching_assumptions,
    warnings_for,
)
from rollsim.fatigue.loads import Span, blocks_of, settled_span
from rollsim.fatigue.recovered import ForceSource
from rollsim.fatigue.result import (
    FAILS,
    SURVIVES,
    UNKNOWN,
    FatigueResult,
    PartVerdict,
    SpotResult,
)
from rollsim.fatigue.side_line import side_line
from rollsim.fatigue.sn_curve import case_sn_curve
from rollsim.fatigue.vibrations import method_difference, modes_of, rms_difference
from rollsim.structure.hot_spots import BARE_ROOT, BARS, CLOSURE, ROOT, hot_spots
from rollsim.structure.interface import ContactLog
from rollsim.structure.modal_recovery import MODAL, modal_recovery
from rollsim.structure.recovery import PLACES, QUASI_STATIC, cage_recovery
from rollsim.units import HOUR

#: Fewest blocks of the history whose scatter gives an interval.
LEAST_BLOCKS = 3


def fatigue(history, method: str | None = None, kept: KeptPieces | None = None) -> FatigueResult:
    """Judge closures and bar roots of the cage by the forces of a run.

    Bar j takes the leading-face force of roller j and the trailing-face force of roller j + 1;
    rollers push cover and base ring axially, lands radially. The free cage answers to these loads
    at every instant, with the contact of its cover and bar ends and with weak or missing closures
    as in the case. Largest forces of every sampling interval are used (an envelope, see
    `rollsim.fatigue.loads`), after the settling time.

    Parameters
    ----------
    history : History
        Opened history, finished or not.
    method : str or None
        How loads become section forces: "quasi_static", or "modal", with the vibrations of the
        cage that the run drove at every step (it is then said what they change). None: modal where
        the history has modal coordinates.
    kept : KeptPieces or None
        Loads of this history that were read before; others are added.

    Returns
    -------
    FatigueResult

    Raises
    ------
    RollsimError
        Too few settled samples, a cage that cannot be made, a material without fatigue data, an
        unknown method, or a contact that does not settle.
    """
    kept = kept or KeptPieces()
    recovery, modes = kept.once("recovery", lambda: cage_recovery(history.case)), modes_of(history)
    span = settled_span(history, kept)
    parts = blocks_of(span.time)
    method = method or (MODAL if modes else QUASI_STATIC)
    source = ForceSource(history, parts, recovery, (), method, kept=kept)
    if method == QUASI_STATIC:
        return _verdict(source, span, *_evaluated(source, span))
    source.modal = modal_recovery(recovery, modes)
    spots, details = _evaluated(source, span)
    result = _verdict(source, span, spots, details)
    rms = rms_difference(source)
    where = (result.governing.spot.name, result.governing.bar)
    # As at rest the governing bar alone is asked for.
    resting, _ = _evaluated(replace(source, modal=None, log=ContactLog(), states=0), span, where)
    return replace(result, difference=method_difference(rms, spots, resting, *where))


def _evaluated(source: ForceSource, span: Span, alone: tuple[str, int] | None = None):
    """Results of all places, stress scaled as it is, and what blocks of the history give.

    `alone`: name of the only place, and its only bar, that are wanted.
    """
    recovery, settings, parts = source.recovery, source.history.case.fatigue, source.parts
    streams = [
        spot_streams(spot, case_sn_curve(spot.material, settings), recovery.preload)
        for spot in hot_spots(recovery.frame.design, settings.notch_factor)
        if len(spot.bars) and (alone is None or alone[0] == spot.name)
    ]
    if alone is not None:
        streams = [
            one_bar(own, int(np.flatnonzero(own.spot.bars == alone[1])[0])) for own in streams
        ]
    wanted = {stream.spot.field for stream in streams}
    source.places = tuple(place for place in PLACES if place in wanted)
    first_pass(streams, source.pieces, len(parts))
    cycles = second_pass(streams, source.pieces, len(parts))
    hours = [len(part) * span.interval / HOUR for part in parts]
    spots = tuple(
        _spot_result(stream, found, hours, settings)
        for stream, found in zip(streams, cycles, strict=True)
    )
    return spots, (cycles, hours, streams)


def _spot_result(
    stream: SpotStreams, found: SpotCycles, hours: list[float], settings
) -> SpotResult:
    """Life and reserve of every bar of a spot."""
    spot, curve, point = stream.spot, stream.curve, stream.worst_points()
    rows = np.arange(len(spot.bars))
    everywhere = stream.static_stress()
    static = everywhere[rows, point]
    total, share = sum(hours), settings.load_share
    damage = stream.totals[rows, point, 0] / total * share
    allowed = total / (settings.target_life_h * share)
    reserve = np.array(
        [reserve_factor(c, curve, allowed, s) for c, s in zip(found.whole, static, strict=True)]
    )
    block_life = np.array(
        [
            [
                life_hours(miner_sum(c, curve, s) / length * share)
                for c, s in zip(cycles, static, strict=True)
            ]
            for cycles, length in zip(found.blocks, hours, strict=True)
        ]
    )
    worst = int(np.argmin(reserve))
    return SpotResult(
        name=spot.name,
        part=spot.part,
        bars=spot.bars,
        point=point,
        damage_per_h=damage,
        life_h=np.array([life_hours(d) for d in damage]),
        reserve=reserve,
        highest_stress=(stream.totals[..., 2] + everywhere).max(axis=1),
        yield_share=stream.equivalent / spot.material.yield_strength,
        block_life_h=block_life,
        cycles=found.whole[worst],
        worst=worst,
        preload_stress=float(static[worst]),
        notch_factors=(spot.notch_tension, spot.notch_about_r, spot.notch_about_t),
        curve=curve,
        material=spot.material.name,
        note=spot.note,
        yield_strength=spot.material.yield_strength,
        static=static,
        found=found,
        maxima=np.concatenate([*stream.maxima, np.zeros(0, dtype=np.float32)]),
    )


def _verdict(source: ForceSource, span: Span, spots, details) -> FatigueResult:
    """Put the result together: closures and bars are judged apart."""
    history, case = source.history, source.history.case
    settings, design = case.fatigue, source.recovery.frame.design
    cycles, hours, streams = details
    joint = loaded_joint(source, streams, cycles)
    spots = joint.reserves(spots, sum(hours) / (settings.target_life_h * settings.load_share))
    own = (joint, cycles, hours)
    parts = {name: _part_verdict(name, spots, own, settings, span) for name in (CLOSURE, BARS)}
    own = assumptions_made(case, design, _root_reserve(spots))
    return FatigueResult(
        case_name=case_name(history),
        closure=case.cage.closure.kind,
        closures=parts[CLOSURE],
        bars=parts[BARS],
        spots=spots,
        target_life_h=settings.target_life_h,
        survival_probability=settings.survival_probability,
        load_share=settings.load_share,
        start_s=float(span.time[0] - span.interval),
        end_s=float(span.time[-1]),
        duration_s=span.duration,
        largest_cover_force=span.largest_cover,
        largest_bar_force=span.largest_bar,
        largest_base_force=span.largest_base,
        largest_land_force=span.largest_land,
        method=source.method,
        open_share=source.open_share,
        searched_share=source.searched_share,
        warnings=warnings_for(history, case, span),
        limits=limits_of(case, design, _frequencies(source)),
        own_assumptions=own,
        touching_assumptions=touching_assumptions(case, assumed_values(history)),
        assumptions=own + assumption_lines(history),
        notes=span.notes,
        block_hours=tuple(details[1]),
        reserve_note=joint.note(min(float(spot.reserve.min()) for spot in spots)),
        reserve_passes=joint.passes,
        opening_factor=None if joint.homogeneous else joint.first_opening,
    )


def _frequencies(source: ForceSource) -> np.ndarray | None:
    """Natural frequencies of the cage that the stresses follow, Hz; None as at rest."""
    return None if source.modal is None else source.history.modes()["frequencies"]


def _root_reserve(spots) -> float:
    """Least reserve of all bar roots at the base ring; no limit where bosses replace all bars."""
    roots = (float(spot.reserve.min()) for spot in spots if spot.name in (ROOT, BARE_ROOT))
    return min(roots, default=math.inf)


def _part_verdict(name: str, spots, details, settings, span: Span) -> PartVerdict | None:
    """Verdict on the closures or on the bars; None where the cage has none of them."""
    joint, cycles, hours = details
    own = [pair for pair in zip(spots, cycles, strict=True) if pair[0].part == name]
    if not own:
        return None
    spot, found = min(own, key=lambda pair: pair[0].reserve[pair[0].worst])
    block_reserve = _block_reserves(spot, found, joint, hours, settings)
    enough = len(block_reserve) >= LEAST_BLOCKS
    worst = spot.worst
    interval = _span_of(block_reserve, spot.reserve[worst]) if enough else None
    share = max(float(np.max(each.yield_share)) for each, _ in own)
    largest = max(span.largest_bar, span.largest_cover, span.largest_base)
    word, reason = judge(interval, share, largest, span.duration)
    if word == SURVIVES and span.largest_cover <= 0.0:
        reason += " This holds for forces on the bars alone: nothing pushed the cover."
    return PartVerdict(
        part=name,
        spot=spot,
        verdict=word,
        reason=reason,
        life_interval_h=_span_of(spot.block_life_h[:, worst], spot.life_h[worst])
        if enough
        else None,
        reserve_interval=interval,
        block_reserve=block_reserve,
        yield_share=share,
        side_line=side_line(found.series, span.interval, spot.curve, int(spot.bars[found.row])),
    )


def _block_reserves(spot: SpotResult, found: SpotCycles, joint, hours, settings) -> np.ndarray:
    """Reserve of the worst bar of a spot from each block alone."""
    life, reserves = settings.target_life_h * settings.load_share, []
    for number, (block, length) in enumerate(zip(found.blocks, hours, strict=True)):
        cycles, allowed = block[spot.worst], length / life
        scaled = reserve_factor(cycles, spot.curve, allowed, spot.preload_stress)
        reserves.append(joint.block_reserve(spot, number, scaled, allowed))
    return np.array(reserves)


def _span_of(values: np.ndarray, whole: float) -> tuple[float, float]:
    """Least and largest of the blocks and the whole."""
    return float(min(np.min(values), whole)), float(max(np.max(values), whole))


def judge(
    reserve_interval: tuple[float, float] | None,
    yield_share: float,
    largest_force: float,
    duration: float,
) -> tuple[str, str]:
    """The word of the verdict and its reason.

    Parameters
    ----------
    reserve_interval : tuple of float or None
        Least and largest reserve factor over the blocks; None where there are too few blocks.
    yield_share : float
        Largest nominal equivalent stress over yield strength.
    largest_force : float, N
        Largest force of a roller on the cage.
    duration : float, s
        Evaluated time; under SHORT_S a reserve of SHORT_RESERVE is asked for, since rare strong
        impacts are not in it.

    Returns
    -------
    word : str
        "survives", "does not survive" or "cannot tell".
    reason : str
        One sentence.

    Examples
    --------
    >>> judge((1.2, 1.9), 0.3, 500.0, 30.0)[0], judge((0.8, 1.9), 0.3, 500.0, 30.0)[0]
    ('survives', 'cannot tell')
    >>> judge((1.2, 1.9), 0.3, 500.0, 1.0)[0]
    'cannot tell'
    """
    if yield_share >= 1.0:
        return FAILS, "The nominal stress reaches the yield strength."
    if largest_force <= 0.0:
        return UNKNOWN, "No roller touched the cage in the evaluated time."
    if reserve_interval is None:
        return UNKNOWN, "The history is too short to tell how much the result scatters."
    low, high = reserve_interval
    if 1.0 <= low < SHORT_RESERVE and duration < SHORT_S:
        return UNKNOWN, (
            f"Every block leaves a reserve, the least {low:.2f}; a history under {SHORT_S:g} s must"
            f" leave {SHORT_RESERVE:g} (our own choice, not published), as rare strong impacts are"
            " not in it. Run longer."
        )
    if low >= 1.0:
        return SURVIVES, "Every block of the history leaves a reserve at the target life."
    if high < 1.0:
        return FAILS, "No block of the history reaches the target life."
    lowest = "0" if low == 0.0 else f"{low:.2f}"
    highest = "no limit" if math.isinf(high) else f"{high:.2f}"
    return UNKNOWN, (
        f"The reserve factor scatters from {lowest} to {highest} over the blocks of the history,"
        " on both sides of 1."
    )
