"""A stored run and the same run again, in words."""

from __future__ import annotations

import math
from dataclasses import asdict

_SHOWN = 12


def reproduce_dict(found) -> dict:
    """Result as plain data.

    Parameters
    ----------
    found : Reproduction
        Result of `rollsim.sweep.reproduce.reproduce`.

    Returns
    -------
    dict
        Same to the bit or not, every difference, everything that has changed.
    """
    plain = {"same": found.same, **asdict(found)}
    plain |= {name: plain[name] and str(plain[name]) for name in ("history", "again")}
    for item in plain["sameness"]["differences"]:
        item["time"] = None if math.isnan(item["time"]) else item["time"]
    return plain


def reproduce_text(found) -> str:
    """Result in words.

    Parameters
    ----------
    found : Reproduction
        Result of `rollsim.sweep.reproduce.reproduce`.

    Returns
    -------
    str
    """
    result = found.sameness
    lines = [f"{found.history}, run again", *_origin(found.provenance)]
    if found.part:
        reached, duration = found.part
        lines.append(
            f"the stored run is not finished: the {reached:.6g} of {duration:g} s that are there "
            "were computed again and compared"
        )
    if found.stopped:
        lines.append(f"the new run stopped early: {found.stopped}")
    if found.same:
        lines.append(f"Same to the bit: {result.compared} datasets compared, none differs.")
    else:
        lines.append(
            f"NOT the same: {len(result.differences)} of {result.compared} datasets differ."
        )
        lines += _first(result) + _others(result)
    lines += _changed(found)
    if found.again:
        lines.append(f"the new history is kept in {found.again}{'.parts' if found.part else ''}")
    return "\n".join(lines)


def _origin(provenance: dict) -> list[str]:
    """What the stored run was computed with."""
    if not provenance:
        return ["stored run: the file does not tell what computed it (an earlier version wrote it)"]
    software, machine = provenance.get("software", {}), provenance.get("machine", {})
    commit = software.get("commit")
    tree = " with changes" if software.get("modified") else ""
    source = f"commit {commit[:12]}{tree}" if commit else "no git checkout"
    seeds = ", ".join(f"{name} {seed}" for name, seed in provenance.get("seeds", {}).items())
    return [
        f"stored run: rollsim {software.get('rollsim')} ({source}), {software.get('python')}, on "
        f"{machine.get('processor')}, {machine.get('system')}; seeds: {seeds}"
    ]


def _first(result) -> list[str]:
    """The earliest difference."""
    if not result.differences:
        return []
    first = result.differences[0]
    where = f"{first.group}/{first.name}"
    if not math.isnan(first.time):
        where += f" at {first.time:.9g} s (row {first.row})"
    if first.place:
        where += f", element {list(first.place)}"
    return [f"first difference: {where}: {first.first!r} then, {first.second!r} now"]


def _others(result) -> list[str]:
    """All other differences, as far as they fit."""
    lines = []
    for item in result.differences[1:_SHOWN]:
        count = "another shape" if item.count is None else f"{item.count} numbers"
        since = "" if math.isnan(item.time) else f", from {item.time:.9g} s on"
        lines.append(f"  also {item.group}/{item.name}: {count}{since}")
    more = len(result.differences) - _SHOWN
    if more > 0:
        lines.append(f"  and {more} more datasets")
    for name in result.only_first:
        lines.append(f"  {name} is in the stored run alone")
    for name in result.only_second:
        lines.append(f"  {name} is in the new run alone")
    for name, then, now in result.attributes:
        lines.append(f"  attribute {name}: {_short(then)} then, {_short(now)} now")
    return lines


def _changed(found) -> list[str]:
    """What is not as it was, and what that means."""
    if not found.changed:
        same = "version, libraries, machine and inputs are those of the stored run"
        return [same] if found.provenance else []
    lines = ["what has changed since the stored run:"]
    lines += [f"  {item.what}: {_short(item.then)} then, {_short(item.now)} now"
              for item in found.changed]  # fmt: skip
    if not found.same:
        lines.append(
            "Another version, library or processor may round differently; after the first impacts "
            "such runs part, and only their statistics can be compared (rollsim compare)."
        )
    return lines


def _short(value) -> str:
    """A value in at most about 40 characters."""
    text = "none" if value is None else str(value)
    return text if len(text) <= 40 else text[:37] + "..."
