"""From forces to damage: two passes over a history, in pieces, so that memory stays small.

The first pass counts every point of every section as a stream and finds the most damaged one. The
second gathers the cycles of that point, over the whole time and for each block of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from rollsim.fatigue.counting import Cycles, CycleTable
from rollsim.fatigue.sn_curve import SNCurve
from rollsim.kernels.rainflow import STACK_SIZE, STATE_SIZE, close_points, feed_points
from rollsim.structure.closure import ClosureModel, SectionForces
from rollsim.structure.hot_spots import HotSpot

#: Gives the forces on cover and bars of a block of the history, piece by piece.
PieceSource = Callable[[int], Iterator[tuple[np.ndarray, np.ndarray]]]
#: Columns of a section force that make normal stress: axial, moment_r, moment_t.
NORMAL = [0, 4, 5]


@dataclass(frozen=True)
class SpotStreams:
    """Streams of all points of all bars of a spot, and what they have given so far.

    Fields: spot; curve; stacks (bars, points, room) Pa; states (bars, points, 4); totals (bars,
    points, 3): damage, least and largest local stress in Pa without preload; equivalent (bars,) Pa.
    """

    spot: HotSpot
    curve: SNCurve
    stacks: np.ndarray
    states: np.ndarray
    totals: np.ndarray
    equivalent: np.ndarray

    def feed(self, forces: SectionForces) -> None:
        """Count a piece.

        Parameters
        ----------
        forces : SectionForces
            With time as their first axis.
        """
        own = forces.at(self.spot.place)[:, self.spot.bars]
        np.maximum(self.equivalent, self.spot.equivalent(own).max(axis=0), out=self.equivalent)
        coefficients, static = self.spot.coefficients(), self._static()
        for k in range(len(self.spot.bars)):
            piece = np.ascontiguousarray(own[:, k, NORMAL])
            streams = (self.stacks[k], self.states[k], self.totals[k])
            feed_points(piece, coefficients, static, self.curve.line, *streams)

    def close(self) -> None:
        """Count the residues."""
        for k in range(len(self.spot.bars)):
            streams = (self.stacks[k], self.states[k], self.totals[k])
            close_points(self._static(), self.curve.line, *streams)

    def _static(self) -> np.ndarray:
        """Stress of every point by the preload, in Pa."""
        return np.full(self.stacks.shape[1], self.spot.preload_stress())

    def worst_points(self) -> np.ndarray:
        """Most damaged point of every bar; where none is damaged, the one with most stress.

        Returns
        -------
        ndarray of int, (bars,)
        """
        damage = self.totals[..., 0]
        swing = self.totals[..., 2] - self.totals[..., 1]
        return np.where(damage.max(axis=1) > 0.0, damage.argmax(axis=1), swing.argmax(axis=1))


def spot_streams(spot: HotSpot, curve: SNCurve) -> SpotStreams:
    """Streams of a spot, nothing fed yet.

    Parameters
    ----------
    spot : HotSpot
        The spot.
    curve : SNCurve
        S-N line of its material.

    Returns
    -------
    SpotStreams
    """
    shape = (len(spot.bars), len(spot.section.points))
    totals = np.zeros((*shape, 3))
    totals[..., 1], totals[..., 2] = np.inf, -np.inf
    return SpotStreams(
        spot,
        curve,
        np.zeros((*shape, STACK_SIZE)),
        np.zeros((*shape, STATE_SIZE)),
        totals,
        np.zeros(shape[0]),
    )


def first_pass(
    model: ClosureModel, streams: list[SpotStreams], pieces: PieceSource, blocks: int
) -> None:
    """Damage, extremes and equivalent stress of every point.

    Parameters
    ----------
    model : ClosureModel
        Responses of the cage.
    streams : list of SpotStreams
        Changed.
    pieces : callable
        Block number to pieces of forces.
    blocks : int
        Number of blocks.
    """
    for block in range(blocks):
        for cover, bar in pieces(block):
            forces = model.section_forces(cover, bar)
            for stream in streams:
                stream.feed(forces)
    for stream in streams:
        stream.close()


@dataclass(frozen=True)
class SpotCycles:
    """Cycles of the worst point of every bar of a spot.

    Fields: whole (one a bar), blocks (one list a block, one entry a bar).
    """

    whole: list[Cycles]
    blocks: list[list[Cycles]]


def second_pass(
    model: ClosureModel, streams: list[SpotStreams], pieces: PieceSource, blocks: int
) -> list[SpotCycles]:
    """Cycles of the worst points, of the whole history and of each block alone.

    Parameters
    ----------
    model : ClosureModel
        Responses of the cage.
    streams : list of SpotStreams
        After the first pass.
    pieces : callable
        Block number to pieces of forces.
    blocks : int
        Number of blocks.

    Returns
    -------
    list of SpotCycles
        One a spot.
    """
    whole = [_tables(stream) for stream in streams]
    single = [_tables(stream) for stream in streams]
    found: list[list[list[Cycles]]] = [[] for _ in streams]
    for block in range(blocks):
        for cover, bar in pieces(block):
            forces = model.section_forces(cover, bar)
            for stream, *pair in zip(streams, whole, single, strict=True):
                _feed_tables(stream, forces, pair)
        for k, tables in enumerate(single):
            found[k].append([table.close() for table in tables])
    return [
        SpotCycles([table.close() for table in tables], lists)
        for tables, lists in zip(whole, found, strict=True)
    ]


def _tables(stream: SpotStreams) -> list[CycleTable]:
    """Empty tables, one a bar, wide enough for its worst point."""
    rows = np.arange(len(stream.spot.bars))
    spans = stream.totals[rows, stream.worst_points(), 1:]
    return [CycleTable(low, high) for low, high in spans]


def _feed_tables(stream: SpotStreams, forces: SectionForces, pair: list) -> None:
    """Stress of the worst point of every bar into its tables."""
    own = forces.at(stream.spot.place)[:, stream.spot.bars][..., NORMAL]
    chosen = stream.spot.coefficients()[stream.worst_points()]
    stress = np.einsum("tbk,bk->bt", own, chosen)
    for tables in pair:
        for table, series in zip(tables, stress, strict=True):
            table.feed(np.ascontiguousarray(series))
