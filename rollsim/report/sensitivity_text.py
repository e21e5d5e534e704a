"""One-at-a-time variation of a case in words, as plain data and as a table for other programs."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Any

from rollsim.analysis.paired import Change
from rollsim.report.plain_data import CAUTION, number, table, wrapped
from rollsim.sweep.sensitivity_inputs import variant_name
from rollsim.sweep.sensitivity_types import Bar, InputEffect, Sensitivity

_SHOWN = 3
_HEAD = ["input", "value", "of the case", "reserve", "90 %", "peak force", "90 %", "verdict"]


def sensitivity_dict(found: Sensitivity) -> dict[str, Any]:
    """A variation as plain data.

    Parameters
    ----------
    found : Sensitivity
        Result of `rollsim.sweep.sensitivity.sensitivity`.

    Returns
    -------
    dict
        Changes are ratios to the case itself.
    """
    return {
        "case_name": found.case_name,
        "replicates": len(found.seeds),
        "seeds": list(found.seeds),
        "duration_s": found.duration_s,
        "base": {
            "reserve": found.base_reserve,
            "reserve_interval": found.base_reserve_interval,
            "utilisation": 1.0 / found.base_reserve,
            "peak_force_N": found.base_peak,
            "yield_share": found.base_yield_share,
            "verdict": found.base_word,
        },
        "rests_on": rests_on(found),
        "flipping": list(found.flipping),
        "effects": [_effect_dict(effect) for effect in found.effects],
        "variance_same_seeds_over_independent": found.pairing,
        "smallest_seen_factor": found.smallest_seen,
        "refused": [{"variant": name, "reason": reason} for name, reason in found.refused],
        "left_out": [{"key": key, "reason": reason} for key, reason in found.left_out],
        "unfinished": list(found.unfinished),
        "runs": str(found.list_path),
        "notes": list(found.notes),
        "caution": CAUTION,
    }


def _effect_dict(effect: InputEffect) -> dict[str, Any]:
    """One input."""
    return {
        "key": effect.input.key,
        "of_the_case": effect.input.base,
        "given": effect.input.given,
        "basis": effect.input.basis,
        "flips": effect.flips,
        "seen": effect.seen,
        "values": [_bar_dict(bar) for bar in effect.bars],
    }


def _bar_dict(bar: Bar) -> dict[str, Any]:
    """One value."""
    return {
        "value": bar.value,
        "reserve_ratio": _ratios(bar.reserve),
        "peak_force_ratio": _ratios(bar.peak),
        "verdict": bar.word,
        "flips": bar.flips,
        "needed_run": bar.needed_run,
        "replicates": bar.replicates,
        "problem": bar.problem,
    }


def _ratios(change: Change | None) -> dict[str, Any] | None:
    """A change as ratios."""
    if change is None:
        return None
    low, high = change.limits
    return {"estimate": change.ratio, "low": low, "high": high, "seen": change.seen}


def write_sensitivity_csv(found: Sensitivity, path: Path) -> Path:
    """Write one row a value.

    Parameters
    ----------
    found : Sensitivity
        The variation.
    path : Path
        File to write.

    Returns
    -------
    Path
    """
    head = ["key", "of_the_case", "given", "value", "basis", "needed_run", "replicates"]
    for name in ("reserve_ratio", "peak_force_ratio"):
        head += [name, f"{name}_low", f"{name}_high", f"{name}_seen"]
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow([*head, "verdict", "flips", "problem"])
        for effect in found.effects:
            own = effect.input
            for bar in effect.bars:
                row = [own.key, own.base, own.given, bar.value, own.basis, bar.needed_run]
                row.append(bar.replicates)
                for change in (bar.reserve, bar.peak):
                    row += [""] * 4 if change is None else list(_ratios(change).values())
                writer.writerow([*row, bar.word, bar.flips, bar.problem])
    return path


def rests_on(found: Sensitivity) -> str:
    """What the verdict rests on, in one sentence.

    Parameters
    ----------
    found : Sensitivity
        The variation.

    Returns
    -------
    str
    """
    if found.flipping:
        return f"The verdict rests on: {', '.join(found.flipping)}."
    moving = [effect.input.key for effect in found.effects if effect.seen][:_SHOWN]
    most = f" The reserve moves most with {', '.join(moving)}." if moving else ""
    return f"No value alone, within the range stated for it, changes the verdict.{most}"


def sensitivity_text(found: Sensitivity) -> str:
    """A variation in words.

    Parameters
    ----------
    found : Sensitivity
        The variation.

    Returns
    -------
    str
    """
    lines = [
        f"{found.case_name}: {len(found.seeds)} replicates of {found.duration_s:g} s of the case "
        "and of every variant, the same seeds for all",
        "",
        *wrapped(rests_on(found)),
        *wrapped(_base_words(found)),
        "",
        *table(_HEAD, [row for effect in found.effects for row in _rows(effect)]),
        "",
        *wrapped(
            "Reserve and peak force (99th percentile of pocket force peaks) over those of the "
            "case. Parentheses: no effect seen, the interval holds 1. *: changes the verdict. "
            "Values without a peak force need no run of their own: the histories of the case are "
            "judged anew."
        ),
        *(line for text in remarks(found) for line in wrapped(text)),
        "",
        "Ranges and where they come from:",
        *(line for effect in found.effects for line in wrapped(_range_words(effect))),
    ]
    if found.left_out:
        lines += ["", *wrapped(_left_out_words(found))]
    return "\n".join([*lines, "", *wrapped(CAUTION)])


def _base_words(found: Sensitivity) -> str:
    """The case itself."""
    words = f"The case itself: reserve {number(found.base_reserve)}"
    if found.base_reserve_interval:
        low, high = found.base_reserve_interval
        words += f" ({number(low)} to {number(high)}, 90 %)"
    return (
        f"{words}, utilisation {number(1.0 / found.base_reserve)}, peak force "
        f"{number(found.base_peak)} N, {number(100 * found.base_yield_share)} % of yield: "
        f"{found.base_word}."
    )


def _rows(effect: InputEffect):
    """Rows of the table."""
    for k, bar in enumerate(effect.bars):
        yield [
            effect.input.key if k == 0 else "",
            shown(bar.value),
            shown(effect.input.base) if k == 0 else "",
            *_cells(bar.reserve),
            *_cells(bar.peak),
            f"{bar.word}{' *' if bar.flips else ''}" if bar.replicates else "not run",
        ]


def _cells(change: Change | None) -> list[str]:
    """Ratio and interval of a change."""
    if change is None:
        return ["-", ""]
    ratio, (low, high) = f"{change.ratio:.2f}", change.limits
    return [ratio if change.seen else f"({ratio})", f"{low:.2f}-{high:.2f}"]


def shown(value: Any) -> str:
    """A value of a case in few letters.

    Parameters
    ----------
    value : any
        As in the case; None where the model computes it.

    Returns
    -------
    str

    Examples
    --------
    >>> shown((0.5, 0.0)), shown(None), shown("ehl")
    ('0.5,0', 'computed', 'ehl')
    """
    return "computed" if value is None else variant_name("", value)[1:]


def remarks(found: Sensitivity) -> tuple[str, ...]:
    """How far the numbers can be trusted: sentences.

    Parameters
    ----------
    found : Sensitivity
        The variation.

    Returns
    -------
    tuple of str
    """
    said = [
        f"Short runs ({found.duration_s:g} s, the first {found.settle_s:g} s left out): the word "
        "is that of the interval of the reserve over the replicates alone; rare strong impacts are "
        "not in it. One value at a time: what two of them do together is not seen.",
        "The scatter of a ratio is pooled over all variants with runs of their own; all of them "
        "are held against the same runs of the case.",
    ]
    if found.smallest_seen is not None:
        said.append(
            f"Changes of the reserve within a factor of {found.smallest_seen:.2f} are not seen by "
            f"runs with {len(found.seeds)} replicates; more replicates see smaller ones."
        )
    for name, gain in found.pairing.items():
        if gain is not None:
            said.append(_pairing_words(name, gain))
    for name, reason in found.refused:
        said.append(f"{name} was skipped: {reason}")
    if found.unfinished:
        names = ", ".join(name or "the case itself" for name in found.unfinished)
        said.append(f"Without all replicates: {names}.")
    return (*said, *found.notes)


def _pairing_words(name: str, gain: float) -> str:
    """What equal seeds gained."""
    words = {"reserve": "the reserve", "peak": "the peak force"}[name]
    return (
        f"The same vibration in case and variant leaves {gain:.2f} of the variance that "
        f"independent seeds would give the logarithm of the ratio of {words}"
        + (": it helps." if gain < 0.8 else ": it hardly helps, the motion is chaotic.")
    )


def _range_words(effect: InputEffect) -> str:
    """Where the range of an input comes from."""
    own = effect.input
    state = "given" if own.given else "assumed"
    values = ", ".join(shown(value) for value in own.values)
    return f"{own.key}: {shown(own.base)} ({state}); {values}: {own.basis}"


def _left_out_words(found: Sensitivity) -> str:
    """Values that were not varied."""
    reasons: dict[str, list[str]] = {}
    for key, reason in found.left_out:
        reasons.setdefault(reason, []).append(key)
    parts = (f"{', '.join(keys)} ({reason})" for reason, keys in reasons.items())
    return f"Not varied: {'; '.join(parts)}. --vary KEY=LOW:HIGH varies any of them."
