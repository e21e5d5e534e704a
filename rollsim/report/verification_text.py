"""Published checks as text and as plain data: what, source, expected, computed, deviation."""

from __future__ import annotations

import platform
from collections.abc import Iterable, Sequence
from importlib.metadata import PackageNotFoundError, version
from itertools import groupby

import rollsim
from rollsim.report.plain_data import number, wrapped
from rollsim.verification.check import Basis, Check, Outcome, Topic

#: Widths of the columns; with key and blanks 119 characters.
_WHAT, _NUMBER, _UNIT, _TOLERANCE = 51, 11, 11, 9
_LIBRARIES = ("numpy", "scipy", "numba")
_NOT_SHOWN = (
    "This shows that formulas and kernels give the published values on this machine. It says "
    "nothing about the inputs of a case, nor whether the model fits a machine."
)


def verification_dict(found: Sequence[tuple[Topic, Sequence[Outcome]]]) -> dict:
    """Outcomes as plain data.

    Parameters
    ----------
    found : sequence of (Topic, sequence of Outcome)
        What every check gave.

    Returns
    -------
    dict
        versions; counts; rows with what stands in the text.
    """
    rows = [
        {
            **_check_dict(topic, outcome.check),
            "expected": outcome.expected,
            "computed": outcome.computed,
            "deviation": outcome.deviation,
            "within": outcome.within,
            "problem": outcome.problem,
            "left_out_for_want_of": outcome.left_out,
        }
        for topic, outcomes in found
        for outcome in outcomes
    ]
    done = [row for row in rows if not row["left_out_for_want_of"]]
    return {
        "versions": _versions(),
        "checked": len(done),
        "within": sum(row["within"] for row in done),
        "left_out": len(rows) - len(done),
        "from_memory": sum(row["from_memory"] for row in done),
        "rows": rows,
    }


def list_dict(topics: Sequence[Topic]) -> dict:
    """Checks that are not computed as plain data.

    Parameters
    ----------
    topics : sequence of Topic
        What is chosen.

    Returns
    -------
    dict
        rows; expected is None where it is computed by a second route.
    """
    return {"rows": [_check_dict(topic, check) for topic in topics for check in topic.checks]}


def verification_text(found: Sequence[tuple[Topic, Sequence[Outcome]]]) -> str:
    """Outcomes for people, by topic and source.

    Parameters
    ----------
    found : sequence of (Topic, sequence of Outcome)
        What every check gave.

    Returns
    -------
    str
        Lines of at most 120 characters.
    """
    lines = [", ".join(f"{name} {number}" for name, number in _versions().items())]
    for topic, outcomes in found:
        lines += ["", _head(topic, ("computed", "deviation"))]
        for source, own in groupby(outcomes, key=lambda outcome: outcome.check.source):
            lines += _source(source)
            lines += [line for outcome in own for line in _row(outcome)]
    return "\n".join([*lines, "", *_legend(topic for topic, _ in found), *_summary(found)])


def list_text(topics: Sequence[Topic]) -> str:
    """Checks that are not computed, for people.

    Parameters
    ----------
    topics : sequence of Topic
        What is chosen.

    Returns
    -------
    str
        Lines of at most 120 characters.
    """
    lines = []
    for topic in topics:
        lines += [_head(topic, ())]
        for source, own in groupby(topic.checks, key=lambda check: check.source):
            lines += _source(source)
            for check in own:
                expected = "computed" if callable(check.expected) else _plain(check.expected)
                cells = [expected.rjust(_NUMBER), check.unit.ljust(_UNIT)]
                lines.append(_line(check, [*cells, _tolerance(check).rjust(_TOLERANCE)]))
        lines.append("")
    count = sum(len(topic.checks) for topic in topics)
    return "\n".join([*lines, *_legend(topics), f"{count} checks"])


def off_rows(found: Sequence[tuple[Topic, Sequence[Outcome]]]) -> list[Outcome]:
    """Outcomes that are computed and not within their tolerance.

    Parameters
    ----------
    found : sequence of (Topic, sequence of Outcome)
        What every check gave.

    Returns
    -------
    list of Outcome
        In their order.
    """
    return [o for _, outcomes in found for o in outcomes if not (o.within or o.left_out)]


def _versions() -> dict[str, str]:
    """Versions of what computes, and the machine."""
    found = {"rollsim": rollsim.__version__, "Python": platform.python_version()}
    for name in _LIBRARIES:
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            found[name] = "unknown"
    return found | {"on": f"{platform.system()} {platform.machine()}"}


def _check_dict(topic: Topic, check: Check) -> dict:
    """What is known of a check before it is computed."""
    return {
        "topic": topic.name,
        "key": check.key,
        "what": check.what,
        "source": check.source.name,
        "basis": check.source.basis.short,
        "from_memory": check.source.basis.recalled,
        "expected": None if callable(check.expected) else check.expected,
        "unit": check.unit,
        "tolerance": check.tolerance,
        "tolerance_is": "in the unit" if check.absolute else "share of the expected value",
    }


def _head(topic: Topic, more: Sequence[str]) -> str:
    """Heading of a topic with the names of the columns."""
    cells = ["expected".rjust(_NUMBER), *(name.rjust(_NUMBER + 1) for name in more[:1])]
    cells += ["unit".ljust(_UNIT), *(name.rjust(_NUMBER) for name in more[1:])]
    return " ".join([topic.name.ljust(_WHAT + 10), *cells, "tolerance".rjust(_TOLERANCE)])


def _source(source) -> list[str]:
    """Source and basis above their rows."""
    return wrapped(f"  {source.name} [{source.basis.short}]")


def _line(check: Check, cells: Sequence[str]) -> str:
    """Key, what it is, and cells."""
    mark = "*" if check.source.basis.recalled else " "
    head = f"    {check.key:<5}{mark}{check.what:<{_WHAT}}"
    return " ".join([head, *cells]).rstrip()


def _row(outcome: Outcome) -> list[str]:
    """Lines of one outcome."""
    check = outcome.check
    if outcome.left_out:
        return [_line(check, [f"left out: no {outcome.left_out} here"])]
    if outcome.problem:
        return [_line(check, ["OFF, not computed:"]), *wrapped(f"      {outcome.problem}")]
    deviation = outcome.deviation
    told = f"{deviation:+.2g}" if check.absolute else f"{100.0 * deviation:+.2g} %"
    cells = [
        _plain(outcome.expected).rjust(_NUMBER),
        _beside(outcome.expected, outcome.computed).rjust(_NUMBER + 1),
        check.unit.ljust(_UNIT),
        ("0" if deviation == 0.0 else told).rjust(_NUMBER),
        _tolerance(check).rjust(_TOLERANCE),
    ]
    return [_line(check, cells) + ("" if outcome.within else "  OFF")]


def _plain(value: float) -> str:
    """An expected number, at most 11 characters long."""
    text = f"{value:.7g}"
    return text if len(text) <= _NUMBER else f"{value:.5g}"


def _beside(expected: float, computed: float) -> str:
    """A computed number with two digits more than the one it is held against."""
    if expected == 0.0:
        return f"{computed:.3g}"
    digits = _plain(abs(expected)).partition("e")[0].replace(".", "").strip("0")
    text = f"{computed:.{min(max(len(digits) + 2, 4), 8)}g}"
    return text if len(text) <= _NUMBER + 1 else f"{computed:.6g}"


def _tolerance(check: Check) -> str:
    """Tolerance in the unit, or in per cent."""
    if check.tolerance == 0.0:
        return "exact"
    return f"{check.tolerance:.2g}" if check.absolute else f"{100.0 * check.tolerance:.2g} %"


def _legend(topics: Iterable[Topic]) -> list[str]:
    """What the words in brackets and the marks mean."""
    seen = {check.source.basis for topic in topics for check in topic.checks}
    lines = ["Deviation and tolerance: in per cent of the expected value, or in its unit."]
    for basis in filter(seen.__contains__, Basis):
        mark = " (*)" if basis.recalled else ""
        lines.append(f"  [{basis.short}] {basis.words}{mark}")
    return lines


def _summary(found) -> list[str]:
    """How many rows are within their tolerance, and which are not."""
    outcomes = [outcome for _, own in found for outcome in own]
    done = [outcome for outcome in outcomes if not outcome.left_out]
    missing = sorted({outcome.left_out for outcome in outcomes if outcome.left_out})
    recalled = sum(outcome.check.source.basis.recalled for outcome in done)
    lines = ["", *wrapped(_NOT_SHOWN)]
    if missing:
        count = len(outcomes) - len(done)
        lines.append(f"Left out for want of {' and '.join(missing)}: {count} checks.")
    if recalled:
        lines.append(f"Held against values from memory (marked *): {recalled} checks.")
    off = off_rows(found)
    for outcome in off:
        told = outcome.problem or (
            f"{number(outcome.computed, 6)} in place of {number(outcome.expected, 6)}"
            f" {outcome.check.unit}"
        )
        lines += wrapped(f"  OFF: {outcome.check.key} {outcome.check.what}: {told}")
    return [*lines, f"{len(done) - len(off)} of {len(done)} within tolerance"]
