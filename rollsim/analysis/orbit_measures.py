"""Numbers that describe an orbit: whirl speed, eccentricity, roundness, steadiness."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from rollsim.analysis.reduction import block_edges
from rollsim.analysis.spectra import circulation

# Our own choice: beyond this share of the clearance the cage counts as close to its land.
CLOSE_TO_LAND = 0.95


@dataclass(frozen=True)
class Eccentricity:
    """Distance of the cage centre from the centre of its guide, in clearances.

    Attributes
    ----------
    mean, maximum : float
    percentile_5, percentile_50, percentile_95, percentile_99 : float
    close_share : float
        Share of time beyond 0.95.
    """

    mean: float
    maximum: float
    percentile_5: float
    percentile_50: float
    percentile_95: float
    percentile_99: float
    close_share: float


@dataclass(frozen=True)
class Roundness:
    """How round, centred and one-sided in its sense the orbit is.

    Attributes
    ----------
    offset : float
        |mean of z| over the root mean square of |z|: 0 centred, 1 stays at one spot.
    radius_variation : float
        Standard deviation of |z| over its mean: 0 for a circle about the centre.
    axis_ratio : float
        Short over long axis of the scatter of z about its mean: 1 round, 0 a line.
    circulation : float
        (P+ - P-)/(P+ + P-) of the powers at positive and negative frequencies: +1
        counter-clockwise only, -1 clockwise only.
    speed_deviation : float
        Standard deviation of |z'| over its mean: a ratio used in the literature on cage
        stability (from memory); the smaller, the steadier the cage.
    """

    offset: float
    radius_variation: float
    axis_ratio: float
    circulation: float
    speed_deviation: float


@dataclass(frozen=True)
class WhirlBlocks:
    """Whirl in equal parts of the evaluated time.

    Attributes
    ----------
    start, end : ndarray (blocks,), s
    speed : ndarray (blocks,), rad/s
        Whirl speed.
    ratio : ndarray (blocks,)
        Whirl speed over the mean cage speed of the block.
    eccentricity : ndarray (blocks,)
        Mean eccentricity.
    """

    start: np.ndarray
    end: np.ndarray
    speed: np.ndarray
    ratio: np.ndarray
    eccentricity: np.ndarray


def whirl_speed(position: np.ndarray, velocity: np.ndarray) -> float:
    """Return the mean angular speed of the orbit about the centre of the guide.

    W = sum Im(conj(z) z') / sum |z|^2, rad/s, with z = x + i y: the least-squares fit of
    z' = i W z, equal to the angular momentum over the moment of inertia of the orbit.
    A circle z = r exp(i w t) gives w; an ellipse with semi-axes a, b gives 2 a b w/(a^2 + b^2).

    Parameters
    ----------
    position : ndarray of complex (n,)
        z, any unit of length.
    velocity : ndarray of complex (n,)
        z', the same unit per second.

    Returns
    -------
    float, rad/s
        NaN where the cage never leaves the centre.

    Examples
    --------
    >>> z = np.exp(1j * np.linspace(0.0, 6.0, 50))
    >>> round(whirl_speed(z, -3.0j * z), 9)
    -3.0
    """
    square = float(np.vdot(position, position).real)
    if square == 0.0:
        return float("nan")
    return float(np.vdot(position, velocity).imag) / square


def eccentricity_of(position: np.ndarray) -> Eccentricity:
    """Return the statistics of the eccentricity.

    Parameters
    ----------
    position : ndarray of complex (n,)
        Cage centre in clearances.

    Returns
    -------
    Eccentricity
    """
    radius = np.abs(position)
    percentiles = np.quantile(radius, [0.05, 0.50, 0.95, 0.99]).tolist()
    close = float(np.mean(radius > CLOSE_TO_LAND))
    return Eccentricity(float(radius.mean()), float(radius.max()), *percentiles, close)


def roundness_of(position: np.ndarray, velocity: np.ndarray) -> Roundness:
    """Return the measures of roundness.

    Parameters
    ----------
    position : ndarray of complex (n,)
        Cage centre in clearances.
    velocity : ndarray of complex (n,)
        Its rate.

    Returns
    -------
    Roundness
        NaN where a measure has no meaning, such as for a cage at rest.
    """
    radius, speed = np.abs(position), np.abs(velocity)
    rms = float(np.sqrt(np.mean(radius**2)))
    scatter = np.cov(position.real, position.imag)
    short, long = np.linalg.eigvalsh(scatter)
    # Rounding leaves a scatter of about 1e-32 for a cage that stays at one spot.
    moves = long > (1e-9 * rms) ** 2
    return Roundness(
        offset=_ratio(abs(position.mean()), rms),
        radius_variation=_ratio(radius.std(), radius.mean()),
        axis_ratio=float(np.sqrt(max(short, 0.0) / long)) if moves else float("nan"),
        circulation=circulation(position) if moves else float("nan"),
        speed_deviation=_ratio(speed.std(ddof=1), speed.mean()),
    )


def _ratio(part: float, whole: float) -> float:
    """Quotient, NaN for a zero divisor."""
    return float(part / whole) if whole > 0.0 else float("nan")


def whirl_blocks(
    time: np.ndarray,
    position: np.ndarray,
    velocity: np.ndarray,
    cage_speed: np.ndarray,
    blocks: int,
) -> WhirlBlocks:
    """Return whirl speed and ratio for equal parts of the time.

    Parameters
    ----------
    time : ndarray (n,), s
    position : ndarray of complex (n,)
        Cage centre in clearances.
    velocity : ndarray of complex (n,)
        Its rate.
    cage_speed : ndarray (n,), rad/s
    blocks : int
        Number of parts.

    Returns
    -------
    WhirlBlocks
    """
    edges = block_edges(len(time), blocks)
    parts = [slice(*pair) for pair in pairwise(edges)]
    speed = np.array([whirl_speed(position[part], velocity[part]) for part in parts])
    turning = np.array([cage_speed[part].mean() for part in parts])
    turning = np.where(turning == 0.0, np.nan, turning)
    return WhirlBlocks(
        start=time[edges[:-1]],
        end=time[edges[1:] - 1],
        speed=speed,
        ratio=speed / turning,
        eccentricity=np.array([np.abs(position[part]).mean() for part in parts]),
    )
