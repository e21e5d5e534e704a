"""Frequencies that the imposed vibration puts into the motion of the cage."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np

from rollsim.analysis.spectra import KinematicLine
from rollsim.errors import RollsimError
from rollsim.units import RPM_TO_RAD_S

# Our own choice: a whirl this near to an imposed frequency, as a share of it, is forced.
FORCED_WITHIN = 0.05


def imposed_lines(history) -> tuple[KinematicLine, ...]:
    """Return the frequencies of exciters and sines of the case of a history.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    tuple of KinematicLine
        An exciter on a circle with the sign of its rotation; a sine, and an exciter on a line or
        an ellipse, move in both senses at once. An exciter locked to the shaft has a line where
        the shaft has one speed. Empty where the case cannot be read.
    """
    try:
        case = history.case
        sources = case.vibration
    except RollsimError:
        return ()
    lines = [_line(source, case) for source in sources if source.kind in ("exciter", "sine")]
    return tuple(_told_apart([line for line in lines if line is not None]))


def _line(source, case) -> KinematicLine | None:
    """Line of one source; None where its frequency moves."""
    if source.kind == "sine":
        axis, direction = source.axis, getattr(source, "direction", None)
        if axis is None:
            axis = f"[{', '.join(f'{part:g}' for part in direction)}]"
        name = f"sine along {axis}"
        return KinematicLine(name, float(source.frequency_Hz), imposed=True, both_senses=True)
    speed = source.speed_rpm
    if getattr(source, "locked_to_shaft", False):
        if case.duty.speed_table or case.duty.drive == "torque":
            return None
        speed = source.ratio * case.duty.speed_rpm
    frequency = speed * RPM_TO_RAD_S / (2.0 * np.pi)
    both = getattr(source, "path", "circle") != "circle"
    return KinematicLine("exciter", float(frequency), imposed=True, both_senses=both)


def _told_apart(lines: list[KinematicLine]) -> list[KinematicLine]:
    """Number lines of equal name."""
    total, seen, named = Counter(line.name for line in lines), Counter(), []
    for line in lines:
        seen[line.name] += 1
        name = line.name if total[line.name] == 1 else f"{line.name}, no. {seen[line.name]}"
        named.append(replace(line, name=name))
    return named


def forcing_line(frequency: float, lines: tuple[KinematicLine, ...]) -> KinematicLine | None:
    """Return the imposed line that a whirl frequency keeps to.

    Parameters
    ----------
    frequency : float, Hz
        Whirl frequency, counter-clockwise positive.
    lines : tuple of KinematicLine
        Lines; only imposed ones count.

    Returns
    -------
    KinematicLine or None
        The nearest imposed line within 5 % of its frequency; None where there is none.

    Examples
    --------
    >>> line = KinematicLine("exciter", 16.2, imposed=True)
    >>> forcing_line(16.3, (line,)).name, forcing_line(-16.3, (line,))
    ('exciter', None)
    """
    near = [
        (line.distance(frequency), line)
        for line in lines
        if line.imposed and line.distance(frequency) <= FORCED_WITHIN * abs(line.frequency)
    ]
    return min(near, key=lambda pair: pair[0])[1] if near else None
