"""[[vibration]]: the sources of imposed vibration."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator

from rollsim.case.fields import (
    PRACTICE,
    Numbers,
    Section,
    Table,
    Three,
    ThreeTable,
    assumed,
    conditional,
    needed,
)
from rollsim.case.recording import RecordingSource
from rollsim.case.vibration_events import ShockSource, SweepSource
from rollsim.case.vibration_exciter import ExciterSource
from rollsim.case.vibration_keys import (
    Axis,
    amplitude_g_key,
    amplitude_key,
    axis_key,
    direction_key,
    phase_key,
    seed_key,
)


def _one_or_more(value: Any) -> Any:
    """A single axis becomes a list of one."""
    if isinstance(value, str):
        return (value,)
    return tuple(value) if isinstance(value, list) else value


def _numbers(value: Any) -> Any:
    """A single number becomes a list of one."""
    if isinstance(value, int | float) and not isinstance(value, bool):
        return (value,)
    return value


OneOrMore = Annotated[Numbers, BeforeValidator(_numbers)]


class PsdSource(Section):
    """kind = "psd": random vibration from a table or a named environment.

    `axis` is always a tuple; one random signal is made for each axis in it.
    `gain` multiplies the acceleration, so the density goes with its square.
    """

    kind: Literal["psd"] = needed("kind of source", example="psd")
    axis: Annotated[tuple[Axis, ...] | None, BeforeValidator(_one_or_more)] = conditional(
        "axis, or list of axes with a signal each",
        when="this or direction",
        example="y",
        form="one of 'x', 'y', 'z', or a list of them",
    )
    direction: Three | None = direction_key()
    psd: Table | None = conditional(
        "breakpoints [frequency in Hz, density], straight lines in log-log",
        when="this, psd_slopes_dB_per_octave or environment",
        example=((20.0, 0.01), (80.0, 0.04), (500.0, 0.04), (2000.0, 0.01)),
    )
    psd_slopes_dB_per_octave: ThreeTable | None = conditional(
        "pieces [from Hz, to Hz, slope in dB per octave], each beginning where the last one ends",
        when="in place of psd, with psd_level and psd_level_at_Hz",
        example=((20.0, 80.0, 3.0), (80.0, 500.0, 0.0), (500.0, 2000.0, -3.0)),
        form="a list of [from Hz, to Hz, slope in dB per octave]",
    )
    psd_level: float | None = conditional(
        "density at psd_level_at_Hz, in psd_unit",
        when="with psd_slopes_dB_per_octave",
        example=0.04,
        gt=0,
        le=1e9,
    )
    psd_level_at_Hz: float | None = conditional(
        "frequency at which the density is psd_level",
        "Hz",
        when="with psd_slopes_dB_per_octave",
        example=100.0,
        gt=0,
        le=1e5,
    )
    psd_unit: Literal["g2/Hz", "(m/s2)2/Hz"] | None = conditional(
        "unit of the density",
        when="needed with psd and psd_slopes_dB_per_octave",
        example="g2/Hz",
    )
    environment: str | None = conditional(
        "name of a published environment, in place of psd",
        when="in place of psd",
        example="minimum_workmanship",
    )
    gain: float = assumed(
        1.0,
        "factor on the acceleration (density times its square)",
        why="level as published",
        effect="with 18 rollers 1, 2, 5 and 10 g rms gave largest pocket forces of 645, 766, 1394 "
        "and 2619 N",
        gt=0,
        le=1000,
    )
    kurtosis: float = assumed(
        3.0,
        "kurtosis of the signal, 3 for a Gaussian one; more gives higher and rarer peaks at the "
        "same density",
        why="Gaussian; " + PRACTICE,
        ge=3,
        le=10,
    )
    coherence: OneOrMore | None = conditional(
        "coherence between the axes, 0 for independent signals and 1 for one and the same: one "
        "number for all pairs, or one for each pair (first-second, first-third, second-third)",
        when="with several axes; not given: independent signals",
        example=(0.5,),
        form="a number, or a list of one for each pair of axes",
    )
    phase_deg: OneOrMore | None = conditional(
        "phase by which the later axis of a pair leads the earlier one, as coherence",
        "degrees",
        when="with coherence; not given: 0",
        example=(90.0,),
        form="a number, or a list of one for each pair of axes",
    )
    seed: int | None = seed_key()


class SineSource(Section):
    """kind = "sine": one steady sine along one direction."""

    kind: Literal["sine"] = needed("kind of source", example="sine")
    axis: Axis | None = axis_key()
    direction: Three | None = direction_key()
    frequency_Hz: float = needed("frequency", "Hz", example=50.0, gt=0, le=1e5)
    amplitude_g: float | None = amplitude_g_key(2.0)
    amplitude_m_per_s2: float | None = amplitude_key(20.0)
    phase_deg: float = phase_key()


SOURCES = {
    "psd": PsdSource,
    "sine": SineSource,
    "sweep": SweepSource,
    "shock": ShockSource,
    "exciter": ExciterSource,
    "recording": RecordingSource,
}
