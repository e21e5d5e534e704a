"""Frame of the whole cage against common practice."""

import numpy as np
import pytest
from cage_cases import cage_case

from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_modes import cage_modes
from rollsim.structure.cage_solution import (
    cover_lift,
    pocket_loads,
    solve_cage,
)
from rollsim.structure.hot_spots import hot_spots


def pushed(closure, fit="tight", load=181.0):
    """1 kN from every roller on the cover, held against the base: lift in mm, closure in MPa."""
    frame = build_cage_frame(cage_case(closure, fit=fit, load=load))
    solution = solve_cage(frame, pocket_loads(frame, cover=1000.0, base=1000.0))
    stress = [
        spot.stress(getattr(solution.forces, spot.place), notched=False).max() / 1e6
        for spot in hot_spots(frame.design)
        if spot.place in ("interface", "head")
    ]
    return cover_lift(frame, solution.displacement).max() * 1e3, max(stress)


def test_closures_rank_as_in_common_practice():
    # Common practice, no source: a cage of about 1 kg in brass deforms by 0.1 to 0.2 mm and its
    # steel rivets see several hundred MPa; a tenon about half of it; a rivet free in its hole is
    # softer and worse than a tight one; 3.5 mm of load radius halve the stress. Order of magnitude
    # and ordering only.
    free_lift, free = pushed("rivet", "free")
    tight_lift, tight = pushed("rivet", "tight")
    tenon_lift, tenon = pushed("tenon")
    assert 0.05 < free_lift < 0.3
    assert 200.0 < free < 800.0
    assert free > 1.1 * tight and free_lift > 1.2 * tight_lift
    assert tenon_lift < free_lift
    assert 0.3 * free < tenon < 0.7 * free
    _, outside = pushed("rivet", "free", load=188.0)
    assert outside < 0.6 * free


def test_an_interface_that_opens_loads_the_rivet():
    # With cover and bar ends bonded the rivet carries almost nothing of what it really carries.
    frame = build_cage_frame(cage_case("rivet", fit="free"))
    loads = pocket_loads(frame, cover=1000.0, base=1000.0)
    really, bonded = (
        np.abs(solve_cage(frame, loads, interface).forces.interface[:, 5]).max()
        for interface in ("contact", "bonded")
    )
    assert really > 3.0 * bonded


def test_first_modes_lie_inside_the_vibration_spectrum():
    # A plain brass cage of 190 mm and 1 kg: 200 to 500 Hz (common practice, no source).
    frame = build_cage_frame(cage_case("rivet", fit="free"))
    modes = cage_modes(frame, 4).frequencies
    assert 200.0 < modes[0] < 500.0
    # Two waves round the ring: every mode comes twice.
    assert modes[1] == pytest.approx(modes[0], rel=1e-5)
