"""The rule of the class on orbits of known class: right nearly always, wrong never."""

from collections import Counter

import numpy as np
import pytest

from rollsim.analysis.whirl import whirl

DRAWS = 12


@pytest.fixture(scope="module")
def orbits(beside):
    """The module synthetic_orbits.py."""
    return beside("synthetic_orbits")


NAMES = (
    "seated",
    "regular",
    "forced_round",
    "forced_line",
    "forced_random",
    "disordered",
    "begins_to_whirl",
    "grows",
)


@pytest.mark.parametrize("name", NAMES)
def test_orbits_of_known_class_get_it(plain, orbits, name):
    make = getattr(orbits, name)
    wanted = orbits.MAKERS[make]
    found = Counter()
    for seed in range(DRAWS):
        history = plain.plain_history(samples=8001)
        make(np.random.default_rng(seed), plain, history)
        found[whirl(history).verdict.name] += 1
    # Another class is a wrong answer, "undecided" only a modest one.
    assert set(found) <= {wanted, "undecided"}, found
    assert found[wanted] >= 0.9 * DRAWS, found


def test_every_maker_is_tried(orbits):
    assert {make.__name__ for make in orbits.MAKERS} == set(NAMES)


def test_a_record_that_changes_is_named_by_parts(plain, orbits):
    history = plain.plain_history(samples=20_001)
    orbits.begins_to_whirl(np.random.default_rng(4), plain, history)
    result = whirl(history)
    assert result.verdict.name == "undecided"
    assert "the orbit changes over the record: " in result.verdict.reason
    names = [part.verdict.name for part in result.parts]
    assert len(names) == 5
    assert names[0] == "seated" and names[-1] == "regular circular"
    assert result.parts[0].start == result.start and result.parts[-1].end == result.end


def test_a_steady_orbit_has_no_parts_and_a_short_one_is_not_tested(plain, orbits):
    history = plain.plain_history(samples=8001)
    orbits.regular(np.random.default_rng(0), plain, history)
    result = whirl(history)
    assert result.stationarity.steady and result.parts == ()
    short = whirl(plain.plain_history(samples=801))
    assert not short.stationarity.tested and not short.stationarity.steady


def test_a_cage_that_speeds_up_changes(plain):
    history = plain.plain_history(samples=8001)
    speed = np.linspace(30.0, 60.0, 8001)
    angle = np.cumsum(speed) * 1e-3
    history.channels["cage_speed"] = speed
    z = 0.8 * np.exp(0.5j * angle)
    plain.set_orbit(history, z, 0.5j * speed * z)
    result = whirl(history)
    assert [change.name for change in result.stationarity.changes] == ["whirl speed", "cage speed"]
    assert {part.verdict.name for part in result.parts} <= {"regular circular", "undecided"}


@pytest.mark.parametrize("seed", range(6))
def test_false_alarms_of_the_gate_are_rare_for_steady_disorder(plain, orbits, seed):
    history = plain.plain_history(samples=8001)
    orbits.disordered(np.random.default_rng(100 + seed), plain, history)
    assert whirl(history).stationarity.steady
