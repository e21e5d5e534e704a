"""A look at the imposed vibration: what was asked against what is applied.

A case, a named environment and a finished history are measured by the same code.
"""

from __future__ import annotations

import json
import math
from dataclasses import dataclass, replace

import numpy as np

from rollsim.analysis.settled import settled_window
from rollsim.case.change import changed_case
from rollsim.case.environments import Environment, used_environments
from rollsim.case.read import parse_case
from rollsim.case.template import template_text
from rollsim.errors import RollsimError, shown
from rollsim.model.asked import (
    asked_cross,
    asked_kurtosis,
    asked_lines,
    asked_power,
    asked_sources,
    asked_tables,
    events,
    frequency_range,
    known_model,
    recorded_range,
    steady_model,
    steady_shaft,
)
from rollsim.model.spectrum import SAMPLES_PER_PERIOD
from rollsim.model.vibration import base_acceleration, build_vibration, turning_rows
from rollsim.report.look_events import event_words
from rollsim.report.look_recorded import Recorded, recorded_bands, recordings_of
from rollsim.report.plain_data import number
from rollsim.signals.bands import band_edges
from rollsim.signals.measure import FEWEST_SAMPLES, Measures, Plan, measure
from rollsim.signals.resampling import between_samples

#: Time looked at unless asked otherwise, s.
USUAL_LOOK = 10.0
#: Most samples that are evaluated; a longer look is cut.
MOST_SAMPLES = 2_000_000
#: Most values worked out for each sample of a history.
_FINEST_FACTOR = 8
#: Samples in a named half-sine pulse: resonators of 100 over its duration are caught to 5 %.
_SAMPLES_IN_PULSE = 1000
#: Range of bands where nothing tells it, Hz.
_WITHOUT_SOURCES = (1.0, 1000.0)
#: Above every frequency that a case may ask for, Hz.
_ABOVE_ALL = 1e9
#: Periods of the lowest frequency that a look at a recording holds (our own choice).
_PERIODS_SEEN = 4.0
#: Kinds that act all the time: the look begins after the fade-in.
_LASTING = ("psd", "sine", "exciter", "recording")


class BadLook(RollsimError):
    """Something that cannot be looked at (exit code 2)."""

    exit_code = 2


@dataclass(frozen=True)
class Look:
    """Imposed vibration, asked and applied; SI units.

    title; origin: "case", "environment", "shock" or "history"; sources: one line each;
    environments: named ones in use; measures: Measures of what is applied; tables: per axis the
    density tables that are asked; asked_rms: array (3,), m/s2, of the random sources; asked_band:
    array (3, bands), m/s2 rms; asked_amplitude: array (lines, 3), m/s2, NaN for a sine that was
    found and not asked; asked_kurtosis: array (3,) of the random sources, or of recordings alone;
    asked_cross: array (3, 3), complex, (m/s2)2, mean products of the random sources; notes:
    sentences; recorded: density of the recordings, which is in what is asked, None without;
    events: sentences on what sweeps and shocks ask for.

    What a recording asks for is what its samples hold over the stretch that is looked at.
    """

    title: str
    origin: str
    sources: tuple[str, ...]
    environments: tuple[Environment, ...]
    measures: Measures
    tables: list
    asked_rms: np.ndarray
    asked_band: np.ndarray
    asked_amplitude: np.ndarray
    asked_kurtosis: np.ndarray
    asked_cross: np.ndarray
    notes: tuple[str, ...]
    recorded: Recorded | None = None
    events: tuple[str, ...] = ()

    @property
    def ratio(self):
        """Applied over asked rms of each axis and band, NaN where nothing is asked."""
        applied = np.array([axis.band_rms for axis in self.measures.axes])
        asked = np.where(self.asked_band > 0.0, self.asked_band, np.nan)
        return applied / asked

    @property
    def line_scatter(self):
        """Usual error of an amplitude in each axis, m/s2: sqrt(G/T).

        Least squares in noise of one-sided density G over a time T; array (lines, 3). Closed
        form for white noise.
        """
        found = np.zeros_like(self.asked_amplitude)
        for i, axis in enumerate(self.measures.axes):
            density = np.interp(self.measures.lines, axis.frequency, axis.density)
            found[:, i] = np.sqrt(density / (self.measures.end - self.measures.start))
        return found

    @property
    def scatter(self):
        """Usual scatter of the rms of each band, as a share: 1/(2 sqrt(B T)).

        Standard deviation of the rms of Gaussian noise of band width B over a time T (Bendat and
        Piersol, value from memory).
        """
        width = np.diff(band_edges(self.measures.bands))
        return 0.5 / np.sqrt(width * (self.measures.end - self.measures.start))


def look_at_case(case, duration=None, response=True, origin="case"):
    """Look at the sources of a case without running it.

    Parameters
    ----------
    case : Case
        The case.
    duration : float or None, s
        Time to look at; that of the case, at most 10 s, when None.
    response : bool
        Work out the shock response too.
    origin : str
        What it says it is.

    Returns
    -------
    Look
    """
    whole = case.duty.duration_s
    lasting = _is_lasting(case)
    start = case.duty.ramp_s if lasting else 0.0
    if duration is None:
        duration = max(min(whole, USUAL_LOOK) - start, 0.1)
    # The table of a random source depends on the time it is made for: that of the run.
    model = build_vibration(case, max(whole, start + duration))
    known = steady_model(model)
    span = frequency_range(known) or _WITHOUT_SOURCES
    rate = max(SAMPLES_PER_PERIOD * span[1], case.output.rate_Hz)
    notes = [f"{text[:1].upper()}{text[1:]}." for text in model.summary.warnings]
    if not case.vibration:
        notes.append("The case has no [[vibration]]: the housing stands still.")
    if duration * rate > MOST_SAMPLES:
        duration = MOST_SAMPLES / rate
        notes.append(f"The look is cut to {duration:.4g} s, {MOST_SAMPLES} samples.")
    if _recorded(case):
        # A long recording holds frequencies that a short look cannot tell apart.
        lowest = min(_PERIODS_SEEN / duration, 0.5 * span[1])
        span = (max(span[0], lowest), span[1])
    times = start + np.arange(_count(duration, rate)) / rate
    lines = asked_lines(known.shaking.harmonic)
    plan = Plan(
        *span,
        tuple(lines[0]),
        tones=_recorded(case),
        afterwards=not lasting,
        response=response,
    )
    kept = [item.kept for item in model.summary.recordings]
    asked = event_words(known.shaking, times[0], times[-1])
    signal, alone = base_acceleration(model, times), events(known, times)
    # The random samples of a long run give their room back before the signal is measured.
    del model, known
    measures = measure(times, signal, plan, alone)
    look = _against_asked(case, origin, measures, lines, notes, kept)
    return replace(look, events=asked)


def _is_lasting(case):
    """Whether a source acts all the time, so that the fade-in would be missed in its level.

    Sweeps, shocks and a shaft that runs up are looked at from rest to rest where they act alone.
    """
    steady = steady_shaft(turning_rows(case))
    return not case.vibration or any(
        source.kind in _LASTING
        and (steady or not (source.kind == "exciter" and source.locked_to_shaft))
        for source in case.vibration
    )


def _recorded(case):
    """Whether a case replays a recording, which may hold sines that the case does not name."""
    return any(source.kind == "recording" for source in case.vibration)


def _count(duration, rate):
    """Number of samples, enough of them."""
    count = round(duration * rate)
    if count < FEWEST_SAMPLES:
        raise BadLook(
            f"A look of {duration:g} s holds {count} samples at {rate:g} Hz and at least"
            f" {FEWEST_SAMPLES} are needed: give a longer --duration."
        )
    return count


def look_at_environment(environment, duration=None, response=True):
    """Look at one named environment along y.

    Parameters
    ----------
    environment : Environment
        Shipped or from a file.
    duration : float or None, s
        Time to look at; 10 s when None.
    response : bool
        Work out the shock response too.

    Returns
    -------
    Look
    """
    source = {
        "kind": "psd",
        "axis": ["y"],
        "psd": [list(point) for point in environment.points],
        "psd_unit": environment.unit,
    }
    case = changed_case(parse_case(template_text()), {"vibration": [source]})
    found = look_at_case(case, USUAL_LOOK if duration is None else duration, response)
    return replace(found, title=environment.name, origin="environment", environments=(environment,))


def look_at_shock(shock):
    """Look at one named half-sine pulse along y.

    Parameters
    ----------
    shock : PublishedShock
        The pulse.

    Returns
    -------
    Look
    """
    rate = _SAMPLES_IN_PULSE / shock.duration
    # Stands still as long before and after: the velocity of a single pulse is measured from rest.
    times = np.arange(3 * _SAMPLES_IN_PULSE + 1) / rate
    phase = times / shock.duration - 1.0
    pulse = np.where((phase > 0.0) & (phase < 1.0), np.sin(np.pi * phase), 0.0)
    signal = np.outer(shock.amplitude * pulse, (0.0, 1.0, 0.0))
    plan = Plan(0.1 / shock.duration, 10.0 / shock.duration, afterwards=True)
    measures = measure(times, signal, plan, signal)
    words = (
        f"half-sine of {number(shock.amplitude)} m/s2, {number(1e3 * shock.duration)} ms, velocity"
        f" change {number(shock.velocity_change, 4)} m/s; {shock.flag}"
    )
    nothing = np.zeros((3, len(measures.bands)))
    note = "The displacement of a single pulse without its counter-motion has no meaning."
    return Look(
        shock.name, "shock", (words,), (), measures, [[], [], []], np.zeros(3), nothing,
        np.zeros((0, 3)), np.full(3, np.nan), np.zeros((3, 3)), (note,),
    )  # fmt: skip


def look_at_history(history):
    """Look at the acceleration that a run was given, from its own channel.

    Parameters
    ----------
    history : History
        Opened history file.

    Returns
    -------
    Look
    """
    channel = np.asarray(history.channel("base_acceleration"))
    window = settled_window(history, channel)
    times, signal = np.asarray(history.time)[window.slice], channel[window.slice]
    if len(times) < FEWEST_SAMPLES:
        raise BadLook(
            f"{len(times)} samples lie after the settling time and at least {FEWEST_SAMPLES} are"
            " needed. Run longer."
        )
    case = history.case
    # Neither random signals nor recordings: those are in the channel.
    model = steady_model(known_model(case, float(history.attributes.get("duration_s", times[-1]))))
    records = json.loads(history.attributes.get("recordings", "[]"))
    span = recorded_range(frequency_range(model), records) or _WITHOUT_SOURCES
    lines = asked_lines(model.shaking.harmonic)
    rate = (len(times) - 1) / (times[-1] - times[0])
    factor = math.ceil(SAMPLES_PER_PERIOD * span[1] / rate)
    factor = max(1, min(factor, _FINEST_FACTOR, MOST_SAMPLES // len(times)))
    times, signal = between_samples(times, signal, factor)
    plan = Plan(
        span[0],
        max(min(span[1], 0.5 * rate), 1.1 * span[0]),
        tuple(lines[0]),
        tones=_recorded(case),
        afterwards=not _is_lasting(case),
    )
    measures = measure(times, signal, plan, events(model, times))
    notes = [
        *(note for note in window.notes if not note.startswith("Vibration environment")),
        f"The channel base_acceleration holds {rate:.6g} samples a second: it shows bands up to"
        f" {0.5 * rate:.6g} Hz"
        + (
            f"; {factor} values for each sample were interpolated, right for what lies below 94 %"
            " of that."
            if factor > 1
            else "."
        ),
    ]
    kept, more = recordings_of(history)
    look = _against_asked(case, "history", measures, lines, [*notes, *more], kept)
    return replace(look, events=event_words(model.shaking, times[0], times[-1]))


def _against_asked(case, origin, measures, lines, notes, kept=()):
    """The look, with what the case asks for in every band and line."""
    sources = asked_sources(case)
    tables = asked_tables(sources)
    edges = band_edges(measures.bands)
    band = np.array([asked_power(axis, edges) for axis in tables])
    whole = np.array([0.0, _ABOVE_ALL])
    total = np.array([asked_power(axis, whole)[0] for axis in tables])
    kurtosis = asked_kurtosis(sources)
    frequency, cosine, sine = lines
    wave = np.full((len(measures.lines), 3), np.nan, dtype=complex)
    for i, line in enumerate(measures.lines):
        if line in frequency:
            wave[i] = (cosine + 1j * sine)[frequency == line].sum(axis=0)
    lost = [f for f in frequency if not np.any(np.abs(measures.lines - f) < 1e-9 * f)]
    notes = list(notes)
    if lost:
        names = ", ".join(f"{f:.4g} Hz" for f in lost)
        notes.append(
            f"The stretch is too short, or its samples too far apart, to tell {names} from its"
            " neighbours: look longer."
        )
    recorded, why = recorded_bands(case, measures, kept)
    notes += why
    if recorded is not None:
        band, total = band + recorded.band_power, total + recorded.power
        wave = np.where(np.isnan(wave), 0.0, wave) + recorded.wave
        kurtosis = np.where(np.isnan(kurtosis), recorded.kurtosis, kurtosis)
    return Look(
        case.case.name,
        origin,
        tuple(_words(number, source) for number, source in enumerate(case.vibration, 1)),
        used_environments(case),
        measures,
        tables,
        np.sqrt(total),
        np.sqrt(band),
        np.abs(wave),
        kurtosis,
        asked_cross(sources),
        tuple(notes),
        recorded,
    )


def _words(number, source):
    """One source: its kind and the keys that were given."""
    given = source.model_dump(exclude_unset=True, exclude={"kind"})
    keys = ", ".join(f"{key} = {shown(_listed(value))}" for key, value in given.items())
    return f"{number}. {source.kind}: {keys}"


def _listed(value):
    """Tuples as lists, a list of one as its item."""
    if isinstance(value, tuple):
        return _listed(value[0]) if len(value) == 1 else [_listed(item) for item in value]
    return value
