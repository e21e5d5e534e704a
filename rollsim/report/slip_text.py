"""Slip, smearing and wear in words and as a dictionary for JSON."""

from __future__ import annotations

import math

import numpy as np

from rollsim.analysis.rolling import LOADED_SHARE
from rollsim.analysis.settled import FACES, LANDS
from rollsim.analysis.slip import Slip, SlipResult
from rollsim.analysis.slip_windows import FEWEST_WINDOWS
from rollsim.analysis.smearing import RINGS, Smearing
from rollsim.analysis.wear import Rate, WearResult, total
from rollsim.report.plain_data import (
    CAUTION,
    json_ready,
    number,
    numbering,
    percent,
    table,
    wrapped,
)

RPM = 30.0 / math.pi
FINDING = (
    "Published finding (from memory): the wear of cages in traction motor bearings was found"
    " proportional to the impulse between rollers and cage"
)
NO_LIMIT = (
    "The smearing measure is no temperature and has no limit here: what a raceway bears depends on"
    " oil, film, roughness and coating. Compare designs and duties by it."
)
_RANKS = 5


def slip_text(slip: SlipResult, wear: WearResult | None) -> str:
    """Return slip, smearing and wear in plain words.

    Parameters
    ----------
    slip : SlipResult
        Result of `rollsim.analysis.slip.slip`.
    wear : WearResult or None
        Result of `rollsim.analysis.wear.wear`; None for a history without the sums.

    Returns
    -------
    str
        Several paragraphs and tables, no trailing newline.
    """
    lines = [
        f"Slip, smearing and wear of {slip.case_name}",
        f"Evaluated: {slip.start:.6g} s to {slip.end:.6g} s ({number(slip.duration, 4)} s).",
        "",
        *_slip_lines(slip),
        "",
        *_window_lines(slip),
        *_trend_lines(slip),
        "",
        *_smearing_lines(slip.smearing),
        "",
        *_wear_lines(wear),
    ]
    notes = dict.fromkeys((*slip.notes, *(wear.notes if wear else ())))
    if notes:
        lines += ["", "Notes:", *(part for note in notes for part in wrapped(f"  {note}"))]
    return "\n".join([*lines, "", *wrapped(CAUTION)])


def _slip_lines(result: SlipResult) -> list[str]:
    """Slip of cage and rollers, in the load zone and outside."""
    rows = [
        _slip_row(name, found)
        for name, found in (
            ("cage", result.cage),
            ("roller orbit", result.orbit),
            ("  in the load zone", result.orbit_loaded),
            ("  outside", result.orbit_unloaded),
            ("roller spin", result.spin),
            ("  in the load zone", result.spin_loaded),
            ("  outside", result.spin_unloaded),
        )
    ]
    head = ["slip of", "mean rad/s", "rolling rad/s", "mean", "5 %", "95 %", "rollers from", "to"]
    return [
        "Slip, 1 - speed/(speed of pure rolling of the moment):",
        *table(head, rows),
        *wrapped(
            f"  Load zone: force on the inner raceway above {100 * LOADED_SHARE:g} % of the mean of"
            f" the greatest; a roller is in it {percent(result.loaded_share)} of the time."
        ),
    ]


def _slip_row(name: str, found: Slip) -> list[str]:
    """Cells of one slip."""
    cells = [name, number(found.mean_speed, 4), number(found.rolling_speed, 4)]
    cells += [percent(value, 2) for value in (found.mean, found.low, found.high)]
    known = found.by_roller[np.isfinite(found.by_roller)]
    if known.size == 0:
        return [*cells, "", ""]
    return [*cells, percent(known.min(), 2), percent(known.max(), 2)]


def _window_lines(result: SlipResult) -> list[str]:
    """Slip in parts of the time, beside what drives it."""
    w = result.windows
    rows = [
        [
            f"{w.start[i]:.4g} to {w.end[i]:.4g}",
            percent(w.cage[i], 2),
            percent(w.spin_loaded[i], 2),
            percent(w.spin_unloaded[i], 2),
            number(1e-3 * w.load[i]),
            number(RPM * w.speed[i], 4),
            number(RPM * w.speed_rate[i]),
            number(w.vibration[i]),
        ]
        for i in range(len(w.start))
    ]
    head = [
        "time s", "cage", "spin in zone", "spin outside", "load kN", "rings rpm", "rpm/s",
        "vibration m/s2",
    ]  # fmt: skip
    title = "Mean slip by parts of the time; load, speed between the rings and vibration there:"
    return [title, *table(head, rows)]


def _trend_lines(result: SlipResult) -> list[str]:
    """How slip goes with what varied."""
    lines = []
    for trend in result.trends:
        lines += wrapped(
            f"  {trend.slip.capitalize()} against {trend.quantity}: rank correlation"
            f" {trend.correlation:+.2f} over {trend.windows} parts; mean slip"
            f" {percent(trend.low, 2)} at the lowest third and"
            f" {percent(trend.high, 2)} at the highest."
        )
    if len({trend.quantity for trend in result.trends}) > 1:
        lines.append("  What varies together cannot be told apart by this.")
    parts = len(result.windows.start)
    if not lines and parts < FEWEST_WINDOWS:
        return [f"  {parts} parts are too few to compare, {FEWEST_WINDOWS} are needed: run longer."]
    return lines or ["  Load, speed and vibration vary too little between the parts to compare."]


def _smearing_lines(found: Smearing | None) -> list[str]:
    """Greatest smearing measure of both raceways."""
    if found is None:
        return ["Smearing measure: not in this history."]
    rows = [[ring, *_smearing_cells(found, i)] for i, ring in enumerate(RINGS)]
    head = ["raceway", "max W/mm2", "99 % W/mm2", "at s", "roller", "degrees", "mean greatest at"]
    return [
        "Smearing measure, Hertzian pressure times sliding speed along the orbit (1 W/mm2 = 1 MPa"
        " m/s):",
        *table(head, rows),
        *wrapped(
            "  99 %: of the maxima of the output intervals, roller with the greatest value;"
            " degrees: orbit angle counter-clockwise from the x axis."
        ),
        *wrapped(f"  {NO_LIMIT}"),
    ]


def _smearing_cells(found: Smearing, ring: int) -> list[str]:
    """Cells of one raceway; only the zero where nothing slid."""
    if found.largest[ring] == 0.0:
        return ["0", "0", "-", "-", "-", "-"]
    return [
        number(1e-6 * found.largest[ring]),
        number(1e-6 * found.percentile_99[:, ring].max()),
        f"{found.largest_time[ring]:.6g}",
        str(found.largest_roller[ring] + 1),
        f"{math.degrees(found.largest_azimuth[ring]):.0f}",
        _sector_words(found, ring),
    ]


def _sector_words(found: Smearing, ring: int) -> str:
    """Sector with the greatest mean."""
    means = np.nan_to_num(found.sector_mean[:, ring])
    if not means.any():
        return "-"
    place = int(means.argmax())
    low, high = np.degrees(found.sector_edges[place : place + 2])
    return f"{low:.0f} to {high:.0f} degrees"


def _wear_lines(result: WearResult | None) -> list[str]:
    """Impulse and friction work by contact, and the order of the pockets."""
    if result is None:
        return ["Impulse and friction work: not in this history; run the case again."]
    pairs = [
        (f"pocket, {face}", *_part(result.pocket_impulse, i), *_part(result.pocket_work, i))
        for i, face in enumerate(FACES[:2] if result.planar else FACES)
    ]
    pairs += [
        (f"land, {land}", *_entry(result.land_impulse, i), *_entry(result.land_work, i))
        for i, land in enumerate(LANDS)
    ]
    pairs += [
        (f"raceway, {ring}", "", "", *_part(result.raceway_work, i)) for i, ring in enumerate(RINGS)
    ]
    if not result.planar:
        pairs += [
            (f"flange, {side}", "", "", *_part(result.flange_work, i))
            for i, side in enumerate(LANDS)
        ]
    head = ["sum of all rollers", "impulse N s/s", "+-", "friction work J/h", "+-"]
    windows = len(result.window_edges) - 1
    return [
        *wrapped(
            "What wear goes with: impulse per second and friction work per hour; +- is the standard"
            f" error from {windows} equal parts of the time."
        ),
        *table(head, pairs),
        *wrapped(
            "  Friction work is that of surfaces that touch, on raceways also that of their film;"
            " what the films of pockets and lands lose is not in it."
        ),
        *_rank_lines(result),
        *wrapped(f"  {FINDING}."),
        *wrapped(
            "  No wear depth is told: that needs a wear coefficient of these materials and this oil"
            " from a test."
        ),
    ]


def _part(rate: Rate, column: int) -> tuple[str, str]:
    """Sum over the rollers and its error, one face."""
    return _entry(total(rate, 0), column)


def _entry(rate: Rate, index: int) -> tuple[str, str]:
    """Mean and error of one entry."""
    return number(float(rate.mean[index])), number(float(rate.error[index]), 2)


def _rank_lines(result: WearResult) -> list[str]:
    """The pockets that bear most and the one that bears least."""
    ranking = result.ranking
    shown = [(str(i + 1), rank) for i, rank in enumerate(ranking[:_RANKS])]
    if len(ranking) > _RANKS:
        shown.append((str(len(ranking)), ranking[-1]))
    rows = [
        [
            place,
            str(rank.roller + 1),
            number(rank.impulse),
            number(rank.impulse_error, 2),
            number(rank.work),
            number(rank.work_error, 2),
        ]
        for place, rank in shown
    ]
    head = ["rank", "pocket", "impulse N s/s", "+-", "friction work J/h", "+-"]
    words = (
        "The first pocket stands out from the others beyond the scatter."
        if result.distinct
        else "No pocket stands out: the order of the pockets is within the scatter."
    )
    title = wrapped(f"Pockets by impulse ({numbering(len(ranking))}):")
    return [*title, *table(head, rows), f"  {words}"]


def slip_dict(slip: SlipResult, wear: WearResult | None) -> dict:
    """Return slip, smearing and wear as a dictionary that the json module can write.

    Parameters
    ----------
    slip : SlipResult
        Result of `rollsim.analysis.slip.slip`.
    wear : WearResult or None
        Result of `rollsim.analysis.wear.wear`; None for a history without the sums.

    Returns
    -------
    dict
        Keys carry the unit; missing numbers are None. Rollers count from 1.
    """
    w = slip.windows
    return json_ready(
        {
            "case_name": slip.case_name,
            "evaluated_s": [slip.start, slip.end],
            "slip": {
                "cage": _slip_dict(slip.cage),
                "roller_orbit": _slip_dict(slip.orbit),
                "roller_orbit_in_load_zone": _slip_dict(slip.orbit_loaded),
                "roller_orbit_outside": _slip_dict(slip.orbit_unloaded),
                "roller_spin": _slip_dict(slip.spin),
                "roller_spin_in_load_zone": _slip_dict(slip.spin_loaded),
                "roller_spin_outside": _slip_dict(slip.spin_unloaded),
            },
            "load_zone": {
                "force_above_share_of_greatest": LOADED_SHARE,
                "share_of_time": slip.loaded_share,
            },
            "windows": {
                "start_s": w.start,
                "end_s": w.end,
                "cage_slip": w.cage,
                "orbit_slip_in_load_zone": w.orbit_loaded,
                "spin_slip_in_load_zone": w.spin_loaded,
                "spin_slip_outside": w.spin_unloaded,
                "load_N": w.load,
                "speed_between_rings_rad_per_s": w.speed,
                "acceleration_between_rings_rad_per_s2": w.speed_rate,
                "vibration_m_per_s2": w.vibration,
            },
            "trends": [
                {
                    "slip": trend.slip,
                    "against": trend.quantity,
                    "rank_correlation": trend.correlation,
                    "mean_slip_lowest_third": trend.low,
                    "mean_slip_highest_third": trend.high,
                    "windows": trend.windows,
                }
                for trend in slip.trends
            ],
            "smearing": _smearing_dict(slip.smearing),
            "wear": _wear_dict(wear),
            "assumptions": slip.assumptions,
            "notes": list(dict.fromkeys((*slip.notes, *(wear.notes if wear else ())))),
            "caution": CAUTION,
        }
    )


def _slip_dict(found: Slip) -> dict:
    """One slip with units in the keys."""
    return {
        "mean": found.mean,
        "percentile_5": found.low,
        "percentile_95": found.high,
        "mean_speed_rad_per_s": found.mean_speed,
        "rolling_speed_rad_per_s": found.rolling_speed,
        "mean_by_roller": found.by_roller,
    }


def _smearing_dict(found: Smearing | None) -> dict | None:
    """The smearing measure."""
    if found is None:
        return None
    return {
        "meaning": "Hertzian pressure times sliding speed along the orbit",
        "raceways": RINGS,
        "largest_W_per_m2": found.largest,
        "largest_time_s": found.largest_time,
        "largest_roller": [roller + 1 for roller in found.largest_roller],
        "largest_azimuth_deg": [math.degrees(angle) for angle in found.largest_azimuth],
        "maximum_by_roller_W_per_m2": found.maximum,
        "percentile_99_by_roller_W_per_m2": found.percentile_99,
        "sector_edges_deg": np.degrees(found.sector_edges),
        "maximum_by_sector_W_per_m2": found.sector_maximum,
        "mean_by_sector_W_per_m2": found.sector_mean,
        "reservation": NO_LIMIT,
    }


def _wear_dict(result: WearResult | None) -> dict | None:
    """Impulse and friction work."""
    if result is None:
        return None
    rates = {
        "pocket_impulse_N_s_per_s": result.pocket_impulse,
        "land_impulse_N_s_per_s": result.land_impulse,
        "pocket_friction_work_J_per_h": result.pocket_work,
        "land_friction_work_J_per_h": result.land_work,
        "raceway_friction_work_J_per_h": result.raceway_work,
        "flange_friction_work_J_per_h": result.flange_work,
    }
    return {
        "faces": FACES,
        "lands": LANDS,
        "numbering": numbering(len(result.ranking)),
        "window_edges_s": result.window_edges,
        **{name: {"mean": rate.mean, "standard_error": rate.error} for name, rate in rates.items()},
        "ranking": [
            {
                "pocket": rank.roller + 1,
                "impulse_N_s_per_s": rank.impulse,
                "impulse_standard_error": rank.impulse_error,
                "friction_work_J_per_h": rank.work,
                "friction_work_standard_error": rank.work_error,
            }
            for rank in result.ranking
        ],
        "first_stands_out": result.distinct,
        "finding": FINDING,
    }
