"""What `rollsim check` says about a case: derived numbers, cost, assumptions."""

from __future__ import annotations

import numpy as np

from rollsim.errors import RunError, shown
from rollsim.history.layout import row_bytes
from rollsim.model.build import build_model
from rollsim.model.hertz import hertz_line_pressure
from rollsim.model.kinematics import characteristic_frequencies
from rollsim.model.pairs import effective_length, pair_modulus
from rollsim.report.plain_data import number, table, wrapped
from rollsim.simulation.marches import COMPILED
from rollsim.simulation.problem import problem_of
from rollsim.simulation.trial import cost_per_simulated_second
from rollsim.units import G0, MM, RPM_TO_RAD_S

#: Share of the raw size that compression leaves; measured on histories of the example cases.
PACKED_SHARE = {"planar": 0.45, "spatial": 0.76}
#: Simulated time for which the vibration is made in a check, s.
_LONGEST_LOOK = 10.0


def check_case(case, trial=True) -> dict:
    """Numbers that follow from a case.

    Parameters
    ----------
    case : Case
        The case.
    trial : bool
        March a few hundred steps to tell the cost.

    Returns
    -------
    dict
        Sections of name -> value, units in the names; `assumptions` is a list of dicts.
    """
    built = build_model(case, min(case.duty.duration_s, _LONGEST_LOOK))
    cost, step, warnings = _cost(case, built) if trial else (None, None, ())
    duration = case.duty.duration_s
    size = row_bytes(case.roller.count) * case.output.rate_Hz * duration
    size *= PACKED_SHARE[case.solver.motion]
    return {
        "case": case.case.name,
        "clearances": _clearances(case),
        "speeds": _speeds(case, built),
        "static_load": _static_load(case, built),
        "cage": _cage(built),
        "vibration": _vibration(built),
        "run": {
            "motion": case.solver.motion,
            "solver": case.solver.name,
            "duration_s": duration,
            "samples": round(duration * case.output.rate_Hz),
            "mean_step_us": None if step is None else 1e6 * step,
            "expected_run_time_s": None if cost is None else cost * duration,
            "expected_file_size_MB": 1e-6 * size,
        },
        "warnings": [*built.vibration.warnings, *warnings],
        "assumptions": [
            {"key": a.key, "value": a.value, "unit": a.unit, "why": a.why, "effect": a.effect}
            for a in built.assumptions
        ],
    }


def _cost(case, built) -> tuple:
    """Computing time per simulated second, mean step in s and warnings, from trial steps."""
    if case.solver.name != COMPILED:
        note = (
            f"the run time of the solver {case.solver.name} is not measured; "
            "ten times that of dormand_prince and more is usual"
        )
        return None, None, (note,)
    try:
        return *cost_per_simulated_second(problem_of(built)), ()
    except RunError as problem:
        return None, None, (f"{problem}: a run would stop there too; look at stiffness and loads",)


def _clearances(case) -> dict:
    """Clearances as given."""
    names = ("radial_um", "pocket_um", "guidance_um", "pocket_axial_um", "flange_axial_um")
    values = {name: getattr(case.clearance, name) for name in names}
    return {name: value for name, value in values.items() if value is not None}


def _speeds(case, built) -> dict:
    """Kinematic speeds and frequencies without slip."""
    speeds = (built.model.duty.inner_speed, built.model.duty.outer_speed)
    found = characteristic_frequencies(
        speeds,
        case.roller.count,
        MM * case.roller.diameter_mm,
        MM * case.bearing.pitch_diameter_mm,
    )
    return {
        "cage_speed_rpm": built.cage_speed / RPM_TO_RAD_S,
        "roller_spin_rpm": built.roller_spin / RPM_TO_RAD_S,
        "inner_ring_Hz": found.inner,
        "cage_Hz": found.cage,
        "roller_on_own_axis_Hz": found.roller,
        "rollers_passing_outer_Hz": found.outer_pass,
        "rollers_passing_inner_Hz": found.inner_pass,
    }


def _static_load(case, built) -> dict:
    """Static load distribution with the rollers where a run starts."""
    statics = built.statics
    modulus = pair_modulus(case, case.roller.material, "bearing_steel")
    radius = 0.5 * MM * case.roller.diameter_mm
    inner = 0.5 * MM * case.bearing.pitch_diameter_mm - radius
    line_load = float(statics.inner_force.max()) / effective_length(case)
    curvature = 1.0 / (1.0 / radius + 1.0 / inner)
    return {
        "largest_roller_load_N": float(statics.outer_force.max()),
        "loaded_rollers": int(np.sum(statics.inner_force > 0.0)),
        "inner_ring_displacement_um": 1e6 * float(np.hypot(*statics.displacement)),
        "largest_pressure_inner_MPa": 1e-6 * hertz_line_pressure(line_load, curvature, modulus),
    }


def _cage(built) -> dict:
    """Mass and stiffness of the cage."""
    model = built.model
    return {
        "mass_kg": model.cage.mass,
        "axial_inertia_kg_m2": model.cage.axial,
        "transverse_inertia_kg_m2": model.cage.transverse,
        "bar_stiffness_N_per_um": 1e-6 * model.pocket.backing,
        "roller_mass_kg": model.roller.mass,
        "inner_ring_and_rotor_mass_kg": model.ring.mass,
    }


def _vibration(built) -> dict:
    """Levels of the imposed vibration."""
    summary = built.vibration
    level = np.hypot(summary.random_rms, summary.harmonic_rms) / G0
    found = {f"rms_{axis}_g": float(value) for axis, value in zip("xyz", level, strict=True)}
    if summary.highest_frequency > 0.0:
        found["lowest_frequency_Hz"] = summary.lowest_frequency
        found["highest_frequency_Hz"] = summary.highest_frequency
        found["repeats_after_s"] = summary.period
    return found


def _rows(section: dict) -> list[str]:
    """Lines of one section: words, value, unit."""
    rows = []
    for name, value in section.items():
        words, unit = _words(name)
        shown = number(value, 4) if isinstance(value, float) else str(value)
        rows.append([words, "not measured" if value is None else shown, unit])
    return table(["", "value", "unit"], rows)


def _words(name: str) -> tuple[str, str]:
    """Plain words and unit of a key such as mass_kg."""
    units = {
        "_N_per_um": "N/um", "_kg_m2": "kg m2", "_rpm": "rpm", "_Hz": "Hz", "_MPa": "MPa",
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
        "static_load": "Static load distribution at the start",
        "cage": "Masses and stiffness",
        "vibration": "Imposed vibration after the fade-in",
        "run": "Run",
    }
    lines = [f"{found['case']}: the case is valid."]
    for key, title in titles.items():
        lines += ["", title, *_rows(found[key])]
    lines += [line for text in found["warnings"] for line in wrapped(f"Warning: {text}")]
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
