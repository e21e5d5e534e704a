"""How much every closure is loaded in a run: extremes of its section forces, pocket by pocket."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import chain

import numpy as np

from rollsim.fatigue.kept_pieces import KeptPieces
from rollsim.fatigue.loads import blocks_of, settled_span
from rollsim.fatigue.recovered import ForceSource
from rollsim.fatigue.vibrations import modes_of
from rollsim.history.worked_out import once_a_history
from rollsim.structure.modal_recovery import MODAL, modal_recovery
from rollsim.structure.recovery import cage_recovery

_AXIAL, _SHEAR, _BENDING = 0, slice(1, 3), slice(4, 6)


@dataclass(frozen=True)
class ClosureLoads:
    """Extremes of the section forces between cover and bar, one entry a closure.

    Attributes
    ----------
    bars : ndarray of int (closures,)
        Bar of the closure; the first is 0.
    azimuth : ndarray (closures,), rad
        Where the bar stands on the cage when its angle is zero.
    pull : ndarray (closures,), N
        Largest axial force, preload included.
    swing : ndarray (closures,), N
        Largest less least axial force.
    shear : ndarray (closures,), N
        Largest shear force that the run adds.
    bending : ndarray (closures,), N m
        Largest bending moment that the run adds.
    """

    bars: np.ndarray
    azimuth: np.ndarray
    pull: np.ndarray
    swing: np.ndarray
    shear: np.ndarray
    bending: np.ndarray


@once_a_history(apart=("kept",))
def closure_loads(history, method: str, kept: KeptPieces | None = None) -> ClosureLoads | None:
    """Look through the section forces of all closures after the settling time.

    Parameters
    ----------
    history : History
        Opened history.
    method : str
        How loads become section forces, as in the verdict on the same history.
    kept : KeptPieces or None
        Loads that the verdict has read.

    Returns
    -------
    ClosureLoads or None
        None for a cage in one piece.

    Raises
    ------
    RollsimError
        As `rollsim.fatigue.verdict.fatigue`.
    """
    kept = kept or KeptPieces()
    recovery = kept.once("recovery", lambda: cage_recovery(history.case))
    bars = recovery.frame.design.closure_bars
    if len(bars) == 0:
        return None
    modal = modal_recovery(recovery, modes_of(history)) if method == MODAL else None
    parts = blocks_of(settled_span(history, kept).time)
    source = ForceSource(history, parts, recovery, ("interface",), method, modal, kept=kept)
    low, high = np.full(len(bars), np.inf), np.full(len(bars), -np.inf)
    shear, bending = np.zeros(len(bars)), np.zeros(len(bars))
    for forces in chain.from_iterable(map(source.pieces, range(len(parts)))):
        own = forces.interface[:, bars]
        np.minimum(low, own[..., _AXIAL].min(axis=0), out=low)
        np.maximum(high, own[..., _AXIAL].max(axis=0), out=high)
        for most, part in ((shear, _SHEAR), (bending, _BENDING)):
            np.maximum(most, np.linalg.norm(own[..., part], axis=-1).max(axis=0), out=most)
    still = recovery.preload.interface[bars, _AXIAL]
    # Roller j stands at j of the pitch, its bar half a pitch ahead.
    azimuth = 2.0 * np.pi * (bars + 0.5) / history.roller_count
    return ClosureLoads(bars, azimuth, high + still, high - low, shear, bending)
