"""The blocks of a run, one after the other, each looked at before it is kept.

The march goes on while the block before is turned into channels, looked at and written: what the
march hands over is a `Stretch`, and `BlockKeeper` does the rest in the thread that writes.
"""

import time
from dataclasses import dataclass, fields
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


@dataclass(frozen=True)
class Stretch:
    """What the march recorded of one block, not looked at yet.

    samples: Samples; counts (3,): steps, rejected, evaluations of the block; wall_time: s that the
    march took; fault: Fault or None, why the march cannot go on; checkpoint: state after the block;
    begin: checkpoint from which a fault in it is replayed, that of the block before.
    """

    samples: Samples
    counts: np.ndarray
    wall_time: float
    fault: Fault | None
    checkpoint: dict
    begin: dict


class BlockMaker:
    """Advances a march block by block.

    Parameters
    ----------
    march : CompiledMarch or ReferenceMarch
        The march.
    """

    def __init__(self, march):
        self._march = march
        self._begins = [march.checkpoint()]

    def next(self):
        """Compute the next block.

        Returns
        -------
        Stretch
            What was recorded; its samples are valid until the call after this one returns.
        """
        march = self._march
        began = time.perf_counter()
        before = march.counters()
        march.recording.start_block(march.next_sample)
        message = march.advance()
        samples = march.recording.hand_over(march.next_sample)
        fault = Fault(message, march.time) if message else None
        if not (message or len(samples.times)):
            fault = Fault("no progress was made", march.time)
        begin, checkpoint = self._begins[0], march.checkpoint()
        self._begins = [self._begins[-1], checkpoint]
        counts = np.subtract(march.counters(), before)
        return Stretch(samples, counts, time.perf_counter() - began, fault, checkpoint, begin)


class BlockKeeper:
    """Turns what the march recorded into blocks, looks at them and writes them.

    Parameters
    ----------
    writer : SegmentWriter
        Where the blocks go.
    problem : Problem
        The problem.
    pressure_factors : tuple of 2 float, Pa/sqrt(N)
        Pressure over the root of the force, outer and inner raceway.
    settle : float, s
        Settling time; forces before it do not count as the largest.
    also : callable or None
        Takes every block once it is safe; its arrays are used again after that.
    """

    def __init__(self, writer, problem, pressure_factors, settle, also=None):
        self._writer = writer
        self._also = also
        self._model = problem.model
        self._pressure_factors = pressure_factors
        self._settle = settle
        self._start_sum = energy_book(problem.model, *initial_energy(problem))["sum"][0]
        #: Largest pocket force after settling in the blocks that are written, N.
        self.largest = writer.resume.largest_pocket_force if writer.resume else 0.0
        #: Why the run cannot go on, Fault or None, and the checkpoint from which it is replayed.
        self.fault = None
        self.begin = None

    def append(self, stretch):
        """Keep a block; what follows a fault is let go.

        Parameters
        ----------
        stretch : Stretch
            Next stretch of simulated time.

        Raises
        ------
        RunError
            When it cannot be written.
        """
        if self.fault:
            return
        block, self.fault = self._looked_at(stretch)
        self.begin = stretch.begin
        if block is None:
            return
        settled = block.peak["time"] >= self._settle
        largest = float(block.peak["pocket_force"][settled].max(initial=0.0))
        self._writer.append(block)
        if self._also:
            self._also(block)
        self.largest = max(self.largest, largest)

    def _looked_at(self, stretch):
        """The block, None when it has no sample, and the fault that it ends before, or None."""
        samples, fault = stretch.samples, stretch.fault
        if not len(samples.times):
            return None, fault
        channels = history_channels(samples, self._model)
        row, words = impossible_place(channels, self._model)
        if row is not None:
            fault = Fault(words, float(samples.times[row]))
            samples = _until(samples, row)
            if not row:
                return None, fault
            channels = history_channels(samples, self._model)
        quality = self._quality(samples, stretch.counts)
        quality["wall_time"] = stretch.wall_time
        peaks = peak_channels(samples, self._model.count, self._pressure_factors)
        columns = impact_columns(samples)
        return Block(channels, peaks, columns, quality, stretch.checkpoint), fault

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
