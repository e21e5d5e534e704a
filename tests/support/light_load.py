"""A small bearing under light load with oil on raceways and lands, for tests of slip.

Loaded by path, as the folders of the tests are no packages.
"""

import importlib.util
from pathlib import Path
from typing import NamedTuple

import numpy as np

from rollsim.case.change import changed_case
from rollsim.case.read import parse_case
from rollsim.kernels.layout import inner_turn_offset, sliding_offset
from rollsim.model.build import build_model
from rollsim.simulation.balance import energy_book

TEXT = """
[case]
name = "small bearing under light load"
seed = 3
[bearing]
bore_mm = 40
outside_diameter_mm = 80
width_mm = 18
pitch_diameter_mm = 61
[roller]
count = 14
diameter_mm = 10
length_mm = 10
[cage]
outer_diameter_mm = 68.6
inner_diameter_mm = 58
base_ring_thickness_mm = 2
cover_thickness_mm = 2
guidance = "outer_ring"
[cage.closure]
kind = "one_piece"
[lubricant]
viscosity_mPas = 20
raceway_traction = "ehl"
land_oil_fraction = 1.0
[clearance]
radial_um = 30
pocket_um = 200
guidance_um = 300
[duty]
speed_rpm = 6000
duration_s = 1
settle_s = 0.01
radial_load_kN = 0.2
"""


class LightRun(NamedTuple):
    """A run: built model, times, and what slips.

    lag: speed of the cage behind that of rolling with the inner ring of the moment, over the
    cage speed at the nominal speed; spin_lag: likewise of the rollers (time, Z); loaded: rollers
    that the inner ring presses with more than 5 N (time, Z); inner_slip: roller surface less inner
    raceway, m/s (time, Z); residual: of the energy book over the heat.
    """

    built: object
    times: np.ndarray
    lag: np.ndarray
    spin_lag: np.ndarray
    loaded: np.ndarray
    inner_slip: np.ndarray
    residual: float

    def mean_lag(self, start, end):
        """Mean lag of the cage from `start` to `end` in s."""
        return float(self.lag[(self.times >= start) & (self.times <= end)].mean())


def _bench():
    spec = importlib.util.spec_from_file_location(
        "planar_case_of_light_load", Path(__file__).with_name("planar_case.py")
    )
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def make_case(**changes):
    """The case with values changed; a dot in a key is written as two underscores."""
    case = parse_case(TEXT, "light load test")
    return changed_case(case, {key.replace("__", "."): value for key, value in changes.items()})


def run(duration, **changes):
    """March of the changed case.

    Parameters
    ----------
    duration : float, s
        Time.
    **changes
        See `make_case`.

    Returns
    -------
    LightRun
        The run.
    """
    bench, built = _bench(), build_model(make_case(**changes))
    problem = bench.make_problem(built)
    samples, _ = bench.record(problem, duration, interval=5e-4)
    z, nominal = built.model.count, built.model.duty.inner_speed
    ratio = samples.states[:, inner_turn_offset(z) + 1] / nominal
    spins = samples.states[:, 4 * z : 5 * z]
    slide = sliding_offset(z)
    book = energy_book(problem.model, samples.states, samples.outputs)
    return LightRun(
        built,
        samples.times,
        ratio - samples.states[:, 5 * z + 5] / built.cage_speed,
        ratio[:, None] - spins / built.roller_spin,
        samples.outputs[:, z : 2 * z] > 5.0,
        samples.outputs[:, slide + z : slide + 2 * z],
        float(np.ptp(book["sum"]) / book["heat"][-1]),
    )
