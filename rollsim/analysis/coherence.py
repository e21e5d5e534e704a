"""How much of the motion of the cage follows the imposed vibration linearly."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

#: Source of the measure, as told to the user.
SOURCE = "multiple coherence, Bendat and Piersol, Random Data (from memory)"
# Our own choices: sections that are averaged at least, frequency steps to a turn of the cage at
# most, and the share of the greatest input below which a frequency holds no vibration.
FEWEST_AVERAGES = 16
LINES_PER_TURN = 20.0
QUIET = 1e-6
#: Averages needed for every input, or chance agreement hides the answer (our own choice).
AVERAGES_PER_INPUT = 4
# Half-overlapping Hann sections count for a little less than their number: the correlation of
# neighbours is 1/6, so n sections are worth n/(1 + 2/36) (Welch 1967, from memory).
_OVERLAP_WORTH = 1.0 / (1.0 + 2.0 / 36.0)


@dataclass(frozen=True)
class Coherence:
    """Multiple coherence of the cage motion with the acceleration of the housing.

    Attributes
    ----------
    frequency : ndarray (n,), Hz
        Above 0.
    value : ndarray (n,)
        Share of the power of both directions at that frequency that the vibration explains by a
        linear relation, 0 to 1; NaN where the housing does not move.
    power : ndarray (n,)
        Power of the motion at that frequency, clearances squared a Hz.
    share : float
        The same over all frequencies, less what chance would give; NaN where not known.
    chance : float
        What unrelated signals would show on the average: inputs over averages.
    averages : int
        Sections that were averaged.
    inputs : tuple of str
        Directions of the vibration that were taken.
    """

    frequency: np.ndarray
    value: np.ndarray
    power: np.ndarray
    share: float
    chance: float
    averages: int
    inputs: tuple[str, ...]


def coherence_with(
    position: np.ndarray, acceleration: np.ndarray, rate: float, slowest: float
) -> Coherence | None:
    """Return the coherence of an orbit with the acceleration of its base.

    At every frequency gamma^2 = G_ya G_aa^-1 G_ay / G_yy for motion y and accelerations a, with
    G the averaged cross spectra: 1 where a linear relation to the vibration explains the motion, 0
    where none does. Directions that carry the same signal count once.

    Parameters
    ----------
    position : ndarray of complex (n,)
        Cage centre.
    acceleration : ndarray (n, axes), m/s2
        Acceleration of the housing along x, y (and z).
    rate : float, Hz
        Samples a second.
    slowest : float, Hz
        Cage speed.

    Returns
    -------
    Coherence or None
        None where nothing shakes the housing or the cage does not move.
    """
    position = np.asarray(position) - np.mean(position)
    inputs, names = _inputs(np.asarray(acceleration, dtype=float))
    if not names or not np.any(position):
        return None
    count = len(position)
    turn = rate / max(abs(slowest), 1e-9)
    section = int(max(16, min(LINES_PER_TURN * turn, 2.0 * count / (FEWEST_AVERAGES + 1), count)))
    motion = np.column_stack([position.real, position.imag])
    lines, sections = _spectra(np.column_stack([motion, inputs]), section)
    frequency = np.fft.rfftfreq(section, 1.0 / rate)[1:]
    power, value = _coherent(lines[1:])
    scale = 2.0 / (rate * np.sum(np.hanning(section) ** 2))
    chance = len(names) / (sections * _OVERLAP_WORTH)
    share = _share(power, value, chance)
    if sections < AVERAGES_PER_INPUT * len(names):
        share = float("nan")
    return Coherence(frequency, value, scale * power, share, chance, sections, names)


def _inputs(acceleration: np.ndarray) -> tuple[np.ndarray, tuple[str, ...]]:
    """Directions that move, and their names."""
    centred = acceleration - acceleration.mean(axis=0)
    size = centred.std(axis=0)
    moving = np.flatnonzero(size > 1e-6 * max(float(size.max()), 1e-9))
    return centred[:, moving], tuple("xyz"[i] for i in moving)


def _spectra(signals: np.ndarray, section: int) -> tuple[np.ndarray, int]:
    """Averaged cross spectra (frequency, signal, signal) and the number of sections."""
    window = np.hanning(section)[:, None]
    starts = range(0, len(signals) - section + 1, max(1, section // 2))
    total = 0.0
    for start in starts:
        line = np.fft.rfft(window * signals[start : start + section], axis=0)
        total = total + line[:, :, None] * line[:, None, :].conj()
    return total / len(starts), len(starts)


def _coherent(lines: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Power of both directions of the motion, and the share of it that the inputs explain."""
    outputs = np.real(lines[:, 0, 0] + lines[:, 1, 1])
    between, own = lines[:, :2, 2:], lines[:, 2:, 2:]
    inverse = np.linalg.pinv(own, rcond=1e-6, hermitian=True)
    explained = np.einsum("fij,fjk,fik->f", between, inverse, between.conj()).real
    shaken = np.einsum("fii->f", own).real
    heard = (shaken > QUIET * shaken.max()) & (outputs > 0.0)
    value = np.full(len(outputs), np.nan)
    value[heard] = np.clip(explained[heard] / outputs[heard], 0.0, 1.0)
    return outputs, value


def _share(power: np.ndarray, value: np.ndarray, chance: float) -> float:
    """Coherent share of the whole power, less chance."""
    raw = float(np.nansum(power * value) / power.sum())
    return max(0.0, (raw - chance) / (1.0 - chance)) if chance < 1.0 else float("nan")
