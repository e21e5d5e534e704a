"""What `rollsim check` says about a case: derived numbers, cost, assumptions."""

from __future__ import annotations

from dataclasses import asdict

import numpy as np

from rollsim.case.assumptions import idle_keys
from rollsim.case.environments import used_environments
from rollsim.case.places import named_elsewhere
from rollsim.errors import RunError, shown
from rollsim.history.layout import row_bytes
from rollsim.model.build import build_model
from rollsim.model.elasticity import backing_in_force, mode_count
from rollsim.model.operating import operating_point
from rollsim.model.ranges import range_warnings
from rollsim.model.recording.replay import refuse_short
from rollsim.model.recording.told import summary_data, summed_rms
from rollsim.model.vibration import foreseen_summary
from rollsim.report.check_cage import (
    cage_section,
    pocket_lines,
    pocket_rows,
    stiffness_warnings,
)
from rollsim.report.check_modes import mode_warnings, modes_section
from rollsim.report.check_mounts import drive_and_mounts
from rollsim.report.check_recordings import recording_lines
from rollsim.report.check_sections import (
    clearances,
    load_zone_rows,
    lubrication,
    rating,
    speeds,
    static_load,
)
from rollsim.report.check_words import environment_lines, load_zone_lines, warning_text
from rollsim.report.look import look_at_case
from rollsim.report.look_summary import applied_lines, look_summary
from rollsim.report.plain_data import number, table, wrapped
from rollsim.simulation.marches import COMPILED
from rollsim.simulation.problem import problem_of
from rollsim.simulation.trial import cost_per_simulated_second
from rollsim.structure.elasticity import cage_elasticity
from rollsim.units import G0

#: Share of the raw size that compression leaves; measured on histories of the example cases.
PACKED_SHARE = {"planar": 0.34, "spatial": 0.55}
#: Simulated time for which the vibration is made in a check, s.
_LONGEST_LOOK = 10.0


def check_case(case, trial=True, draw=None) -> dict:
    """Numbers that follow from a case.

    Parameters
    ----------
    case : Case
        The case.
    trial : bool
        March a few hundred steps to tell the cost.
    draw : callable or None
        Takes the look at the imposed vibration, where there is some.

    Returns
    -------
    dict
        Sections of name -> value, units in the names; `load_zone`, `pocket_stiffness`,
        `range_warnings` and `assumptions` are lists of dicts.
    """
    # First, so that the random samples of a long run are gone before anything else is made.
    look = _look(case)
    if look and draw:
        draw(look)
    glance = min(case.duty.duration_s, _LONGEST_LOOK)
    elasticity = cage_elasticity(case)
    built = build_model(case, glance, elasticity=elasticity)
    backing = backing_in_force(case, elasticity)
    vibration = foreseen_summary(case, built.vibration, glance, case.duty.duration_s)
    refuse_short(built.vibration.recordings, case.duty.duration_s)
    point = operating_point(built)
    cost, step, warnings = _cost(case, built) if trial else (None, None, ())
    duration = case.duty.duration_s
    size = row_bytes(case.roller.count, mode_count(elasticity)) * case.output.rate_Hz * duration
    size *= PACKED_SHARE[case.solver.motion]
    return {
        "case": case.case.name,
        "clearances": clearances(case, built),
        "speeds": speeds(case, built),
        "rating": rating(point),
        "static_load": static_load(point),
        "load_zone": load_zone_rows(point),
        "lubrication": lubrication(point),
        "cage": {**cage_section(case, built, backing), **modes_section(case, elasticity)},
        "pocket_stiffness": pocket_rows(backing),
        "drive_and_mounts": drive_and_mounts(built),
        "vibration": _vibration(vibration),
        "recordings": [summary_data(item) for item in built.vibration.recordings],
        "environments": [asdict(item) for item in used_environments(case)],
        "applied_vibration": look_summary(look) if look else None,
        "run": {
            "motion": case.solver.motion,
            "solver": case.solver.name,
            "duration_s": duration,
            "samples": round(duration * case.output.rate_Hz),
            "mean_step_us": None if step is None else 1e6 * step,
            "expected_run_time_s": None if cost is None else cost * duration,
            "expected_file_size_MB": 1e-6 * size,
        },
        "warnings": [
            *named_elsewhere(case),
            *vibration.warnings,
            *point.films.warnings,
            *_idle(case),
            *warnings,
            *_nominal(case),
            *stiffness_warnings(case),
            *mode_warnings(case, elasticity),
        ],
        "range_warnings": [asdict(item) for item in range_warnings(built, point)],
        "assumptions": [
            {"key": a.key, "value": a.value, "unit": a.unit, "why": a.why, "effect": a.effect}
            for a in built.assumptions
        ],
    }


def _cost(case, built) -> tuple:
    """Computing time per simulated second, mean step in s and warnings, from trial steps."""
    if case.solver.name not in COMPILED:
        note = (
            f"the run time of the solver {case.solver.name} is not measured; "
            "ten times that of leapfrog and more is usual"
        )
        return None, None, (note,)
    try:
        return *cost_per_simulated_second(problem_of(built), case.solver.name), ()
    except RunError as problem:
        return None, None, (f"{problem}: a run would stop there too; look at stiffness and loads",)


def _look(case):
    """What the sources of vibration apply; None without sources."""
    if not case.vibration:
        return None
    return look_at_case(case)


def _idle(case) -> list[str]:
    """Keys given in vain."""
    return [
        f"{key} = {shown(value)} changes nothing: it counts only with {when}"
        for key, value, when in idle_keys(case)
    ]


def _nominal(case) -> list[str]:
    """Nominal speeds that tell nothing, or something else, of a bearing that turns by a table."""
    duty = case.duty
    tables = [name for name in ("speed_table", "outer_speed_table") if getattr(duty, name)]
    if not tables or duty.speed_rpm != duty.outer_speed_rpm:
        return [text for name in tables for text in _beside_table(duty, name)]
    return [
        "both rings have one nominal speed, so that speeds, frequencies and films above are those "
        f"of a bearing at rest: give the running speed beside {' and '.join(tables)} as "
        "duty.speed_rpm or duty.outer_speed_rpm"
    ]


def _beside_table(duty, name) -> list[str]:
    """A nominal speed that a ring never has."""
    key = name.replace("table", "rpm")
    speeds, nominal = [row[1] for row in getattr(duty, name)], getattr(duty, key)
    if min(speeds) <= nominal <= max(speeds):
        return []
    return [
        f"duty.{key} = {nominal:g} lies outside of duty.{name} ({min(speeds):g} to "
        f"{max(speeds):g} rpm): speeds, frequencies and films above, and the accuracy of the "
        f"run, go by {key}; give it a speed of the table"
    ]


def _vibration(summary) -> dict:
    """Levels of the imposed vibration."""
    level = np.hypot(summary.random_rms, summary.harmonic_rms) / G0
    level = np.hypot(level, summed_rms(summary.recordings) / G0)
    found = {f"rms_{axis}_g": float(value) for axis, value in zip("xyz", level, strict=True)}
    if summary.highest_frequency > 0.0:
        found["lowest_frequency_Hz"] = summary.lowest_frequency
        found["highest_frequency_Hz"] = summary.highest_frequency
        names = ("repeats_after_s",)
        if len(summary.periods) == 2:
            names = ("first_half_repeats_after_s", "second_half_repeats_after_s")
        found.update(zip(names, summary.periods, strict=True))
    if summary.sweep_count:
        found["one_way_sweeps"] = summary.sweep_count
    if summary.shock_count:
        found["shocks"] = summary.shock_count
        found["largest_shock_g"] = summary.largest_shock / G0
    return found


def _rows(section: dict, missing: str) -> list[str]:
    """Lines of one section: words, value, unit."""
    rows = []
    for name, value in section.items():
        words, unit = _words(name)
        shown = number(value, 4) if isinstance(value, float) else str(value)
        rows.append([words, missing if value is None else shown, unit])
    return table(["", "value", "unit"], rows)


def _words(name: str) -> tuple[str, str]:
    """Plain words and unit of a key such as mass_kg."""
    units = {
        "_N_per_um": "N/um", "_kg_m2": "kg m2", "_m_per_s": "m/s", "_mPas": "mPa s",
        "_per_GPa": "1/GPa", "_mm_per_min": "mm/min", "_kN": "kN", "_Nm": "N m", "_deg": "degrees",
        "_percent": "%", "_mm": "mm", "_mrad": "mrad", "_rpm": "rpm", "_Hz": "Hz", "_MPa": "MPa",
        "_MB": "MB", "_kg": "kg", "_um": "um", "_us": "us", "_N": "N", "_s": "s", "_g": "g",
    }  # fmt: skip
    for suffix, unit in units.items():
        if name.endswith(suffix):
            return name[: -len(suffix)].replace("_", " "), unit
    return name.replace("_", " "), ""


def check_text(found: dict) -> str:
    """The numbers of a case in plain words.

    Parameters
    ----------
    found : dict
        Result of `check_case`.

    Returns
    -------
    str
        Sections, then every value that the user did not give.
    """
    titles = {
        "clearances": "Clearances (radial, pocket, guidance: full play)",
        "speeds": "Speeds and frequencies without slip",
        "rating": "Load rating and loads",
        "static_load": "Static load distribution at the start",
        "lubrication": "Films of the raceways at the most loaded roller, without slip",
        "cage": "Masses and stiffness",
        "drive_and_mounts": "Duty in time, drive, seat, shaft, imbalance",
        "vibration": "Imposed vibration after the fade-in",
        "run": "Run",
    }
    if not {"one_way_sweeps", "shocks"}.isdisjoint(found["vibration"]):
        titles["vibration"] += ", rms without sweeps and shocks"
    lines = [f"{found['case']}: the case is valid."]
    for key, title in titles.items():
        if key == "drive_and_mounts" and not found[key]:
            continue
        lines += ["", title, *_rows(found[key], "not measured" if key == "run" else "none")]
        if key == "cage":
            lines += pocket_lines(found["pocket_stiffness"])
        if key == "static_load":
            lines += load_zone_lines(found["load_zone"])
        if key == "vibration":
            lines += environment_lines(found["environments"])
            lines += applied_lines(found["applied_vibration"])
            passing = ("rollers_passing_outer_Hz", "rollers_passing_inner_Hz")
            needed = max(found["speeds"][name] for name in passing)
            lines += recording_lines(found["recordings"], needed)
    texts = [*map(warning_text, found["range_warnings"]), *found["warnings"]]
    lines += [line for text in texts for line in ["", *wrapped(f"Warning: {text}")]]
    lines += ["", "Assumptions: values that the case does not give"]
    for item in found["assumptions"]:
        lines += wrapped(_assumption(item))
    return "\n".join(lines)


def _assumption(item: dict) -> str:
    """One assumption as a sentence."""
    value = item["value"]
    text = "not computed yet" if value is None else value if _is_word(value) else shown(value)
    unit = f" {item['unit']}" if item["unit"] and value is not None else ""
    effect = f" Effect: {item['effect']}." if item["effect"] else ""
    return f"  {item['key']} = {text}{unit}: {item['why']}.{effect}"


def _is_word(value) -> bool:
    """Whether a value is a text that reads well without quotes."""
    return isinstance(value, str) and value != ""
