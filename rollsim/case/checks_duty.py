"""Relations of tables in time, drive, housing seat and shaft."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from rollsim.case.checks import Finding, Values

_SPEED = ("speed", "rpm", -2e5, 2e5)
_LOAD = (
    ("radial load", "kN", 0.0, 1e5),
    ("direction", "degrees", -3.6e6, 3.6e6),
    ("axial load", "kN", -1e5, 1e5),
)
_LARGEST_SEAT = 1e6
#: Sign of an axial load, where it pushes the inner ring, flanges that pass it on.
_TAKERS = (
    (1, "cover (+z)", "inner_base", "outer_cover"),
    (-1, "base (-z)", "inner_cover", "outer_base"),
)


def _rows_of(key: str, columns: tuple):
    """Check that a table begins at time 0, rises in time and keeps to its limits."""

    def check(v: Values) -> Iterator[Finding]:
        rows = v[key]
        if not rows:
            yield Finding(key, "needs at least one row")
            return
        if rows[0][0] != 0:
            yield Finding(key, f"the first row must stand at time 0 s, not {rows[0][0]:g} s")
        times = [row[0] for row in rows]
        for number, (one, two) in enumerate(pairwise(times), 2):
            if two - one < 1e-6:
                yield Finding(
                    key,
                    f"times must rise by a microsecond at least: row {number} stands at {two:g} s "
                    f"behind {one:g} s",
                )
                break
        yield from _limits(key, rows, columns)

    return check


def _limits(key: str, rows: tuple, columns: tuple) -> Iterator[Finding]:
    """Values of a table out of their limits; the first of every column."""
    for at, (what, unit, low, high) in enumerate(columns, 1):
        for number, row in enumerate(rows, 1):
            if not low <= row[at] <= high:
                yield Finding(
                    key,
                    f"row {number}: the {what} {row[at]:g} {unit} is not from {low:g} to {high:g}",
                )
                break


def _torque_has_its_keys(v: Values) -> Iterator[Finding]:
    """A drive by torque has a torque and an inertia, and no table of speeds."""
    if v["duty.drive"] != "torque":
        return
    single, table = v.given("duty.drive_torque_Nm"), v.given("duty.torque_table")
    if not single and not table:
        yield Finding(
            "duty.drive_torque_Nm",
            "[duty] needs 'drive_torque_Nm' or 'torque_table' with drive = 'torque'",
        )
    if single and table:
        yield Finding("duty.torque_table", "give either drive_torque_Nm or torque_table, not both")
    if not v.given("duty.drive_inertia_kgm2"):
        yield Finding(
            "duty.drive_inertia_kgm2",
            "[duty] needs 'drive_inertia_kgm2' with drive = 'torque' (0 for the ring alone)",
        )
    if v.given("duty.speed_table"):
        yield Finding(
            "duty.speed_table", "a torque drives the inner ring: its speed cannot be prescribed"
        )


def _only_with_torque(name: str):
    """Check that a key of the drive by torque stands with it."""
    key = f"duty.{name}"

    def check(v: Values) -> Iterator[Finding]:
        if v.given(key) and v["duty.drive"] != "torque":
            yield Finding(key, "belongs to drive = 'torque'; leave it out or change the drive")

    return check


def _only_with(key: str, needed: str, why: str):
    """Check that a key does not stand without another."""

    def check(v: Values) -> Iterator[Finding]:
        if v.given(key) and not v.given(needed):
            yield Finding(key, f"{why}: give {needed} as well, or leave this out")

    return check


def _shaft_tilt(v: Values) -> Iterator[Finding]:
    """Tilting is computed in spatial motion only."""
    key = "duty.shaft_tilt_stiffness_Nm_per_mrad"
    if v.given(key) and v["solver.motion"] == "planar":
        yield Finding(
            key, "planar motion has no tilt: give solver.motion = 'spatial' or leave this out"
        )


def _axial_table(v: Values) -> Iterator[Finding]:
    """No axial load in planar motion."""
    rows = v["duty.load_table"]
    if v["solver.motion"] == "planar" and any(row[3] != 0 for row in rows):
        yield Finding(
            "duty.load_table",
            "planar motion takes no axial load: give solver.motion = 'spatial' or 0 in the last "
            "column",
        )


def _axial_path(v: Values) -> Iterator[Finding]:
    """Flanges take up an axial load: one of each ring, or the inner ring slides out."""
    if v["solver.motion"] == "planar" or "inner_z" in v["solver.locked"]:
        return
    loads = {"duty.axial_load_kN": [v["duty.axial_load_kN"]]}
    if v.given("duty.load_table"):
        loads = {"duty.load_table": [row[3] for row in v["duty.load_table"]]}
    flanges = v["bearing.flanges"]
    for key, values in loads.items():
        for sign, towards, *needed in _TAKERS:
            missing = [name for name in needed if name not in flanges]
            if missing and any(sign * value > 0 for value in values):
                yield Finding(
                    key,
                    f"no flange takes up an axial load towards the {towards}: the inner ring would "
                    f"slide out; bearing.flanges needs {' and '.join(map(repr, missing))} too, or "
                    "lock 'inner_z' in solver.locked",
                )


def _carrier(v: Values) -> Iterator[Finding]:
    """The radius of a carrier counts where it turns."""
    key, speed = "duty.carrier_radius_mm", "duty.carrier_speed_rpm"
    if v[key] > 0 and not v.given(speed):
        yield Finding(
            key, f"counts only where the carrier turns: give {speed} as well, or leave this out"
        )


def _something_turns(v: Values) -> Iterator[Finding]:
    """A drive without torque does not set a ring in motion that stands."""
    start = v.find("duty.start_speed_rpm")
    outer = v.given("duty.outer_speed_table") or v["duty.outer_speed_rpm"] != 0
    if v["duty.drive"] != "torque" or outer or (v["duty.speed_rpm"] if start is None else start):
        return
    rows = v.find("duty.torque_table") or ((0.0, v["duty.drive_torque_Nm"]),)
    if all(row[1] == 0 for row in rows):
        table = v.given("duty.torque_table")
        yield Finding(
            "duty.torque_table" if table else "duty.drive_torque_Nm",
            "nothing would turn: give a torque, or the speed of a run-down as start_speed_rpm",
        )


def _seat(v: Values) -> Iterator[Finding]:
    """A seat holds the ring in every direction."""
    key = "bearing.seat_stiffness_N_per_um"
    if not all(0 < part <= _LARGEST_SEAT for part in v[key]):
        yield Finding(key, f"each part must be greater than 0 and at most {_LARGEST_SEAT:g} N/um")


_SEAT = "bearing.seat_stiffness_N_per_um"
_SHAFT = "duty.shaft_stiffness_N_per_um"

CHECKS = (
    _rows_of("duty.speed_table", (_SPEED,)),
    _rows_of("duty.outer_speed_table", (_SPEED,)),
    _rows_of("duty.load_table", _LOAD),
    _rows_of("duty.torque_table", (("torque", "N m", -1e7, 1e7),)),
    _torque_has_its_keys,
    _only_with_torque("drive_torque_Nm"),
    _only_with_torque("torque_table"),
    _only_with_torque("drive_inertia_kgm2"),
    _only_with_torque("drive_resistance_Nms"),
    _only_with_torque("start_speed_rpm"),
    _only_with(_SHAFT, "duty.rotor_mass_kg", "a shaft stiffness carries a rotor"),
    _only_with("duty.shaft_damping_Ns_per_mm", _SHAFT, "damping belongs to a stiffness"),
    _only_with("bearing.seat_damping_Ns_per_mm", _SEAT, "damping belongs to a stiffness"),
    _only_with("bearing.outer_mass_kg", _SEAT, "the mass of a fixed ring counts for nothing"),
    _carrier,
    _something_turns,
    _shaft_tilt,
    _axial_table,
    _axial_path,
    _seat,
)
