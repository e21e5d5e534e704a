"""Slip-free kinematics of a roller bearing: cage, roller and passing frequencies.

Angles and speeds count counter-clockwise seen from +z. `ratio` below is
gamma = d cos(contact angle) / D with roller diameter d and pitch diameter D.
"""

import math
from dataclasses import dataclass


@dataclass(frozen=True)
class Frequencies:
    """Characteristic frequencies of a bearing without slip, all in Hz and positive.

    cage: turns of the cage a second, seen from the housing; roller: turns of a roller on its own
    axis a second, relative to the cage; outer_pass, inner_pass: rollers that pass one point of
    the outer or inner raceway a second; inner, outer: turns of the rings a second.
    """

    inner: float
    outer: float
    cage: float
    roller: float
    outer_pass: float
    inner_pass: float


def diameter_ratio(roller_diameter, pitch_diameter, contact_angle=0.0):
    """Ratio gamma = d cos(alpha) / D.

    Parameters
    ----------
    roller_diameter, pitch_diameter : float, m
        d and D.
    contact_angle : float, rad
        alpha, zero for cylindrical roller bearings.

    Returns
    -------
    float
        gamma.
    """
    return roller_diameter * math.cos(contact_angle) / pitch_diameter


def epicyclic_cage_speed(inner_speed, outer_speed, ratio):
    """Cage speed without slip, (omega_i (1 - gamma) + omega_o (1 + gamma))/2.

    Source: rolling at both raceways (Harris, Rolling Bearing Analysis).

    Parameters
    ----------
    inner_speed, outer_speed : float, rad/s
        Ring speeds.
    ratio : float
        gamma (see `diameter_ratio`).

    Returns
    -------
    float, rad/s
        Speed of the cage and of the roller orbits.

    Examples
    --------
    Open data set of a motor bearing, 9 balls of 7.94 mm on 39.04 mm: 0.3983 of the shaft speed.

    >>> round(epicyclic_cage_speed(1.0, 0.0, 7.94 / 39.04), 4)
    0.3983
    """
    return 0.5 * (inner_speed * (1.0 - ratio) + outer_speed * (1.0 + ratio))


def relative_roller_spin(inner_speed, outer_speed, roller_diameter, pitch_diameter, contact_angle):
    """Spin of a roller about its axis relative to the cage, without slip.

    (omega_o - omega_i) D/(2 d) (1 - gamma^2). Source: as `epicyclic_cage_speed`.

    Parameters
    ----------
    inner_speed, outer_speed : float, rad/s
        Ring speeds.
    roller_diameter, pitch_diameter : float, m
        d and D.
    contact_angle : float, rad
        Contact angle, zero for cylindrical roller bearings.

    Returns
    -------
    float, rad/s
        Relative spin; opposite to the inner ring when that one turns alone.
    """
    ratio = diameter_ratio(roller_diameter, pitch_diameter, contact_angle)
    scale = 0.5 * pitch_diameter / roller_diameter * (1.0 - ratio**2)
    return (outer_speed - inner_speed) * scale


def epicyclic_roller_spin(inner_speed, outer_speed, roller_diameter, pitch_diameter):
    """Spin of a cylindrical roller in the housing frame, without slip.

    omega_r = (omega_o (R + r) - omega_i (R - r)) / (2 r), from equal surface speeds at both
    raceways: omega_c R + omega_r r = omega_o (R + r), omega_c R - omega_r r = omega_i (R - r).

    Parameters
    ----------
    inner_speed, outer_speed : float, rad/s
        Ring speeds.
    roller_diameter, pitch_diameter : float, m
        2 r and 2 R.

    Returns
    -------
    float, rad/s
        Spin about the roller's own axis (relative spin plus cage speed).
    """
    outer = outer_speed * (pitch_diameter + roller_diameter)
    inner = inner_speed * (pitch_diameter - roller_diameter)
    return 0.5 * (outer - inner) / roller_diameter


def characteristic_frequencies(speeds, count, roller_diameter, pitch_diameter, contact_angle=0.0):
    """Characteristic frequencies of a bearing without slip.

    Z |omega_c - omega_o| / (2 pi) at the outer and Z |omega_i - omega_c| / (2 pi) at the inner
    raceway, |omega_c| / (2 pi) for the cage, relative spin / (2 pi) for the roller (a defect on
    a roller meets a raceway twice a turn).

    Parameters
    ----------
    speeds : tuple of two floats, rad/s
        Inner and outer ring speed.
    count : int
        Number of rollers Z.
    roller_diameter, pitch_diameter : float, m
        d and D.
    contact_angle : float, rad
        Contact angle, zero for cylindrical roller bearings.

    Returns
    -------
    Frequencies
        All in Hz.

    Examples
    --------
    Open run-to-failure data set, 16 rollers of 0.331 in on 2.815 in at 15.17 deg, 2000 rpm
    (printed: 236.4, 296.9 and 139.9 Hz).

    >>> speeds = (2000 * 2 * math.pi / 60, 0.0)
    >>> f = characteristic_frequencies(speeds, 16, 0.331, 2.815, math.radians(15.17))
    >>> round(f.outer_pass, 1), round(f.inner_pass, 1), round(f.roller, 1)
    (236.4, 296.9, 139.9)
    """
    inner, outer = speeds
    turn = 2.0 * math.pi
    cage = epicyclic_cage_speed(
        inner, outer, diameter_ratio(roller_diameter, pitch_diameter, contact_angle)
    )
    spin = relative_roller_spin(inner, outer, roller_diameter, pitch_diameter, contact_angle)
    return Frequencies(
        inner=abs(inner) / turn,
        outer=abs(outer) / turn,
        cage=abs(cage) / turn,
        roller=abs(spin) / turn,
        outer_pass=count * abs(cage - outer) / turn,
        inner_pass=count * abs(inner - cage) / turn,
    )


def entrainment_speed(inner_speed, outer_speed, roller_diameter, pitch_diameter):
    """Entrainment speed at the raceways of a cylindrical roller bearing without slip.

    u = |omega_i - omega_o| (D^2 - d^2) / (4 D), the same at both raceways.
    Source: Hamrock and Dowson 1981.

    Parameters
    ----------
    inner_speed, outer_speed : float, rad/s
        Ring speeds.
    roller_diameter, pitch_diameter : float, m
        d and D.

    Returns
    -------
    float, m/s
        Mean of the two surface speeds seen from the contact.
    """
    difference = abs(inner_speed - outer_speed)
    return difference * (pitch_diameter**2 - roller_diameter**2) / (4.0 * pitch_diameter)


def centrifugal_force(mass, orbit_radius, orbit_speed):
    """Centrifugal force of a roller on its orbit, m R omega_c^2.

    Parameters
    ----------
    mass : float, kg
        Mass of the roller.
    orbit_radius : float, m
        Radius of its centre's path.
    orbit_speed : float, rad/s
        Speed of its centre about the bearing axis.

    Returns
    -------
    float, N
        Force directed outward.
    """
    return mass * orbit_radius * orbit_speed**2
