"""[[vibration]] kind = "exciter": motion of the housing along a circle, an ellipse or a line."""

from __future__ import annotations

from typing import Literal

from rollsim.case.fields import Section, assumed, conditional, needed


class ExciterSource(Section):
    """kind = "exciter": periodic motion of the housing in the x-y plane (vibrating screens)."""

    kind: Literal["exciter"] = needed("kind of source", example="exciter")
    path: Literal["circle", "ellipse", "line"] = assumed(
        "circle", "path of the housing", why="a free screen with one exciter shaft"
    )
    throw_mm: float = needed(
        "displacement along the circle, the long axis of the ellipse, or the line",
        "mm",
        example=5.0,
        gt=0,
        le=1000,
    )
    throw_is: Literal["amplitude", "peak_to_peak"] = needed(
        "whether throws are measured from the middle (radius) or from end to end (diameter)",
        example="amplitude",
    )
    second_throw_mm: float | None = conditional(
        "displacement along the short axis of the ellipse",
        "mm",
        when="with path = 'ellipse'",
        example=2.0,
        gt=0,
        le=1000,
    )
    angle_deg: float | None = conditional(
        "direction of the line or of the long axis, counter-clockwise from +x",
        "degrees",
        when="with path = 'line' or 'ellipse'",
        example=45.0,
        ge=-360,
        le=360,
    )
    speed_rpm: float | None = conditional(
        "speed of the exciter, positive counter-clockwise seen from +z",
        "rpm",
        when="unless locked_to_shaft",
        example=900.0,
        ge=-1e5,
        le=1e5,
    )
    locked_to_shaft: bool = assumed(
        False,
        "the exciter turns with the inner ring, at every speed and with its angle",
        why="a drive of its own",
    )
    ratio: float = assumed(
        1.0,
        "turns of the exciter per turn of the inner ring, negative against it",
        why="on the shaft itself",
        only={"locked_to_shaft": (True,)},
        ge=-1000,
        le=1000,
    )
    phase_deg: float = assumed(
        0.0,
        "angle of the exciter at time zero: 0 is the end of the throw at angle_deg, from +x for a "
        "circle",
        "degrees",
        why="starts at the end of the throw",
        ge=-360,
        le=360,
    )
