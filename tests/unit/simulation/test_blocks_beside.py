"""The march goes on while the block before is looked at and written."""

import threading
from dataclasses import replace

import numpy as np
import pytest

from rollsim.history import open_history
from rollsim.model.build import build_model
from rollsim.simulation.blocks import BlockKeeper, BlockMaker
from rollsim.simulation.marches import march_of
from rollsim.simulation.problem import problem_of
from rollsim.simulation.recording import Recording, Samples
from rollsim.simulation.run import run

ARRAYS = ("states", "outputs", "maxima", "sums", "smearing")


class Written:
    """A writer that keeps what it is given."""

    resume = None

    def __init__(self):
        self.blocks = []

    def append(self, block):
        self.blocks.append(block)


@pytest.fixture
def march(six_rollers):
    """March of six rollers in blocks of ten samples."""
    problem = problem_of(build_model(six_rollers()))
    recording = Recording(6, 1e-4, 10, 1.0, problem.longest_step)
    return march_of("leapfrog", problem, recording, 0.01)


def _copied(samples):
    """The same samples in arrays of their own."""
    return replace(samples, **{name: getattr(samples, name).copy() for name in ARRAYS})


def test_a_block_handed_over_stays_while_the_next_one_is_marched(march, six_rollers):
    maker = BlockMaker(march)
    before = None
    for _ in range(5):
        stretch = maker.next()
        if before is not None:
            for name in ARRAYS:
                assert np.array_equal(getattr(before[0], name), getattr(before[1], name)), name
        before = stretch.samples, _copied(stretch.samples)


def test_handed_over_buffers_hold_what_copies_hold(march, six_rollers):
    maker = BlockMaker(march)
    handed = [_copied(maker.next().samples) for _ in range(4)]
    problem = problem_of(build_model(six_rollers()))
    recording = Recording(6, 1e-4, 10, 1.0, problem.longest_step)
    other = march_of("leapfrog", problem, recording, 0.01)
    for samples in handed:
        recording.start_block(other.next_sample)
        assert other.advance() is None
        taken = recording.take(other.next_sample)
        for name in Samples.__annotations__:
            assert np.array_equal(getattr(samples, name), getattr(taken, name)), name


def test_what_was_marched_beyond_a_fault_is_let_go(march):
    """The place is looked at when the next block is there already; that one has no meaning."""
    written = Written()
    maker = BlockMaker(march)
    keeper = BlockKeeper(written, march.problem, (1.0, 1.0), 0.0)
    keeper.append(maker.next())
    bad = maker.next()
    bad.samples.states[4, 0] += 0.1  # roller 1 stands far outside from the fifth sample on
    keeper.append(bad)
    first = keeper.fault
    keeper.append(maker.next())
    assert [len(block.history["time"]) for block in written.blocks] == [10, 4]
    assert first.words.startswith("roller 1 is ")
    assert first.time == bad.samples.times[4]
    assert keeper.fault is first
    assert keeper.begin is bad.begin


def test_a_run_looks_at_its_blocks_in_the_thread_that_writes(six_rollers, tmp_path, monkeypatch):
    threads = {"march": set(), "look": set()}
    advance, look = BlockMaker.next, BlockKeeper.append

    def next_block(self):
        threads["march"].add(threading.get_ident())
        return advance(self)

    def append(self, stretch):
        threads["look"].add(threading.get_ident())
        return look(self, stretch)

    monkeypatch.setattr(BlockMaker, "next", next_block)
    monkeypatch.setattr(BlockKeeper, "append", append)
    with open_history(run(six_rollers(), tmp_path / "out.h5")) as history:
        assert history.status == "finished"
    assert threads["march"] == {threading.get_ident()}
    assert len(threads["look"]) == 1
    assert not threads["look"] & threads["march"]
