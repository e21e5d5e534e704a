"""Free vibrations of a thin ring in closed form, to hold the frame against."""

from __future__ import annotations

import math


def ring_in_plane_frequency(waves: int, radius: float, rigidity: float, mass: float) -> float:
    """Bending of a free ring in its plane: n (n^2 - 1)/sqrt(n^2 + 1) sqrt(E I/(m R^4))/(2 pi).

    Thin ring: no stretching, no shear, no inertia of turning sections. Source: Blevins, Formulas
    for Natural Frequency and Mode Shape (1979), table 9-1 (from memory).

    Parameters
    ----------
    waves : int
        Waves n >= 2 round the ring.
    radius : float, m
        Radius R of the centre line.
    rigidity : float, N m2
        E I for bending in the plane.
    mass : float, kg/m
        Mass m for each metre.

    Returns
    -------
    float
        Hz.

    Examples
    --------
    R = 369 mm, section 48 mm radially by 50 mm, 185 GPa, 7800 kg/m3: 211.65 and 598.64 Hz.

    >>> section = 185e9 * 0.05 * 0.048**3 / 12, 7800 * 0.05 * 0.048
    >>> [round(ring_in_plane_frequency(n, 0.369, *section), 2) for n in (2, 3)]
    [211.65, 598.64]
    """
    shape = waves * (waves**2 - 1.0) / math.sqrt(waves**2 + 1.0)
    return shape * math.sqrt(rigidity / (mass * radius**4)) / (2.0 * math.pi)


def ring_out_of_plane_frequency(
    waves: int, radius: float, rigidity: float, torsion: float, mass: float
) -> float:
    """Bending of a free ring out of its plane, with twist.

    n (n^2 - 1)/sqrt(n^2 + E I/(G J)) sqrt(E I/(m R^4))/(2 pi); thin ring, no shear, no inertia of
    turning sections. Source: Love, Mathematical Theory of Elasticity; Blevins (1979), table 9-1
    (from memory).

    Parameters
    ----------
    waves : int
        Waves n >= 2 round the ring.
    radius : float, m
        Radius R of the centre line.
    rigidity : float, N m2
        E I for bending out of the plane.
    torsion : float, N m2
        G J.
    mass : float, kg/m
        Mass m for each metre.

    Returns
    -------
    float
        Hz.

    Examples
    --------
    Round section, Poisson's ratio 0.35, over the frequency in the plane: sqrt(5/5.35).

    >>> out = ring_out_of_plane_frequency(2, 1.0, 1.0, 1.0 / 1.35, 1.0)
    >>> round(out / ring_in_plane_frequency(2, 1.0, 1.0, 1.0), 6)
    0.966736
    """
    shape = waves * (waves**2 - 1.0) / math.sqrt(waves**2 + rigidity / torsion)
    return shape * math.sqrt(rigidity / (mass * radius**4)) / (2.0 * math.pi)
