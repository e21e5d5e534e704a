"""Reserve factors of all places, with the joint opening further under heavier loads."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from rollsim.fatigue.damage import miner_sum
from rollsim.fatigue.evaluate import SpotCycles, SpotStreams
from rollsim.fatigue.opening import opening_factors, scales_exactly
from rollsim.fatigue.recovered import ForceSource
from rollsim.fatigue.reserve import DamageByLoad, crossing, first_crossing
from rollsim.fatigue.result import SpotResult
from rollsim.fatigue.scaled_forces import ScaledForces, damage_at


@dataclass
class LoadedJoint:
    """The joint of a history under scaled loads.

    Fields: source; streams, after the first pass, and cycles, of all places; opening (blocks,),
    factor on the loads at which each block opens the interface; homogeneous, stress scales with the
    loads whatever opens; passes, through the whole history, with shares for single blocks;
    scaled (bars,) of every place, reserves from cycles that are scaled, for comparison.
    """

    source: ForceSource
    streams: list[SpotStreams]
    cycles: list[SpotCycles]
    opening: np.ndarray
    homogeneous: bool
    passes: float = 0.0
    scaled: list[np.ndarray] = field(default_factory=list)

    @property
    def first_opening(self) -> float:
        """Factor on the loads at which any block opens the interface."""
        return float(self.opening.min())

    def scales_up_to(self, reserve: float, opening: float) -> bool:
        """Whether cycles counted at the loads as they are scale exactly to a reserve factor.

        Parameters
        ----------
        reserve : float
            Reserve factor from cycles that are scaled.
        opening : float
            Factor that opens the interface.

        Returns
        -------
        bool
            True also for 0 (the preload alone is too much) and for no limit.
        """
        ends = reserve == 0.0 or math.isinf(reserve)
        return self.homogeneous or ends or max(reserve, 1.0) <= opening

    def reserves(self, spots: tuple[SpotResult, ...], allowed: float) -> tuple[SpotResult, ...]:
        """Places with their true reserve factors.

        The least of every place is searched. Those of its other bars come from the passes made for
        that, straight between them in logarithms. Beyond the heaviest pass they are a lower bound;
        where no pass was needed, that bound is the load that opens the joint.

        Parameters
        ----------
        spots : tuple of SpotResult
            With reserves from cycles that are scaled.
        allowed : float
            Damage that the history may do.

        Returns
        -------
        tuple of SpotResult
        """
        self.scaled = [spot.reserve for spot in spots]
        least = [float(spot.reserve[spot.worst]) for spot in spots]
        if all(self.scales_up_to(reserve, self.first_opening) for reserve in least):
            return tuple(self._kept_below_opening(spot) for spot in spots)
        found = []
        for place, spot in enumerate(spots):
            table = self._table(place)
            if not self.scales_up_to(least[place], self.first_opening):
                table.search(allowed, least[place])
            self.passes += table.passes
            found.append(self._with_true(spot, place, table, allowed))
        return tuple(found)

    def block_reserve(self, spot: SpotResult, block: int, scaled: float, allowed: float) -> float:
        """Reserve of the worst bar of a place from one block of the history.

        Parameters
        ----------
        spot : SpotResult
            The place, with its true reserve.
        block : int
            Number of the block.
        scaled : float
            Its reserve from cycles that are scaled.
        allowed : float
            Damage that the block may do.

        Returns
        -------
        float
        """
        opening = float(self.opening[block])
        if self.scales_up_to(scaled, opening):
            return scaled
        (place,) = [k for k, own in enumerate(self.streams) if own.spot.name == spot.name]
        stream = one_bar(self.streams[place], spot.worst)
        cycles = self.cycles[place].blocks[block][spot.worst]
        static = float(stream.static_stress()[0, self.streams[place].worst_points()[spot.worst]])
        forces = ScaledForces(self.source, stream)
        table = DamageByLoad(lambda s: damage_at(forces, s, [block]))
        for factor in {1.0, opening} if opening >= 1.0 else {1.0}:
            if math.isfinite(factor):
                damage = miner_sum(cycles, stream.curve, static, factor)
                table.known[math.log(factor)] = np.array([damage])
        whole = self.scaled[place][spot.worst]
        share = spot.reserve[spot.worst] / whole if 0.0 < whole < math.inf else 1.0
        reserve = table.search(allowed, scaled * (share if share > 0.0 else 1.0))
        self.passes += table.passes / len(self.source.parts)
        return reserve

    def note(self, least: float) -> str:
        """How the reserve factor was found, in a sentence.

        Parameters
        ----------
        least : float
            Least reserve factor of all places.

        Returns
        -------
        str
        """
        if self.homogeneous:
            return (
                "The reserve scales exactly: without preload, stress is proportional to the loads,"
                " whatever opens."
            )
        if math.isinf(self.first_opening):
            return "The reserve scales exactly: no load opens the preloaded joint."
        solved = (
            f"with the joint solved again at the scaled loads ({self.passes:.1f} passes through the"
            " history)"
        )
        opens = f"a part of the preloaded joint opens at {self.first_opening:.3g} times the loads"
        if not self.scales_up_to(least, self.first_opening):
            return f"Reserve found {solved}; {opens}, and stress then grows otherwise than they do."
        rest = f" Larger reserves of other places were found {solved}." if self.passes else ""
        return f"The least reserve scales exactly: {opens}, not below.{rest}"

    def _table(self, place: int) -> DamageByLoad:
        """Passes of one place, with the damage that needs none: at the loads as they are, and where
        the joint opens.
        """
        stream, own = self.streams[place], self.cycles[place]
        forces, blocks = ScaledForces(self.source, stream), range(len(self.source.parts))
        table = DamageByLoad(lambda s: damage_at(forces, s, blocks))
        table.known[0.0] = stream.totals[..., 0].max(axis=1)
        opening = self.first_opening
        if 1.0 < opening < math.inf:
            pairs = zip(own.whole, worst_static(stream), strict=True)
            table.known[math.log(opening)] = np.array(
                [miner_sum(cycles, stream.curve, static, opening) for cycles, static in pairs]
            )
        return table

    def _kept_below_opening(self, spot: SpotResult) -> SpotResult:
        """A place whose worst bar scales exactly; other bars get the load that opens the joint."""
        exact = [self.scales_up_to(reserve, self.first_opening) for reserve in spot.reserve]
        reserve = np.where(exact, spot.reserve, self.first_opening)
        return replace(spot, reserve=reserve, joint_ratio=ratio(reserve, spot.reserve))

    def _with_true(
        self, spot: SpotResult, place: int, table: DamageByLoad, allowed: float
    ) -> SpotResult:
        """A place with its reserves from its passes."""
        reserve = spot.reserve.copy()
        for bar in range(len(reserve)):
            if self.scales_up_to(reserve[bar], self.first_opening):
                continue
            curve = table.curve(allowed, bar)
            if curve[0, 1] > 0.0 or first_crossing(curve) is not None:
                reserve[bar] = crossing(curve)
            else:
                reserve[bar] = beyond(curve, spot.curve.slope)
        worst = int(np.argmin(reserve))
        return replace(
            spot,
            reserve=reserve,
            joint_ratio=ratio(reserve, spot.reserve),
            worst=worst,
            cycles=self.cycles[place].whole[worst],
            preload_stress=float(worst_static(self.streams[place])[worst]),
        )


def beyond(curve: np.ndarray, slope: float) -> float:
    """Lower bound of a factor beyond the heaviest pass: damage taken to grow as steeply as it may.

    Parameters
    ----------
    curve : ndarray, (factors, 2)
        From `DamageByLoad.curve`.
    slope : float
        Exponent of the S-N line.

    Returns
    -------
    float
    """
    last = curve[-1]
    rise = slope
    if len(curve) > 1:
        rise = max(slope, (last[1] - curve[-2, 1]) / (last[0] - curve[-2, 0]))
    return math.exp(last[0] - last[1] / rise)


def ratio(true: np.ndarray, scaled: np.ndarray) -> np.ndarray:
    """Reserve over that from scaled cycles; 1 where either has no limit or nothing is left.

    Parameters
    ----------
    true : ndarray, (bars,)
        Reserves with the joint solved again.
    scaled : ndarray, (bars,)
        Reserves from cycles that are scaled.

    Returns
    -------
    ndarray, (bars,)
    """
    usable = np.isfinite(true) & np.isfinite(scaled) & (scaled > 0.0)
    return np.divide(true, scaled, out=np.ones_like(true), where=usable)


def worst_static(stream: SpotStreams) -> np.ndarray:
    """Stress by the preload at the worst point of every bar.

    Parameters
    ----------
    stream : SpotStreams
        After the first pass.

    Returns
    -------
    ndarray, (bars,)
        Pa.
    """
    return stream.static_stress()[np.arange(len(stream.spot.bars)), stream.worst_points()]


def one_bar(stream: SpotStreams, row: int) -> SpotStreams:
    """Streams of one bar of a place.

    Parameters
    ----------
    stream : SpotStreams
        Of all bars.
    row : int
        Place of the bar among the bars of the spot.

    Returns
    -------
    SpotStreams
    """
    one = slice(row, row + 1)
    return replace(
        stream,
        spot=replace(stream.spot, bars=stream.spot.bars[one]),
        preload=stream.preload[one],
        stacks=stream.stacks[one],
        states=stream.states[one],
        totals=stream.totals[one],
        equivalent=stream.equivalent[one],
    )


def loaded_joint(source: ForceSource, streams, cycles) -> LoadedJoint:
    """The joint of a history.

    Parameters
    ----------
    source : ForceSource
        Loads and recovery.
    streams : list of SpotStreams
        After the first pass.
    cycles : list of SpotCycles
        After the second one.

    Returns
    -------
    LoadedJoint
    """
    homogeneous = scales_exactly(source.recovery)
    opening = np.full(len(source.parts), np.inf) if homogeneous else opening_factors(source)
    return LoadedJoint(source, streams, cycles, opening, homogeneous)
