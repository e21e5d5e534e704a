"""Vibrations of the cage in the section forces: from a history, and how much they matter.

The modal coordinates of a history stand at the ends of the sampling intervals. Of the three states
of an interval (`rollsim.fatigue.loads`) the third is therefore exact. The first two, largest forces
within the interval, are answered as at rest and get the vibration of the end of the interval on
top: an envelope, like they are themselves.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from rollsim.fatigue.loads import STATES, piece_spans
from rollsim.kernels.cage_loads import load_count, loads_of_channels
from rollsim.structure.interface import ContactLog
from rollsim.structure.modal_recovery import ModalRecovery
from rollsim.units import RPM_TO_RAD_S


@dataclass(frozen=True)
class MethodDifference:
    """How much the vibrations change a verdict.

    Fields: rms, root mean square of the difference of modal and quasi-static section moments over
    that of the modal ones, at the samples, where the modal one is largest; place, its name in the
    section forces; stress_ratio, damage_ratio, reserve_ratio, modal over quasi-static at the
    governing place and bar of the modal verdict (nan where a divisor is zero or without limit).
    """

    rms: float
    place: str
    stress_ratio: float
    damage_ratio: float
    reserve_ratio: float


def modes_of(history) -> dict:
    """What the modes of a history are.

    Parameters
    ----------
    history : History
        Opened history.

    Returns
    -------
    dict
        Empty where its run followed none.
    """
    return history.modes() if int(history.attributes.get("mode_count", 0)) else {}


def vibration_pieces(history, time: np.ndarray, modal: ModalRecovery) -> Iterator[np.ndarray]:
    """Modal coordinates less their static share, in the pieces of `force_pieces`.

    The static share is that of the very loads by which the run drove the modes.

    Parameters
    ----------
    history : History
        Opened history with modal coordinates.
    time : ndarray, s
        Consecutive sample times of it.
    modal : ModalRecovery
        With its modes.

    Yields
    ------
    ndarray, (samples, modes)
        m sqrt(kg).
    """
    case, count = history.case, history.roller_count
    carrier = RPM_TO_RAD_S * case.duty.carrier_speed_rpm
    for span in piece_spans(history, time):
        names = ("pocket_force", "land_force", "cage_angle", "cage_speed")
        pocket, land, angle, speed = (history.window(name, *span) for name in names)
        loads = np.zeros((len(angle), load_count(count)))
        inside = int(case.cage.guidance == "inner_ring")
        channels = (np.ascontiguousarray(own, dtype=float) for own in (pocket, land, angle))
        loads_of_channels(*channels, speed + carrier, inside, loads)
        yield modal.vibration(loads, history.window("modal_coordinate", *span))


def rms_difference(source) -> tuple[float, str]:
    """How far quasi-static section moments are off, at the samples.

    Parameters
    ----------
    source : ForceSource
        Loads and vibrations of a history with modal coordinates; its places are looked at.

    Returns
    -------
    rms : float
        Of the difference over that of the modal moment, where that is largest; 0 without moments.
    place : str
        Where.
    """
    modal, places = source.modal, source.places
    sums = {place: 0.0 for place in places}
    logs = ContactLog(), ContactLog()
    for block in range(len(source.parts)):
        for loads, vibration in source.load_pieces(block):
            own = loads[STATES - 1 :: STATES]
            fast = modal.section_forces(own, vibration[STATES - 1 :: STATES], logs[0], places)
            slow = modal.static.section_forces(own, logs[1], places)
            for place in places:
                one, two = (getattr(forces, place)[..., 4:] for forces in (fast, slow))
                sums[place] = sums[place] + np.array(
                    [np.sum(values**2, axis=0) for values in (one - two, one)]
                )
    place = max(places, key=lambda name: np.max(sums[name][1]))
    wrong, size = sums[place].reshape(2, -1)
    worst = int(np.argmax(size))
    return (float(np.sqrt(wrong[worst] / size[worst])) if size[worst] > 0.0 else 0.0), place


def method_difference(rms: tuple[float, str], fast, slow, name: str, bar: int) -> MethodDifference:
    """Put the difference of two evaluations together.

    Parameters
    ----------
    rms : tuple of float and str
        From `rms_difference`.
    fast : sequence of SpotResult
        With vibrations.
    slow : sequence of SpotResult
        As at rest; of the governing place and bar at least.
    name : str
        Governing place with vibrations.
    bar : int
        Its governing bar, from 0.

    Returns
    -------
    MethodDifference
    """
    ratios = []
    one, two = (next(spot for spot in spots if spot.name == name) for spots in (fast, slow))
    rows = [int(np.flatnonzero(spot.bars == bar)[0]) for spot in (one, two)]
    for field in ("highest_stress", "damage_per_h", "reserve"):
        pair = zip((one, two), rows, strict=True)
        top, below = (float(getattr(spot, field)[row]) for spot, row in pair)
        usable = np.isfinite(top) and np.isfinite(below) and below != 0.0
        ratios.append(top / below if usable else float("nan"))
    return MethodDifference(*rms, *ratios)
