"""[[vibration]]: the sources of imposed vibration."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator

from rollsim.case.fields import Section, Table, assumed, computed, conditional, needed
from rollsim.case.recording import RecordingSource

Axis = Literal["x", "y", "z"]


def _one_or_more(value: Any) -> Any:
    """A single axis becomes a list of one."""
    if isinstance(value, str):
        return (value,)
    return tuple(value) if isinstance(value, list) else value


class PsdSource(Section):
    """kind = "psd": random vibration from a table or a named environment.

    `axis` is always a tuple; one independent random signal is made for each axis in it.
    `gain` multiplies the acceleration, so the density goes with its square.
    """

    kind: Literal["psd"] = needed("kind of source", example="psd")
    axis: Annotated[tuple[Axis, ...], BeforeValidator(_one_or_more)] = needed(
        "axis, or list of axes with independent signals",
        example="y",
        form="one of 'x', 'y', 'z', or a list of them",
    )
    psd: Table | None = conditional(
        "breakpoints [frequency in Hz, density], straight lines in log-log",
        when="needed unless an environment is named",
        example=((20.0, 0.01), (80.0, 0.04), (500.0, 0.04), (2000.0, 0.01)),
    )
    psd_unit: Literal["g2/Hz", "(m/s2)2/Hz"] | None = conditional(
        "unit of the density", when="needed with psd", example="g2/Hz"
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
    seed: int | None = computed(
        "seed of this source",
        how="case.seed and the position of the source",
        example=7,
        ge=0,
        le=2**32 - 1,
    )


class SineSource(Section):
    """kind = "sine": one steady sine along one axis."""

    kind: Literal["sine"] = needed("kind of source", example="sine")
    axis: Axis = needed("axis", example="x")
    frequency_Hz: float = needed("frequency", "Hz", example=50.0, gt=0, le=1e5)
    amplitude_g: float | None = conditional(
        "amplitude in g", "g", when="this or amplitude_m_per_s2", example=2.0, gt=0, le=1e4
    )
    amplitude_m_per_s2: float | None = conditional(
        "amplitude in m/s2", "m/s2", when="this or amplitude_g", example=20.0, gt=0, le=1e5
    )
    phase_deg: float = assumed(
        0.0, "phase at time zero", "degrees", why="starts at zero", ge=-360, le=360
    )


class ExciterSource(Section):
    """kind = "exciter": circular motion of the housing in the x-y plane (vibrating screens)."""

    kind: Literal["exciter"] = needed("kind of source", example="exciter")
    throw_mm: float = needed(
        "displacement of the circular motion", "mm", example=5.0, gt=0, le=1000
    )
    throw_is: Literal["amplitude", "peak_to_peak"] = needed(
        "whether throw_mm is the radius or the diameter of the circle", example="amplitude"
    )
    speed_rpm: float = needed(
        "speed of the exciter, positive counter-clockwise seen from +z",
        "rpm",
        example=900.0,
        ge=-1e5,
        le=1e5,
    )
    phase_deg: float = assumed(
        0.0,
        "direction of the displacement at time zero, from +x",
        "degrees",
        why="starts at +x",
        ge=-360,
        le=360,
    )


SOURCES = {"psd": PsdSource, "sine": SineSource, "exciter": ExciterSource}
SOURCES["recording"] = RecordingSource
