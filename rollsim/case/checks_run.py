"""Relations of duty, solver and output."""

from __future__ import annotations

from collections.abc import Iterator

from rollsim.case.checks import Finding, Values

LEAST_SAMPLES = 10
LARGEST_MOMENT = 1e8


def _shorter_than_run(name: str, what: str):
    """Check that a time at the start is shorter than the run."""
    key = f"duty.{name}"

    def check(v: Values) -> Iterator[Finding]:
        value, duration = v[key], v["duty.duration_s"]
        if value < duration:
            return
        if v.given(key):
            yield Finding(
                key, f"{what} must be shorter than the run: less than duration_s = {duration:g} s"
            )
        else:
            yield Finding(
                "duty.duration_s",
                f"{what} takes {value:g} s where {name} is not given: run longer or give a "
                f"smaller {name}",
            )

    return check


def _preview(v: Values) -> Iterator[Finding]:
    """A preview lies within the run."""
    if v["duty.preview_s"] > v["duty.duration_s"]:
        yield Finding("duty.preview_s", f"must be at most duration_s = {v['duty.duration_s']:g} s")


def _segment_holds_samples(v: Values) -> Iterator[Finding]:
    """A save is worth its time."""
    samples = v["output.segment_s"] * v["output.rate_Hz"]
    if samples < LEAST_SAMPLES:
        key = "output.segment_s" if v.given("output.segment_s") else "output.rate_Hz"
        yield Finding(
            key,
            f"a segment would hold {samples:.3g} samples: segment_s times rate_Hz must be at "
            f"least {LEAST_SAMPLES}",
        )


def _locked_twice(v: Values) -> Iterator[Finding]:
    """No degree of freedom is named twice."""
    names = list(v["solver.locked"])
    for number, name in enumerate(names):
        if name in names[:number]:
            yield Finding("solver.locked", f"'{name}' is named twice")
            return


def _planar_has_no_axial(key: str, what: str):
    """Check that nothing acts along z or tilts where only plane motion is computed."""

    def check(v: Values) -> Iterator[Finding]:
        value = v[key]
        acts = any(value) if isinstance(value, list | tuple) else value != 0
        if acts and v["solver.motion"] == "planar":
            yield Finding(
                key,
                f"planar motion takes no {what}: give solver.motion = 'spatial' or leave this out",
            )

    return check


def _moment(v: Values) -> Iterator[Finding]:
    """A moment of a size that a bearing could meet."""
    if max(abs(part) for part in v["duty.tilting_moment_Nm"]) > LARGEST_MOMENT:
        yield Finding(
            "duty.tilting_moment_Nm",
            f"each part must be from -{LARGEST_MOMENT:g} to {LARGEST_MOMENT:g} N m",
        )


CHECKS = (
    _shorter_than_run("ramp_s", "fading in the vibration"),
    _shorter_than_run("settle_s", "settling"),
    _preview,
    _segment_holds_samples,
    _locked_twice,
    _planar_has_no_axial("duty.axial_load_kN", "axial load"),
    _planar_has_no_axial("duty.tilting_moment_Nm", "tilting moment"),
    _planar_has_no_axial("bearing.misalignment_mrad", "misalignment"),
    _moment,
)
