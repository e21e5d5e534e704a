"""Cages side by side in words."""

from __future__ import annotations

import math

from rollsim.case.differences import InputComparison
from rollsim.report.fatigue_table import hours
from rollsim.report.plain_data import CAUTION, number, percent, table, wrapped
from rollsim.sweep.compared import GOVERNING
from rollsim.sweep.comparison import ComparedRow, Comparison, Side
from rollsim.sweep.ranking import DIFFERENCE, GREATER, MOST, NEITHER, SMALLER, Ranking, Spread

CANNOT = "cannot rank"
_BETTER = {SMALLER: "less", GREATER: "more", NEITHER: "-"}


def compare_text(found: Comparison) -> str:
    """Answer, difference of the inputs, and every quantity side by side.

    Parameters
    ----------
    found : Comparison
        Result of `rollsim.sweep.compare.compare`.

    Returns
    -------
    str
    """
    lines = [_title(found)]
    for side in found.sides:
        lines += wrapped(f"  {side_words(side)}")
    lines += ["", *(part for text in found.warnings for part in wrapped(f"!! {text}"))]
    lines += ["", *input_lines(found), ""]
    for sentence in verdict_sentences(found):
        lines += wrapped(sentence)
    for pair in found.pairs:
        lines += ["", *_table(found, pair)]
    lines += ["", *_reading(found), ""]
    for sentence in (*_places(found), *_levels(found), *chance_sentences(found)):
        lines += wrapped(sentence)
    lines += ["", *wrapped(CAUTION)]
    return "\n".join(lines)


def _title(found: Comparison) -> str:
    """Letters of all sides."""
    return "Comparison " + " | ".join(side.letter for side in found.sides)


def side_words(side: Side) -> str:
    """What a side is.

    Parameters
    ----------
    side : Side
        One of the cages.

    Returns
    -------
    str
    """
    runs = side.runs
    word = "replicate" if runs.count == 1 else "replicates"
    seen = sum(run.observed_h for run in side.measures) * 3600.0
    classes = ", ".join(dict.fromkeys(run.whirl_class for run in side.measures))
    return (
        f"{side.letter}  {runs.name}: {runs.count} {word} of {runs.duration_s:g} s, {seen:.3g} s"
        f" evaluated; cage {classes}"
    )


def input_lines(found: Comparison) -> list[str]:
    """Difference of the inputs as a table, and what is the same in one sentence.

    Parameters
    ----------
    found : Comparison
        Sides in order.

    Returns
    -------
    list of str
    """
    inputs, letters = found.inputs, [side.letter for side in found.sides]
    rows = [
        [own.key, own.unit or "", *map(_input_value, own.values, own.given)]
        for own in inputs.differences
    ]
    rows += [[words, "", *values] for words, values in found.run_differences]
    lines = ["Inputs: no difference but the names."]
    if rows:
        lines = ["Inputs that differ (* assumed, not given)", *table(["", "", *letters], rows)]
    return lines + wrapped(same_words(inputs))


def _input_value(value: object, given: bool) -> str:
    """A value of a case, marked where it is an assumption."""
    if value is None:
        return "-"
    shown = f"{value:g}" if isinstance(value, float) else str(value)
    return shown if given else f"{shown} *"


def same_words(inputs: InputComparison) -> str:
    """What is the same, in one sentence.

    Parameters
    ----------
    inputs : InputComparison
        Of all cases.

    Returns
    -------
    str
    """
    whole = [name for name in inputs.same if name not in inputs.differing]
    parts = [
        f"{inputs.same[name]} of {inputs.same[name] + inputs.differing[name]} of {name}"
        for name in inputs.same
        if name in inputs.differing
    ]
    all_of = f"all values of {', '.join(whole)}" if whole else ""
    return f"These are the same: {'; '.join(part for part in (all_of, *parts) if part)}."


def verdict_sentences(found: Comparison) -> list[str]:
    """Governing mechanism of every side, and which side is better.

    Parameters
    ----------
    found : Comparison
        Sides in order.

    Returns
    -------
    list of str
        One sentence a side, then one or two a pair.
    """
    row = found.row(GOVERNING)
    sentences = []
    for side, spread in zip(found.sides, row.spreads, strict=True):
        name, count = side.governing
        sentences.append(
            f"{side.letter} is governed by {name} (in {count} of {side.runs.count} runs):"
            f" utilisation {spread_words(spread)}, {_limit_words(spread)}."
        )
    return sentences + [_pair_sentence(found, row, pair) for pair in found.pairs]


def _limit_words(spread: Spread) -> str:
    """Where a utilisation stands to its limit."""
    if math.isnan(spread.low) or spread.low <= 1.0 <= spread.high:
        return "cannot tell whether the limit of 1 is kept"
    return "within the limit of 1" if spread.high < 1.0 else "beyond the limit of 1"


def _pair_sentence(found: Comparison, row: ComparedRow, pair: tuple[int, int]) -> str:
    """Which of two sides is better."""
    first, second = (found.sides[place].letter for place in pair)
    ranking, better = row.rankings[pair], found.better(row, pair)
    if better is None:
        return (
            f"{first} against {second}: CANNOT RANK, {ranking.reason}{_ratio_words(ranking)}."
            f"{_needed_words(ranking)}"
        )
    odds = ranking.odds if better == first else 1.0 - ranking.odds
    return (
        f"{first} against {second}: {better} IS BETTER by the governing utilisation,"
        f" {first} over {second} {spread_words(ranking)}, probability {odds_words(odds)}."
        " This holds for the inputs and models as they are, with the scatter of the runs alone."
    )


def _ratio_words(ranking: Ranking) -> str:
    """The ratio where there is one."""
    return "" if math.isnan(ranking.estimate) else f" ({spread_words(ranking)})"


def _needed_words(ranking: Ranking) -> str:
    """How many replicates would likely be needed."""
    if math.isnan(ranking.estimate):
        return " Run more replicates of both."
    if ranking.needed is None:
        return (
            f" More than {MOST} replicates of each would likely be needed: by what is known, there"
            " is no difference that matters (an estimate)."
        )
    return (
        f" About {ranking.needed} replicates of each would likely be needed (an estimate: it takes"
        " the difference and the scatter of these few runs for the true ones)."
    )


def spread_words(spread: Spread | Ranking) -> str:
    """A number with its interval.

    Parameters
    ----------
    spread : Spread or Ranking
        With estimate, low and high.

    Returns
    -------
    str

    Examples
    --------
    >>> spread_words(Spread(1.5, 1.2, 1.9)), spread_words(Spread(1.5, float("nan"), float("nan")))
    ('1.50 (1.20 to 1.90)', '1.50 (no interval)')
    """
    if math.isnan(spread.low):
        return f"{_plain(spread.estimate)} (no interval)"
    return f"{_plain(spread.estimate)} ({_plain(spread.low)} to {_plain(spread.high)})"


def _narrow(spread: Spread | Ranking) -> str:
    """The same for a table."""
    return spread_words(spread).replace(" to ", "..").replace(" (no interval)", "")


def _plain(value: float) -> str:
    """Number for people; lives and damages in powers of ten."""
    if math.isinf(value):
        return "no limit"
    if value != 0.0 and not 1e-3 <= abs(value) < 1e6:
        return "-" if math.isnan(value) else f"{value:.2g}"
    return number(value)


def odds_words(odds: float) -> str:
    """A probability, never rounded to certainty.

    Parameters
    ----------
    odds : float
        0 to 1.

    Returns
    -------
    str

    Examples
    --------
    >>> odds_words(0.9999), odds_words(0.25), odds_words(0.0)
    ('above 99.5 %', '25 %', 'below 0.5 %')
    """
    if math.isnan(odds):
        return "-"
    if odds > 0.995 or odds < 0.005:
        return "above 99.5 %" if odds > 0.5 else "below 0.5 %"
    return percent(odds, 0)


def _table(found: Comparison, pair: tuple[int, int]) -> list[str]:
    """Every quantity of two sides."""
    i, j = pair
    first, second = (found.sides[place].letter for place in pair)
    head = ["", first, second, f"{first}/{second}", "good", f"P({first})", "better"]
    cells, groups = [], {}
    for row in found.rows:
        groups.setdefault(row.quantity.group, []).append(row)
    for group, rows in groups.items():
        cells.append([group.upper(), *[""] * 6])
        cells += [[_row_name(row), *_cells(found, row, (i, j))] for row in rows]
    return table(head, cells)


def _row_name(row: ComparedRow) -> str:
    """Words and unit of a quantity."""
    unit = row.quantity.unit
    return f" {row.quantity.words}{f', {unit}' if unit else ''}"


def _cells(found: Comparison, row: ComparedRow, pair: tuple[int, int]) -> list[str]:
    """Cells of a quantity after its name."""
    ranking, quantity = row.rankings[pair], row.quantity
    ratio = _narrow(ranking) if not math.isnan(ranking.estimate) else "-"
    return [
        *(_narrow(row.spreads[place]) for place in pair),
        f"{ratio} d" if ranking.kind == DIFFERENCE and ratio != "-" else ratio,
        _BETTER[quantity.better],
        odds_words(ranking.odds),
        result_word(found, row, pair),
    ]


def result_word(found: Comparison, row: ComparedRow, pair: tuple[int, int]) -> str:
    """Letter of the better side, or what else there is to say.

    Parameters
    ----------
    found : Comparison
        Sides in order.
    row : ComparedRow
        The quantity.
    pair : tuple of int
        Places of both sides.

    Returns
    -------
    str
        "differ" where neither end is better.
    """
    if row.quantity.better == NEITHER:
        return "differ" if row.rankings[pair].apart else "alike"
    return found.better(row, pair) or CANNOT


def _reading(found: Comparison) -> list[str]:
    """How to read the table."""
    return wrapped(
        "In brackets: 90 % intervals over replicates. Estimates are medians of the runs, for"
        " impulse, friction work and damage means; medians of logarithms where there is an"
        " interval. A column X/Y is the ratio with its interval; where a quantity may change sign,"
        " a difference (d). P(A): probability that A is better, or that its value is the smaller"
        " where neither end is better (good: -). cannot rank: the interval holds 1 (0 for d), or"
        " there are fewer than 3 replicates. alike: not told apart. Utilisation: of fatigue 1 over"
        " the reserve factor on the load at the target life; of yield nominal stress over yield"
        " strength, of pockets and lands pressure over its limit, by the largest of each run."
        " Smearing: pressure times sliding speed. Axial closure force: preload included."
        f" Passed once in ten evaluated times: in {found.level_horizon_s:.3g} s."
    )


def _places(found: Comparison) -> list[str]:
    """Where the mechanisms are worst, and the verdicts of the runs."""
    sentences = []
    for side in found.sides:
        worst = max(side.measures, key=lambda run: run.values[GOVERNING])
        places = "; ".join(f"{name}: {place}" for name, place in worst.places.items())
        words = [run.verdict for run in side.measures]
        told = ", ".join(f"{word} ({words.count(word)})" for word in dict.fromkeys(words))
        pooled = side.pooled
        sentences.append(
            f"{side.letter}: worst places in its worst run: {places}. Fatigue and yield in single"
            f" runs: {told}. Verdict from all runs together (`rollsim fatigue` with all files):"
            f" {pooled.verdict.upper()}, by {pooled.governing.name}."
        )
    return sentences


def _levels(found: Comparison) -> list[str]:
    """Force passed once in the target life."""
    sentences = []
    for side in found.sides:
        life = hours(side.measures[0].target_life_h)
        start = f"{side.letter}: pocket force passed once in the target life of {life} h:"
        if side.level is None:
            why = "; ".join(side.level_reasons)
            sentences.append(f"{start} cannot be told from these runs ({why}).")
        else:
            sentences.append(f"{start} {spread_words(_spread(side.level))} N.")
    return sentences


def _spread(level) -> Spread:
    """A level with its interval."""
    return Spread(level.level, level.low, level.high)


def _seed_words(found: Comparison):
    """What runs of several sides with one seed have in common."""
    seeds = [seed for side in found.sides for seed in set(side.runs.seeds)]
    if len(set(seeds)) < len(seeds):
        yield (
            "Runs of several sides share seeds, so their random vibration may be the same. They are"
            " taken as independent all the same: where what is common makes them alike, the"
            " intervals of the ratios are wider than they need be."
        )


def chance_sentences(found: Comparison) -> list[str]:
    """Guard against many comparisons.

    Parameters
    ----------
    found : Comparison
        Sides in order.

    Returns
    -------
    list of str
        One a pair, and one before them where sides share seeds.
    """
    sentences = list(_seed_words(found))
    for pair in found.pairs:
        compared, apart = found.counts(pair)
        first, second = (found.sides[place].letter for place in pair)
        sentences.append(
            f"{first} against {second}: {compared} quantities were compared and {apart} seem to"
            f" differ; of so many, up to about {math.ceil(0.1 * compared)} would by chance alone"
            " between equal cages. The ranking rests on the governing utilisation, chosen before"
            " anything was looked at."
        )
    return sentences
