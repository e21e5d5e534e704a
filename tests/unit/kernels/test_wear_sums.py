"""Impulses, friction works and smearing measure of a step against integrals by hand."""

import numpy as np
import pytest

from rollsim.kernels.layout import force_count, friction_offset, output_size, sliding_offset
from rollsim.kernels.march import Grid, emit_wear
from rollsim.kernels.record import Recorder
from rollsim.kernels.step import Workspace
from rollsim.kernels.wear import (
    SIMPSON,
    TRAPEZOID,
    add_step,
    raise_smearing,
    sum_count,
    work_offset,
)

COUNT = 5
STEP = 3e-5


def _work(start, inside, end):
    """Workspace with given contact outputs."""
    empty = np.zeros(1)
    return Workspace(empty, empty, empty, np.zeros((7, 1)), start, end, inside, start, empty)


@pytest.fixture
def parabolas():
    """Outputs of a step, each a parabola over the step, and their exact integrals."""
    generator = np.random.default_rng(8)
    size = output_size(COUNT)
    a, b, c = generator.uniform(0.0, 9.0, (3, size))

    def at(x):
        return a + b * x + c * x * x

    return _work(at(0.0), at(0.5), at(1.0)), STEP * (a + b / 2.0 + c / 3.0)


def test_a_step_adds_the_integrals_of_forces_and_friction_powers(way, parabolas):
    work, exact = parabolas
    sums = np.full(sum_count(COUNT), 2.0)
    way(add_step)(sums, work, STEP, COUNT, SIMPSON)
    forces = np.r_[2 * COUNT : 6 * COUNT, 8 * COUNT : 8 * COUNT + 2]
    powers = friction_offset(COUNT) + np.arange(force_count(COUNT))
    assert work_offset(COUNT) == len(forces)
    assert sums - 2.0 == pytest.approx(exact[np.r_[forces, powers]], rel=1e-9)


def test_without_a_middle_both_ends_count_alike(way, parabolas):
    """The trapezoidal rule never looks at what lies in the middle."""
    work, _ = parabolas
    sums = np.zeros(sum_count(COUNT))
    way(add_step)(sums, work, STEP, COUNT, TRAPEZOID)
    forces = np.r_[2 * COUNT : 6 * COUNT, 8 * COUNT : 8 * COUNT + 2]
    expected = 0.5 * STEP * (work.start + work.end)[forces]
    assert sums[: len(forces)] == pytest.approx(expected, rel=1e-12)


def test_a_sample_takes_the_linear_share_of_its_step(way, parabolas):
    """Sums of the sample: those at the beginning of the step and a third of the step's."""
    work, _ = parabolas
    before = np.linspace(1.0, 2.0, sum_count(COUNT))
    smearing = np.full(2 * COUNT, 4000.0)
    smearing[0] = 1e9
    empty = np.zeros(1)
    recorder = Recorder(empty, empty, empty, 1.0, before.copy(), smearing)
    outputs = np.zeros((1, output_size(COUNT)))
    outputs[0, 1], outputs[0, sliding_offset(COUNT) + 1] = 1e4, -3.0
    buffers = (np.zeros((1, sum_count(COUNT))), np.zeros((1, 2 * COUNT)))
    grid = Grid(1e-3, 1, 1, outputs, outputs, outputs, *buffers)
    way(emit_wear)(STEP / 3.0, 0, grid, work, recorder, COUNT, SIMPSON)
    whole = np.zeros(sum_count(COUNT))
    way(add_step)(whole, work, STEP, COUNT, SIMPSON)
    assert grid.sums[0] == pytest.approx(before + whole / 3.0, rel=1e-12)
    assert recorder.sums == pytest.approx(before, abs=0.0)
    assert list(grid.smearing[0, :3]) == [1e9, 9e4, 4000.0]
    # The next interval begins with the end of the step.
    ends = work.end[: 2 * COUNT] * work.end[sliding_offset(COUNT) :][: 2 * COUNT] ** 2
    assert recorder.smearing == pytest.approx(ends)


def test_smearing_keeps_the_greatest_product_whatever_the_direction(way):
    outputs = np.zeros(output_size(COUNT))
    outputs[: 2 * COUNT] = 100.0
    outputs[sliding_offset(COUNT) :][: 2 * COUNT] = np.linspace(-2.0, 2.0, 2 * COUNT)
    kept = np.full(2 * COUNT, 50.0)
    way(raise_smearing)(kept, outputs, COUNT)
    expected = np.maximum(100.0 * np.linspace(-2.0, 2.0, 2 * COUNT) ** 2, 50.0)
    assert kept == pytest.approx(expected)
