"""Questions put to the cage frame: balance of the held cage, stress by hand, free and held."""

from pathlib import Path

import numpy as np
import pytest

from rollsim.case.read import load_case
from rollsim.structure.cage_answers import held_by_base, place_stress, study_cage
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_solution import pocket_loads, solve_cage
from rollsim.structure.cage_study import INERTIA, BadLoad, cage_load
from rollsim.structure.hot_spots import hot_spots

CASES = Path(__file__).parents[3] / "cases"


@pytest.fixture(scope="module")
def case():
    return load_case(CASES / "dewatering_screen_riveted.toml")


@pytest.fixture(scope="module")
def frame(case):
    return build_cage_frame(case)


def test_the_base_ring_takes_what_is_left_over(frame):
    loads = pocket_loads(frame, cover=np.arange(18.0), bars=np.full(18, 20.0))
    held = held_by_base(frame, loads)
    assert np.abs(frame.rigid.T @ held.ravel()).max() < 1e-9
    changed = np.flatnonzero(np.abs(held - loads).max(axis=1))
    assert changed.max() < frame.mesh.ring_count


def test_every_pitch_passes_on_the_force_of_its_roller(frame):
    """A cut below the cover: free shank and bar together carry what a roller pushes with."""
    loads = held_by_base(frame, pocket_loads(frame, cover=np.full(18, 1000.0)))
    forces = solve_cage(frame, loads).forces
    assert forces.head[:, 0] + forces.bar_base[:, 0] == pytest.approx(np.full(18, 1000.0))


def test_stress_of_the_worst_bar_by_hand(frame):
    spot = hot_spots(frame.design)[1]
    forces = np.zeros((3, 6))
    forces[1] = [900.0, 0.0, 0.0, 0.0, 1.5, 2.0]
    found = place_stress(spot, forces, 0.5 * forces, np.array([4, 5, 6]))
    # Rivet of 5 mm: A = 19.635 mm2, W = 12.272 mm3; 45.84 MPa + 2.5 N m / W = 203.7 MPa.
    assert found.bar == 5
    assert found.equivalent == pytest.approx(249.56e6, rel=1e-4)
    # The points around the rivet lie 10 degrees apart: up to 0.4 % of the bending is missed.
    assert found.nominal == pytest.approx(249.56e6, rel=4e-3)
    assert found.local == found.nominal
    assert found.preload == pytest.approx(0.5 * found.nominal)
    assert found.yield_share == pytest.approx(249.56 / 280.0, rel=1e-4)


def test_a_free_cage_passes_on_less_than_a_held_one(case):
    """The inertia of cover and load side takes its share before the closures."""
    held = study_cage(case, cage_load(1000.0, None, None), 1)
    free = study_cage(case, cage_load(1000.0, None, None, INERTIA), 1)
    assert 0.5 * held.lift < free.lift < held.lift
    assert free.residual < 1e-6 and held.residual < 1e-6


def test_all_faults_of_a_load_come_together():
    with pytest.raises(BadLoad, match=r"(?s)Bar force.*Cover force -1 N") as caught:
        cage_load(-1.0, float("inf"), None)
    assert caught.value.exit_code == 2


def test_holes_of_closures_take_metal_out_of_the_rings(case):
    # Net section 10 mm less 5 mm: tension at least doubles, bending out of the plane too.
    stresses = {own.place: own for own in study_cage(case, cage_load(None, None, None), 6).stresses}
    for ring in ("cover ring", "base ring"):
        hole = stresses[f"{ring} at holes"]
        assert hole.notch_factors[0] == pytest.approx(2.1559, abs=1e-3)
        assert hole.local > 1.5 * hole.nominal and hole.nominal > stresses[ring].nominal
        assert "inside" in hole.note
