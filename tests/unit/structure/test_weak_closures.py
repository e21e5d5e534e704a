"""Loose, cracked and missing closures in the frame of the whole cage."""

from types import SimpleNamespace

import numpy as np
import pytest
from cage_cases import cage_case, cage_text

from rollsim.case.read import parse_case
from rollsim.errors import CaseError
from rollsim.fatigue.limits import warnings_for
from rollsim.report.cage_text import cage_dict
from rollsim.report.cage_text import cage_text as study_text
from rollsim.structure.cage_answers import study_cage
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.cage_solution import pocket_loads, solve_cage
from rollsim.structure.cage_study import cage_load

SORTS = [("rivet", "free"), ("rivet", "tight"), ("tenon", "tight"), ("round", "tight")]


def solved(closure, fit, rows, cover=500.0, more=""):
    """Frame and its answer to a push of every roller on the cover, held by the base ring."""
    factors = f"stiffness_factors = {rows}\n{more}" if rows is not None else more
    frame = build_cage_frame(cage_case(closure, fit=fit, more=factors))
    return frame, solve_cage(frame, pocket_loads(frame, cover=cover, base=cover))


@pytest.mark.parametrize(("closure", "fit"), SORTS)
def test_a_missing_closure_loads_its_neighbours(closure, fit):
    _, sound = solved(closure, fit, None)
    frame, solution = solved(closure, fit, [[5, 0.0]])
    before, pulls = sound.forces.interface[:, 0], solution.forces.interface[:, 0]
    assert solution.residual < 1e-9
    assert frame.design.closure_bars.tolist() == [j for j in range(18) if j != 4]
    assert np.all(solution.forces.interface[4] == 0.0)
    # Both neighbours alike, and more than anybody else; far from it nothing changes much.
    assert pulls[[3, 5]] == pytest.approx(np.full(2, pulls[3]), rel=1e-6)
    assert pulls[3] > 1.1 * before[3]
    assert np.argmax(np.round(pulls / pulls.max(), 6)) in (3, 5)
    assert pulls[13] == pytest.approx(before[13], rel=0.05)
    # Mirror about the missing one.
    assert np.roll(pulls, -4)[1:] == pytest.approx(np.roll(pulls, -4)[:0:-1], rel=1e-6)


@pytest.mark.parametrize(("closure", "fit"), SORTS[:3])
def test_factor_one_changes_nothing(closure, fit):
    frame, sound = solved(closure, fit, None)
    own, same = solved(closure, fit, [[3, 1.0], [7, 1.0]])
    assert own.design.factors == ()
    assert (own.stiffness != frame.stiffness).nnz == 0
    assert np.array_equal(same.displacement, sound.displacement)


def test_a_weak_closure_lies_between_sound_and_missing():
    # Its pull alone would not tell: bending less, it leaves more to the couple of pull and pressure
    # of the bar end, so that a slightly weak closure is pulled a little more than a sound one.
    forces = [
        solved("rivet", "tight", [[5, factor]])[1].forces.interface
        for factor in (1.0, 0.3, 0.05, 0.0)
    ]
    neighbour = [own[3, 0] for own in forces]
    bending = [np.hypot(own[4, 4], own[4, 5]) for own in forces]
    assert np.all(np.diff(neighbour) > 0.0)
    assert np.all(np.diff(bending) < 0.0)
    assert forces[2][4, 0] < 0.9 * forces[0][4, 0]
    assert bending[-1] == 0.0


@pytest.mark.parametrize(("closure", "fit"), SORTS[:3])
def test_a_missing_closure_leaves_its_hole_empty(closure, fit):
    sound, _ = solved(closure, fit, None)
    frame, _ = solved(closure, fit, [[5, 0.0]])
    design = frame.design
    length = design.cover_thickness
    if closure == "rivet":
        length += design.bar_length + design.base_thickness
    steel = design.closure_material.density
    gone = steel * design.closure.area * length
    assert sound.total_mass - frame.total_mass == pytest.approx(gone, rel=1e-6)
    assert frame.total_mass > 0.9 * sound.total_mass


def test_weak_closures_hold_less_preload_and_sound_ones_that_of_the_case():
    frame, _ = solved("rivet", "tight", [[5, 0.5], [11, 0.0]], more="preload_N = 800.0")
    rest = solve_cage(frame, np.zeros((len(frame.nodes), 6))).preload.interface[:, 0]
    sound = [j for j in range(18) if j not in (4, 10)]
    assert rest[sound].mean() == pytest.approx(800.0, rel=1e-9)
    # Half as stiff, same misfit: half the pull if nothing yielded, all of it if all yielded.
    assert 400.0 < rest[4] < 750.0
    assert rest[10] == 0.0


def test_rivets_on_some_bars_are_counted_by_rivet():
    frame, solution = solved("rivet", "free", [[2, 0.0]], more="count = 6")
    assert frame.design.closure_bars.tolist() == [0, 6, 9, 12, 15]
    pulls = solution.forces.interface[:, 0]
    assert pulls[0] == pytest.approx(pulls[6], rel=1e-6)
    assert pulls[0] > 1.05 * pulls[12]


def test_the_study_names_the_closure_that_is_loaded_most():
    case = cage_case("rivet", fit="tight", more="stiffness_factors = [[5, 0.0], [9, 0.5]]")
    study = study_cage(case, cage_load(500.0, None, None), 2)
    by_number = {own.number: own for own in study.closures}
    assert len(by_number) == 18
    assert by_number[5].axial == by_number[5].nominal == 0.0
    assert by_number[5].sound == pytest.approx(by_number[1].sound, rel=1e-6)
    most = max(study.closures, key=lambda own: own.nominal)
    assert most.number in (4, 6)
    text = study_text([study], [])
    alike = cage_case("rivet", fit="tight", more="stiffness_factors = [[5, 0.0]]")
    both = study_cage(alike, cage_load(500.0, None, None), 2)
    assert "closures 4 and 6 are loaded most" in study_text([both], [])
    assert f"closure {most.number} is loaded most" in text
    assert "missing" in text
    assert len(cage_dict([study], [])["closures"]) == 18
    plain = study_cage(cage_case("rivet"), cage_load(500.0, None, None), 2)
    assert plain.closures == ()
    assert "one by one" not in study_text([plain], [])


def test_the_verdict_needs_no_warning_any_more():
    history = SimpleNamespace(attributes={"motion": "spatial"})
    span = SimpleNamespace(largest_cover=100.0, duration=1e6)
    for rows in ("", "stiffness_factors = [[5, 0.0]]"):
        assert warnings_for(history, cage_case("rivet", more=rows), span) == ()


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([[k, 0.0] for k in range(1, 19)], ["no closure is left"]),
        (
            [[0, 0.5], [19, 0.5], [2, 0.5], [2, 0.5], [3, 1.5], [4, -0.1], [5, 1e-6]],
            [
                "[0, 0.5]: closures are numbered from 1 to 18",
                "[19, 0.5]",
                "closure 2 is named",
                "[3, 1.5]: the factor must be",
                "[4, -0.1]: the factor must be",
                "[5, 1e-06]: the factor must be 0 (missing) or from 0.001 to 1 (sound)",
            ],
        ),
    ],
)
def test_wrong_factors_are_named_in_one_pass(rows, words):
    with pytest.raises(CaseError) as caught:
        parse_case(cage_text("tenon", more=f"stiffness_factors = {rows}"), "")
    for word in words:
        assert word in str(caught.value)
