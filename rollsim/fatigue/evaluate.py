"""From section forces to damage: two passes over a history, in pieces, so memory stays small.

The first pass counts every point of every section as a stream and finds the most damaged one. The
second gathers the cycles of that point, over the whole time and for each block of it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np

from rollsim.fatigue.counting import Cycles, CycleTable
from rollsim.fatigue.sn_curve import SNCurve
from rollsim.kernels.rainflow import STACK_SIZE, STATE_SIZE, close_points, feed_points
from rollsim.structure.cage_solution import SectionForcesOfCage
from rollsim.structure.hot_spots import HotSpot

#: Gives the section forces of a block of the history, without preload, piece by piece.
PieceSource = Callable[[int], Iterator[SectionForcesOfCage]]
#: Every third state is the sample at the end of its interval (`rollsim.fatigue.loads`).
AT_SAMPLES = slice(2, None, 3)
#: Samples whose stress is kept for the spectral side line; memory does not grow beyond them.
LONGEST_SERIES = 1_000_000
#: Columns of a section force that make normal stress: axial, moment_r, moment_t.
NORMAL = [0, 4, 5]


@dataclass(frozen=True)
class SpotStreams:
    """Streams of all points of all bars of a spot, and what they have given so far.

    Fields: spot, without preload of its own; curve; preload (bars, 6), section forces of the
    tightened state, N and N m; stacks (bars, points, room) Pa; states (bars, points, 4); totals
    (bars, points, 3): damage, least and largest local stress in Pa without preload; equivalent
    (bars,) Pa, with preload; maxima (pieces of one number a sampling interval) Pa, the largest
    equivalent stress of all bars.
    """

    spot: HotSpot
    curve: SNCurve
    preload: np.ndarray
    stacks: np.ndarray
    states: np.ndarray
    totals: np.ndarray
    equivalent: np.ndarray
    maxima: list = field(default_factory=list)

    def feed(self, forces: SectionForcesOfCage) -> None:
        """Count a piece.

        Parameters
        ----------
        forces : SectionForcesOfCage
            With time as their first axis.
        """
        own = getattr(forces, self.spot.field)[:, self.spot.bars]
        stress = self.spot.equivalent(own + self.preload)
        np.maximum(self.equivalent, stress.max(axis=0), out=self.equivalent)
        # Three states an interval; single precision, 4 bytes a sample.
        self.maxima.append(stress.max(axis=1).reshape(-1, 3).max(axis=1).astype(np.float32))
        self.count(own[..., NORMAL])

    def count(self, own: np.ndarray) -> None:
        """Count the cycles of a piece alone, without the comparison with yield.

        Parameters
        ----------
        own : ndarray, (instants, bars, 3)
            Axial force and both moments of the bars of the spot, without preload: N, N m, N m.
        """
        coefficients, static = self.spot.coefficients(), self.static_stress()
        for k in range(len(self.spot.bars)):
            piece = np.ascontiguousarray(own[:, k])
            streams = (self.stacks[k], self.states[k], self.totals[k])
            feed_points(piece, coefficients, static[k], self.curve.line, *streams)

    def emptied(self) -> SpotStreams:
        """The same place with nothing counted.

        Returns
        -------
        SpotStreams
        """
        fresh = np.zeros_like(self.totals)
        fresh[..., 1], fresh[..., 2] = np.inf, -np.inf
        return replace(
            self,
            stacks=np.zeros_like(self.stacks),
            states=np.zeros_like(self.states),
            totals=fresh,
            equivalent=np.zeros_like(self.equivalent),
            maxima=[],
        )

    def close(self) -> None:
        """Count the residues."""
        static = self.static_stress()
        for k in range(len(self.spot.bars)):
            streams = (self.stacks[k], self.states[k], self.totals[k])
            close_points(static[k], self.curve.line, *streams)

    def static_stress(self) -> np.ndarray:
        """Local stress of every point by the preload, bending of the parts included.

        Returns
        -------
        ndarray, (bars, points)
            Pa.
        """
        return self.spot.stress(self.preload)

    def worst_points(self) -> np.ndarray:
        """Most damaged point of every bar; where none is damaged, the one with most stress.

        Returns
        -------
        ndarray of int, (bars,)
        """
        damage = self.totals[..., 0]
        swing = self.totals[..., 2] - self.totals[..., 1]
        return np.where(damage.max(axis=1) > 0.0, damage.argmax(axis=1), swing.argmax(axis=1))

    def worst_row(self) -> int:
        """Most damaged bar, by its place among the bars of the spot.

        Returns
        -------
        int
        """
        damage = self.totals[..., 0].max(axis=1)
        swing = (self.totals[..., 2] - self.totals[..., 1]).max(axis=1)
        return int(np.argmax(damage if damage.max() > 0.0 else swing))


def spot_streams(spot: HotSpot, curve: SNCurve, preload: SectionForcesOfCage) -> SpotStreams:
    """Streams of a spot, nothing fed yet.

    Parameters
    ----------
    spot : HotSpot
        The spot.
    curve : SNCurve
        S-N line of its material.
    preload : SectionForcesOfCage
        (places, 6), section forces of the tightened state.

    Returns
    -------
    SpotStreams
    """
    shape = (len(spot.bars), len(spot.section.points))
    totals = np.zeros((*shape, 3))
    totals[..., 1], totals[..., 2] = np.inf, -np.inf
    return SpotStreams(
        # The bare preload of the spot is part of the solved one.
        replace(spot, preload=0.0),
        curve,
        getattr(preload, spot.field)[spot.bars],
        np.zeros((*shape, STACK_SIZE)),
        np.zeros((*shape, STATE_SIZE)),
        totals,
        np.zeros(shape[0]),
    )


def first_pass(streams: list[SpotStreams], pieces: PieceSource, blocks: int) -> None:
    """Damage, extremes and equivalent stress of every point.

    Parameters
    ----------
    streams : list of SpotStreams
        Changed.
    pieces : callable
        Block number to pieces of section forces.
    blocks : int
        Number of blocks.
    """
    for block in range(blocks):
        for forces in pieces(block):
            for stream in streams:
                stream.feed(forces)
    for stream in streams:
        stream.close()


@dataclass(frozen=True)
class SpotCycles:
    """Cycles of the worst point of every bar of a spot.

    Fields: whole (one a bar), blocks (one list a block, one entry a bar), series (sampled stress of
    the most damaged bar, Pa, without preload; the first `LONGEST_SERIES` samples), row (place of
    that bar among the bars of the spot).
    """

    whole: list[Cycles]
    blocks: list[list[Cycles]]
    series: np.ndarray
    row: int


def second_pass(streams: list[SpotStreams], pieces: PieceSource, blocks: int) -> list[SpotCycles]:
    """Cycles of the worst points, of the whole history and of each block alone.

    Parameters
    ----------
    streams : list of SpotStreams
        After the first pass.
    pieces : callable
        Block number to pieces of section forces.
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
    series: list[list[np.ndarray]] = [[] for _ in streams]
    for block in range(blocks):
        for forces in pieces(block):
            for stream, kept, *pair in zip(streams, series, whole, single, strict=True):
                _feed_tables(stream, forces, pair, kept)
        for k, tables in enumerate(single):
            found[k].append([table.close() for table in tables])
    return [
        SpotCycles(
            [table.close() for table in tables],
            lists,
            np.concatenate([*kept, np.zeros(0)])[:LONGEST_SERIES],
            stream.worst_row(),
        )
        for stream, tables, lists, kept in zip(streams, whole, found, series, strict=True)
    ]


def _tables(stream: SpotStreams) -> list[CycleTable]:
    """Empty tables, one a bar, wide enough for its worst point."""
    rows = np.arange(len(stream.spot.bars))
    spans = stream.totals[rows, stream.worst_points(), 1:]
    return [CycleTable(low, high) for low, high in spans]


def point_stress(spot: HotSpot, points: np.ndarray, forces: SectionForcesOfCage) -> np.ndarray:
    """Local stress of one point of every bar of a spot, without preload.

    Parameters
    ----------
    spot : HotSpot
        The spot.
    points : ndarray of int, (bars,)
        Point of the section for every bar.
    forces : SectionForcesOfCage
        With time as their first axis.

    Returns
    -------
    ndarray, (bars, instants)
        Pa.
    """
    own = getattr(forces, spot.field)[:, spot.bars][..., NORMAL]
    return np.einsum("tbk,bk->bt", own, spot.coefficients()[points])


def _feed_tables(stream: SpotStreams, forces: SectionForcesOfCage, pair: list, kept: list) -> None:
    """Stress of the worst point of every bar into its tables; the worst bar's samples are kept."""
    stress = point_stress(stream.spot, stream.worst_points(), forces)
    if sum(len(part) for part in kept) < LONGEST_SERIES:
        kept.append(stress[stream.worst_row(), AT_SAMPLES].copy())
    for tables in pair:
        for table, series in zip(tables, stress, strict=True):
            table.feed(np.ascontiguousarray(series))
