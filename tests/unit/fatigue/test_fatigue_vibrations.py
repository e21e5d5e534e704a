"""The verdict with the vibrations of the cage that a run drove."""

import json

import h5py
import numpy as np
import pytest
from force_history import ForceHistory, no_force

from rollsim.errors import RollsimError
from rollsim.fatigue.stress_file import write_stress_file
from rollsim.fatigue.verdict import fatigue
from rollsim.kernels.cage_loads import load_count, loads_of_channels
from rollsim.report.fatigue_table import fatigue_dict, fatigue_text
from rollsim.structure.cage_frame import build_cage_frame
from rollsim.structure.elasticity import modes_data

MODES = 8


class RingingHistory(ForceHistory):
    """A history with modal coordinates: their static share, and some ringing of one mode."""

    def __init__(self, sample, ringing=0.0, **values):
        super().__init__(sample, **values)
        self.kept = modes_data(build_cage_frame(self.case), MODES, 0.01)._asdict()
        self.attributes["mode_count"] = MODES
        loads = np.zeros((len(self.time), load_count(18)))
        zero = np.zeros(len(self.time))
        loads_of_channels(self.sample, np.zeros((len(zero), 2, 3)), zero, zero, 0, loads)
        speed = 2.0 * np.pi * self.kept["frequencies"]
        self.coordinates = loads @ self.kept["participation"] / speed**2
        # This shape of a round cage comes twice, turned at will: along what the pulses excite.
        pair = self.coordinates[:, 2:4]
        struck = pair[np.argmax(np.linalg.norm(pair, axis=1))]
        pair += ringing * np.outer(np.sin(900.0 * self.time), struck / np.linalg.norm(struck))

    def modes(self):
        """As a history gives them."""
        return self.kept

    def window(self, name, start, end, group="history"):
        """Part of a channel."""
        if name == "modal_coordinate":
            first, last = np.searchsorted(self.time, [start - 1e-9, end - 1e-9])
            return self.coordinates[first:last]
        return super().window(name, start, end, group)


def bar_pulses(force, samples=1000):
    """Roller 0 pushes its bar forward, one sample long."""
    forces = no_force(samples)
    forces[10::20, 0, 0] = force
    return forces


@pytest.fixture(scope="module")
def ringing():
    return RingingHistory(bar_pulses(800.0), ringing=2e-5)


def test_without_ringing_both_methods_say_the_same():
    history = RingingHistory(bar_pulses(800.0))
    modal, static = fatigue(history), fatigue(history, method="quasi_static")
    assert (modal.method, static.method) == ("modal", "quasi_static")
    assert static.difference is None
    found = modal.difference
    assert found.rms == pytest.approx(0.0, abs=1e-9)
    ratios = (found.stress_ratio, found.damage_ratio, found.reserve_ratio)
    assert ratios == pytest.approx((1.0, 1.0, 1.0), rel=1e-6)


def test_limits_tell_which_vibrations_are_in_the_stresses(ringing):
    modal, static = fatigue(ringing).limits, fatigue(ringing, method="quasi_static").limits
    (followed,) = [line for line in modal if line.startswith("Vibrations: ")]
    assert f"first {MODES} shapes, up to {ringing.kept['frequencies'].max():.0f} Hz" in followed
    assert not any("Quasi-static" in line for line in modal)
    assert any(line.startswith("Quasi-static: ") for line in static)
    assert set(modal) - set(static) == {followed}


def test_ringing_costs_reserve_and_is_told(ringing):
    modal, static = fatigue(ringing), fatigue(ringing, method="quasi_static")
    found = modal.difference
    assert found.rms > 0.05 and found.stress_ratio > 1.0 and found.reserve_ratio < 1.0
    # The ratios are those of both verdicts at the governing place of the modal one.
    spot = modal.governing.spot
    (other,) = [own for own in static.spots if own.name == spot.name]
    k = int(np.flatnonzero(spot.bars == modal.governing.bar)[0])
    assert found.reserve_ratio == pytest.approx(spot.reserve[k] / other.reserve[k], rel=1e-9)
    assert found.damage_ratio == pytest.approx(spot.damage_per_h[k] / other.damage_per_h[k])
    words = " ".join(fatigue_text(modal).split())
    assert "with the vibrations of the free cage" in words and "modal over quasi-static" in words
    plain = json.loads(json.dumps(fatigue_dict(modal)))["modal_over_quasi_static"]
    assert plain["rms"] == pytest.approx(found.rms)
    assert fatigue_dict(static)["modal_over_quasi_static"] is None


def test_a_history_without_modes_says_what_to_do():
    with pytest.raises(RollsimError, match="elastic_modes"):
        fatigue(ForceHistory(bar_pulses(1.0)), method="modal")
    with pytest.raises(RollsimError, match="quasi_static, modal"):
        fatigue(ForceHistory(bar_pulses(1.0)), method="guess")


def test_stress_file_has_the_ringing(ringing, tmp_path):
    strongest = {}
    for method in ("modal", "quasi_static"):
        path = write_stress_file(ringing, fatigue(ringing, method=method), tmp_path / "s.h5")
        with h5py.File(path) as file:
            assert file.attrs["method"] == method
            strongest[method] = np.ptp(file["stress"][:], axis=0).max()
    assert strongest["modal"] > 1.05 * strongest["quasi_static"]
