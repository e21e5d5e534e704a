"""Whirl of the cage: speed, orbit, spectrum, slip and a word for it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rollsim.analysis.imposed_lines import forcing_line, imposed_lines
from rollsim.analysis.orbit import Orbit, cage_orbit
from rollsim.analysis.orbit_measures import (
    Eccentricity,
    Roundness,
    WhirlBlocks,
    eccentricity_of,
    roundness_of,
    whirl_blocks,
    whirl_speed,
)
from rollsim.analysis.settled import assumption_lines, attribute, case_name, contact_threshold
from rollsim.analysis.slip import Slip, cage_slip, roller_orbit_slip, roller_spin_slip
from rollsim.analysis.spectra import (
    FullSpectrum,
    KinematicLine,
    full_spectrum,
    kinematic_lines,
    section_length,
)
from rollsim.analysis.whirl_class import Evidence, WhirlClass, classify

__all__ = ["WhirlResult", "whirl"]

BLOCKS = 10
# Our own choice: with fewer samples to a turn of the whirl a note says so.
FEWEST_SAMPLES_PER_TURN = 8.0


@dataclass(frozen=True)
class WhirlResult:
    """Motion of the cage centre after the settling time.

    Attributes
    ----------
    case_name : str
    start, end : float, s
        Evaluated time.
    guide : str
        outer ring, inner ring or rollers.
    clearance : float, m
        Radial clearance that scales the orbit.
    whirl_speed : float, rad/s
        Mean angular speed of the orbit, counter-clockwise positive.
    cage_speed : float, rad/s
        Mean rotational speed of the cage.
    whirl_ratio : float
        Whirl speed over cage speed: positive whirls forward, with the cage; negative backward.
    eccentricity : Eccentricity
        In clearances.
    roundness : Roundness
    land_contact_share : float
        Share of time in which a land carries more than `land_threshold`, by film or solid contact.
    land_threshold : float, N
    blocks : WhirlBlocks
        One-tenths of the evaluated time.
    ratio_scatter : float
        Standard deviation of the whirl ratio of the blocks over the size of its mean.
    spectrum : FullSpectrum
        Of the scaled orbit less its mean, in 1/Hz.
    lines : tuple of KinematicLine
        Frequencies that the steady motion and the imposed vibration explain.
    cage_slip, roller_orbit_slip, roller_spin_slip : Slip
    verdict : WhirlClass
    assumptions : tuple of str
        Inputs that the user did not give.
    notes : tuple of str
        What was left out or assumed, in plain words.
    """

    case_name: str
    start: float
    end: float
    guide: str
    clearance: float
    whirl_speed: float
    cage_speed: float
    whirl_ratio: float
    eccentricity: Eccentricity
    roundness: Roundness
    land_contact_share: float
    land_threshold: float
    blocks: WhirlBlocks
    ratio_scatter: float
    spectrum: FullSpectrum
    lines: tuple[KinematicLine, ...]
    cage_slip: Slip
    roller_orbit_slip: Slip
    roller_spin_slip: Slip
    verdict: WhirlClass
    assumptions: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def duration(self) -> float:
        """Evaluated time in s."""
        return self.end - self.start

    @property
    def mean_radius(self) -> float:
        """Mean distance of the cage centre from the centre of its guide in m."""
        return self.eccentricity.mean * self.clearance


def whirl(history) -> WhirlResult:
    """Evaluate the motion of the cage centre after the settling time.

    The whirl ratio, whirl speed over cage speed, is the usual measure of cage instability (Gupta
    1991, "Modeling of instabilities induced by cage clearances in cylindrical roller bearings",
    Tribology Transactions 34; from memory). How the whirl speed is taken from the orbit is stated
    in `whirl_speed`.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    WhirlResult

    Raises
    ------
    RollsimError
        The history is too short, or states no clearance.
    """
    orbit = cage_orbit(history)
    window = orbit.window
    speed = np.asarray(history.channel("cage_speed"), dtype=float)[window.slice]
    turning = float(speed.mean())
    whirling = whirl_speed(orbit.position, orbit.velocity)
    blocks = whirl_blocks(orbit.time, orbit.position, orbit.velocity, speed, BLOCKS)
    roundness = roundness_of(orbit.position, orbit.velocity)
    scatter = _scatter(blocks.ratio)
    share, threshold = _land_contact(history, orbit)
    lines = _lines(history, turning)
    return WhirlResult(
        case_name=case_name(history),
        start=window.start,
        end=window.end,
        guide=orbit.guide,
        clearance=orbit.clearance,
        whirl_speed=whirling,
        cage_speed=turning,
        whirl_ratio=whirling / turning if turning != 0.0 else float("nan"),
        eccentricity=eccentricity_of(orbit.position),
        roundness=roundness,
        land_contact_share=share,
        land_threshold=threshold,
        blocks=blocks,
        ratio_scatter=scatter,
        spectrum=_spectrum(orbit, turning),
        lines=lines,
        cage_slip=cage_slip(history, window),
        roller_orbit_slip=roller_orbit_slip(history, window),
        roller_spin_slip=roller_spin_slip(history, window),
        verdict=classify(
            Evidence(
                offset=roundness.offset,
                radius_variation=roundness.radius_variation,
                circulation=roundness.circulation,
                ratio_scatter=scatter,
                whirl_turns=abs(whirling) * window.duration / (2.0 * np.pi),
                cage_turns=abs(turning) * window.duration / (2.0 * np.pi),
                forced_by=_forced_by(whirling, lines),
            )
        ),
        assumptions=assumption_lines(history),
        notes=(*orbit.notes, *_sampling_notes(whirling, orbit)),
    )


def _scatter(ratio: np.ndarray) -> float:
    """Standard deviation over the size of the mean; NaN where the ratio is unknown."""
    mean = abs(float(ratio.mean()))
    return float(ratio.std(ddof=1)) / mean if mean > 0.0 else float("nan")


def _land_contact(history, orbit: Orbit) -> tuple[float, float]:
    """Return the share of sampled instants with a loaded land, and the threshold in N."""
    threshold = contact_threshold(history)
    force = np.asarray(history.channel("land_force"))[orbit.window.slice]
    loaded = np.linalg.norm(force, axis=-1) > threshold
    return float(loaded.any(axis=1).mean()), threshold


def _rate(orbit: Orbit) -> float:
    """Samples a second."""
    return float((len(orbit.time) - 1) / (orbit.time[-1] - orbit.time[0]))


def _sampling_notes(whirling: float, orbit: Orbit) -> tuple[str, ...]:
    """Say when the cage goes round quickly against the samples.

    The whirl speed stands on the recorded velocities and is right at any rate; spectrum and
    circulation see a whirl of less than two samples to a turn at a wrong frequency.
    """
    turns = abs(whirling) / (2.0 * np.pi)
    if not turns * FEWEST_SAMPLES_PER_TURN > _rate(orbit):
        return ()
    samples = _rate(orbit) / turns
    wrong = " spectrum and circulation show a wrong frequency and sense," if samples < 2.0 else ""
    return (
        f"The cage whirls {turns:.4g} times a second and a turn has {samples:.1f} samples:{wrong}"
        " the drawn path has corners. Raise output.rate_Hz.",
    )


def _spectrum(orbit: Orbit, turning: float) -> FullSpectrum:
    """Averaged full spectrum of the orbit about its mean."""
    rate = _rate(orbit)
    signal = orbit.position - orbit.position.mean()
    section = section_length(len(signal), rate, turning / (2.0 * np.pi))
    return full_spectrum(signal, rate, section)


def _lines(history, turning: float) -> tuple[KinematicLine, ...]:
    """Lines of the steady motion, then those of the imposed vibration."""
    inner, outer = (attribute(history, f"{ring}_speed_rad_per_s") for ring in ("inner", "outer"))
    rollers = int(history.attributes["roller_count"])
    return (*kinematic_lines(turning, (inner, outer), rollers), *imposed_lines(history))


def _forced_by(whirling: float, lines: tuple[KinematicLine, ...]) -> str:
    """Name and frequency of the imposed line that the whirl keeps to; empty for none."""
    line = forcing_line(whirling / (2.0 * np.pi), lines)
    return "" if line is None else f"{line.name} at {line.frequency:+.4g} Hz"
