"""The blocks of a run, one after the other, each looked at before it is kept."""

import time
from dataclasses import fields
from typing import NamedTuple

import numpy as np

from rollsim.history import Block
from rollsim.simulation.balance import energy_book
from rollsim.simulation.channels import history_channels, impact_columns, peak_channels
from rollsim.simulation.marches import initial_energy
from rollsim.simulation.plausibility import impossible_place
from rollsim.simulation.recording import Samples


class Fault(NamedTuple):
    """Why a run cannot go on, in words, and the simulated time at which that was so, s."""

    words: str
    time: float


class BlockMaker:
    """Advances a march block by block.

    Parameters
    ----------
    march : CompiledMarch or ReferenceMarch
        The march.
    problem : Problem
        The problem.
    pressure_factors : tuple of 2 float, Pa/sqrt(N)
        Pressure over the root of the force, outer and inner raceway.
    """

    def __init__(self, march, problem, pressure_factors):
        self._march = march
        self._model = problem.model
        self._pressure_factors = pressure_factors
        self._start_sum = energy_book(problem.model, *initial_energy(problem))["sum"][0]
        self._begins = []

    @property
    def begin(self):
        """Checkpoint from which a failure is replayed: the block before the last began with it."""
        return self._begins[0]

    def next(self):
        """Compute the next block.

        Returns
        -------
        block : Block or None
            None when it has no sample.
        fault : Fault or None
            Why the march cannot go on; the block then ends before it.
        """
        march = self._march
        began = time.perf_counter()
        before = march.counters()
        self._begins = [*self._begins[-1:], march.checkpoint()]
        march.recording.start_block(march.next_sample)
        message = march.advance()
        samples = march.recording.take(march.next_sample)
        fault = Fault(message, march.time) if message else None
        if not len(samples.times):
            return None, fault or Fault("no progress was made", march.time)
        channels = history_channels(samples, self._model)
        row, words = impossible_place(channels, self._model)
        if row is not None:
            fault = Fault(words, float(samples.times[row]))
            samples = _until(samples, row)
            if not row:
                return None, fault
            channels = history_channels(samples, self._model)
        quality = self._quality(samples, np.subtract(march.counters(), before))
        quality["wall_time"] = time.perf_counter() - began
        return (
            Block(
                channels,
                peak_channels(samples, self._model.count, self._pressure_factors),
                impact_columns(samples),
                quality,
                march.checkpoint(),
            ),
            fault,
        )

    def _quality(self, samples, counts):
        """Row of the table of blocks."""
        book = energy_book(self._model, samples.states[-1:], samples.outputs[-1:])
        return {
            "end_time": samples.times[-1],
            "steps": counts[0],
            "rejected": counts[1],
            "evaluations": counts[2],
            "kinetic_energy": book["kinetic"][0],
            "elastic_energy": book["elastic"][0],
            "work_in": book["work"][0],
            "heat": book["heat"][0],
            "energy_residual": book["sum"][0] - self._start_sum,
        }


def _until(samples, row):
    """The first rows of what a block recorded, with the episodes that ended by then."""
    kept = {item.name: getattr(samples, item.name)[:row] for item in fields(samples)}
    end = samples.times[row]
    episodes = samples.episodes
    kept["episodes"] = episodes[episodes[:, 2] + episodes[:, 3] < end]
    return Samples(**kept)
