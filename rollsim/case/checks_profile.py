"""Relations of the roller profile: which keys belong together, and what a table must hold."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from rollsim.case.checks import Finding, Values

#: Share of the roller length in contact where the case gives none (see the schema).
CONTACT_SHARE = 0.96
#: um: a drop beyond it is a wrong unit, not a profile.
DEEPEST_DROP = 1000.0
#: Which profile each key belongs to.
_BELONGS = {
    "crown_radius_m": "crowned",
    "straight_length_mm": "crowned",
    "profile_table_um": "table",
    "profile_interpolation": "table",
}
_NEEDED = {"crowned": "crown_radius_m", "table": "profile_table_um"}


def contact_length(v: Values) -> float:
    """Length of the roller in contact with the raceways, in mm.

    Parameters
    ----------
    v : Values
        The valid values.

    Returns
    -------
    float
        The given one, else its share of the roller length.
    """
    given = v.find("roller.effective_length_mm")
    return CONTACT_SHARE * v["roller.length_mm"] if given is None else given


def _keys_of_the_profile(v: Values) -> Iterator[Finding]:
    """Every profile has its keys, and no keys of another."""
    profile = v["roller.profile"]
    for key, owner in _BELONGS.items():
        if profile != owner and v.given(f"roller.{key}"):
            yield Finding(f"roller.{key}", f"is only used with roller.profile = '{owner}'")
    key = _NEEDED.get(profile)
    if key is not None and not v.given(f"roller.{key}"):
        yield Finding(f"roller.{key}", f"[roller] needs '{key}' with profile = '{profile}'")


def _crown(v: Values) -> Iterator[Finding]:
    """The crown spans the contact and is a circle, not a ball."""
    if v["roller.profile"] != "crowned":
        return
    length = contact_length(v)
    straight = v.find("roller.straight_length_mm") or 0.0
    if straight >= length:
        yield Finding(
            "roller.straight_length_mm",
            f"must be less than the length in contact, {length:g} mm: no crown is left",
        )
        return
    least = 0.5e-3 * (length - straight)
    if v["roller.crown_radius_m"] <= least:
        yield Finding(
            "roller.crown_radius_m",
            f"must be greater than {least:g} m, half of the crowned length; tens of metres are "
            "usual",
        )


def _rows(v: Values) -> Iterator[Finding]:
    """Rows of a profile table rise in position; drops count from the highest point."""
    if v["roller.profile"] != "table":
        return
    key, rows = "roller.profile_table_um", v["roller.profile_table_um"]
    if len(rows) < 2:
        yield Finding(key, "needs at least two rows [position in mm, drop in um]")
        return
    places, drops = zip(*rows, strict=True)
    for number, (left, right) in enumerate(pairwise(places), 2):
        if right <= left:
            yield Finding(
                key,
                f"positions must rise from row to row: row {number} stands at {right:g} mm behind "
                f"{left:g} mm",
            )
            break
    if min(drops) != 0 or max(drops) > DEEPEST_DROP:
        yield Finding(
            key,
            f"drops must be from 0 to {DEEPEST_DROP:g} um, with 0 at the highest point of the "
            f"profile; they run from {min(drops):g} to {max(drops):g} um",
        )


def _rows_cover(v: Values) -> Iterator[Finding]:
    """The table reaches over the whole contact."""
    if v["roller.profile"] != "table" or not v["roller.profile_table_um"]:
        return
    places = [place for place, _ in v["roller.profile_table_um"]]
    half = 0.5 * contact_length(v)
    first = -max(places) if min(places) == 0 else min(places)
    if first > -half or max(places) < half:
        yield Finding(
            "roller.profile_table_um",
            f"must cover the length in contact, from {-half:.5g} to {half:.5g} mm, or from 0 to "
            f"{half:.5g} mm for a symmetric roller; it runs from {min(places):g} to "
            f"{max(places):g} mm",
        )


CHECKS = (_keys_of_the_profile, _crown, _rows, _rows_cover)
