"""Whirl of the cage: speed, orbit, spectrum, slip, coherence and a word for it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from rollsim.analysis.coherence import Coherence, coherence_with
from rollsim.analysis.imposed_lines import forcing_line, imposed_lines
from rollsim.analysis.orbit import Orbit, cage_orbit
from rollsim.analysis.orbit_frames import (
    EccentricityBand,
    OrbitFrame,
    eccentricity_band,
    orbit_frames,
)
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
    SpectrumPeak,
    full_spectrum,
    kinematic_lines,
    section_length,
    share_near,
    strongest_peaks,
)
from rollsim.analysis.stationarity import Stationarity, stationarity
from rollsim.analysis.waterfall import Waterfall, waterfall
from rollsim.analysis.whirl_class import Evidence, WhirlClass, classify
from rollsim.history.worked_out import once_a_history

__all__ = ["WhirlPart", "WhirlResult", "whirl"]

BLOCKS = 10
STRONGEST = 5
# Our own choice: with fewer samples to a turn of the whirl a note says so.
FEWEST_SAMPLES_PER_TURN = 8.0


@dataclass(frozen=True)
class WhirlPart:
    """One part of a record over which the orbit changes.

    Attributes
    ----------
    start, end : float, s
    whirl_ratio : float
    eccentricity : float
        Mean, in clearances.
    verdict : WhirlClass
    """

    start: float
    end: float
    whirl_ratio: float
    eccentricity: float
    verdict: WhirlClass


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
    strongest : tuple of SpectrumPeak
        Strongest lines of the spectrum with their shares of the power.
    imposed_share : float
        Share of the power within two steps of an imposed line, either sense; NaN without one.
    coherence : Coherence or None
        With the vibration of the housing; None where nothing shakes it.
    stationarity : Stationarity
        Whether the orbit stays what it is.
    parts : tuple of WhirlPart
        Classes by parts, for a record over which the orbit changes; else empty.
    frames : tuple of OrbitFrame
        The orbit as pictures see it: at rest, with a turning guide, with the cage.
    band : EccentricityBand
        Extremes of the eccentricity in blocks of time.
    waterfall : Waterfall or None
        Spectra of sections; None for a short record.
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
    strongest: tuple[SpectrumPeak, ...]
    imposed_share: float
    coherence: Coherence | None
    stationarity: Stationarity
    parts: tuple[WhirlPart, ...]
    frames: tuple[OrbitFrame, ...]
    band: EccentricityBand
    waterfall: Waterfall | None

    @property
    def lines_share(self) -> float:
        """Share of the power in the strongest lines together."""
        return sum(peak.share for peak in self.strongest)

    @property
    def duration(self) -> float:
        """Evaluated time in s."""
        return self.end - self.start

    @property
    def mean_radius(self) -> float:
        """Mean distance of the cage centre from the centre of its guide in m."""
        return self.eccentricity.mean * self.clearance


@once_a_history
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
    lines = _lines(history, turning)
    spectrum = _spectrum(orbit, turning)
    share = _imposed_share(spectrum, lines)
    coherence = _coherence(history, orbit, turning)
    gate = stationarity(orbit.time, orbit.position, orbit.velocity, speed)
    motion = _Motion(orbit.time, orbit.position, orbit.velocity, speed)
    measures = _measures(motion)
    shares = (share, coherence.share if coherence else float("nan"))
    evidence = _evidence(measures, lines, shares)
    changes = tuple(change.words for change in gate.changes)
    contact, threshold = _land_contact(history, orbit)
    return WhirlResult(
        case_name=case_name(history),
        start=window.start,
        end=window.end,
        guide=orbit.guide,
        clearance=orbit.clearance,
        **_own(measures),
        eccentricity=eccentricity_of(orbit.position),
        land_contact_share=contact,
        land_threshold=threshold,
        spectrum=spectrum,
        lines=lines,
        cage_slip=cage_slip(history, window),
        roller_orbit_slip=roller_orbit_slip(history, window),
        roller_spin_slip=roller_spin_slip(history, window),
        verdict=classify(replace(evidence, changes=changes)),
        assumptions=assumption_lines(history),
        notes=(*orbit.notes, *_sampling_notes(measures.whirl_speed, orbit)),
        strongest=strongest_peaks(spectrum, STRONGEST),
        imposed_share=share,
        coherence=coherence,
        stationarity=gate,
        parts=_parts(motion, gate, lines) if gate.changes else (),
        frames=orbit_frames(history, orbit, (measures.whirl_speed, turning)),
        band=eccentricity_band(orbit),
        waterfall=waterfall(history, orbit, lines, measures.whirl_speed),
    )


@dataclass(frozen=True)
class _Motion:
    """A stretch of the orbit: time s, z and its rate in clearances, cage speed rad/s."""

    time: np.ndarray
    position: np.ndarray
    velocity: np.ndarray
    cage_speed: np.ndarray


@dataclass(frozen=True)
class _Measures:
    """Measures of a stretch, named as in WhirlResult; duration in s."""

    whirl_speed: float
    cage_speed: float
    whirl_ratio: float
    roundness: Roundness
    blocks: WhirlBlocks
    ratio_scatter: float
    duration: float


def _measures(motion: _Motion) -> _Measures:
    """Speeds, roundness and blocks of a stretch."""
    turning = float(motion.cage_speed.mean())
    whirling = whirl_speed(motion.position, motion.velocity)
    blocks = whirl_blocks(motion.time, motion.position, motion.velocity, motion.cage_speed, BLOCKS)
    return _Measures(
        whirl_speed=whirling,
        cage_speed=turning,
        whirl_ratio=whirling / turning if turning != 0.0 else float("nan"),
        roundness=roundness_of(motion.position, motion.velocity),
        blocks=blocks,
        ratio_scatter=_scatter(blocks.ratio),
        duration=float(motion.time[-1] - motion.time[0]),
    )


def _own(measures: _Measures) -> dict:
    """The measures that a result keeps under their own names."""
    return {name: value for name, value in vars(measures).items() if name != "duration"}


def _evidence(measures: _Measures, lines, shares: tuple[float, float]) -> Evidence:
    """What the class is decided from; `shares`: of the power on imposed lines, coherent."""
    turns = measures.duration / (2.0 * np.pi)
    return Evidence(
        offset=measures.roundness.offset,
        radius_variation=measures.roundness.radius_variation,
        circulation=measures.roundness.circulation,
        ratio_scatter=measures.ratio_scatter,
        whirl_turns=abs(measures.whirl_speed) * turns,
        cage_turns=abs(measures.cage_speed) * turns,
        forced_by=_forced_by(measures.whirl_speed, lines),
        imposed_share=shares[0],
        coherent_share=shares[1],
    )


def _parts(motion: _Motion, gate: Stationarity, lines) -> tuple[WhirlPart, ...]:
    """Class of every part of a record; coherence is not asked of parts: they are too short."""
    found = []
    for first, last in pairwise(gate.edges):
        part = _Motion(*(series[first:last] for series in vars(motion).values()))
        measures = _measures(part)
        signal = part.position - part.position.mean()
        rate = (len(part.time) - 1) / measures.duration
        section = section_length(len(signal), rate, measures.cage_speed / (2.0 * np.pi))
        share = _imposed_share(full_spectrum(signal, rate, section), lines)
        verdict = classify(_evidence(measures, lines, (share, float("nan"))))
        radius = float(np.abs(part.position).mean())
        start, end = float(part.time[0]), float(part.time[-1])
        found.append(WhirlPart(start, end, measures.whirl_ratio, radius, verdict))
    return tuple(found)


def _imposed_share(spectrum: FullSpectrum, lines: tuple[KinematicLine, ...]) -> float:
    """Share of the power of the motion on imposed lines, in either sense."""
    imposed = [line.frequency for line in lines if line.imposed]
    return share_near(spectrum, [*imposed, *(-f for f in imposed)])


def _coherence(history, orbit: Orbit, turning: float) -> Coherence | None:
    """Coherence of the orbit with the acceleration of the housing."""
    shaken = np.asarray(history.channel("base_acceleration"), dtype=float)[orbit.window.slice]
    if not np.all(np.isfinite(shaken)):
        return None
    return coherence_with(orbit.position, shaken, _rate(orbit), turning / (2.0 * np.pi))


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
