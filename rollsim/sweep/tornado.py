"""From the numbers of all variants to what every input does."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from rollsim.analysis.paired import (
    Change,
    Scatter,
    change,
    mean_interval,
    pairing_gain,
    pooled_scatter,
)
from rollsim.fatigue.result import FAILS, SURVIVES, UNKNOWN
from rollsim.sweep.sensitivity_types import BASE, Bar, Input, InputEffect, Variant

#: What is compared: names in the numbers of a variant.
RESERVE, PEAK = "reserve", "peak"
_NO_NUMBER = "without limit or zero in a replicate: no ratio can be told"

#: Numbers of one variant: replicate -> numbers by name.
Numbers = Mapping[int, Mapping[str, Any]]


def side_of_limit(
    interval: tuple[float, float] | None, yield_share: float, without_limit: bool = False
) -> str:
    """On which side of 1 the reserve lies, in the words of a verdict.

    Parameters
    ----------
    interval : tuple of float or None
        Interval of the reserve over replicates; None where it cannot be told.
    yield_share : float
        Largest nominal stress over yield strength.
    without_limit : bool
        No replicate did any damage.

    Returns
    -------
    str

    Examples
    --------
    >>> side_of_limit((1.1, 1.4), 0.2), side_of_limit((0.9, 1.4), 0.2)
    ('survives', 'cannot tell')
    >>> side_of_limit((1.1, 1.4), 1.0)
    'does not survive'
    """
    if yield_share >= 1.0:
        return FAILS
    if without_limit:
        return SURVIVES
    if interval is None or interval[0] < 1.0 <= interval[1]:
        return UNKNOWN
    return SURVIVES if interval[0] >= 1.0 else FAILS


class Comparison:
    """All numbers of a variation, and the scatter that is pooled over them.

    Parameters
    ----------
    variants : sequence of Variant
        The case itself among them.
    numbers : mapping
        Name of a variant -> `Numbers` of its finished replicates.
    """

    def __init__(self, variants: Sequence[Variant], numbers: Mapping[str, Numbers]):
        self.variants = {variant.name: variant for variant in variants}
        self.numbers = numbers
        # Variants without a run of their own repeat the motion of the case: they tell nothing new
        # about its scatter, and their ratios scatter by far less.
        self.levels = {
            name: pooled_scatter([self._logs(own, name)[0] for own in self._with_runs()])
            for name in (RESERVE, PEAK)
        }
        self.ratios = {
            (name, run): pooled_scatter(
                [self._log_ratios(own.name, name) for own in self._compared(run)]
            )
            for name in (RESERVE, PEAK)
            for run in (True, False)
        }

    def _with_runs(self) -> list[Variant]:
        """Variants with runs of their own, the case itself among them."""
        return [own for own in self.variants.values() if own.needs_run]

    def _compared(self, run: bool) -> list[Variant]:
        """Variants of one sort, without the case itself."""
        return [own for own in self.variants.values() if own.needs_run is run and own.name != BASE]

    def _logs(self, variant: Variant, name: str) -> tuple[np.ndarray, list[int]]:
        """Logarithms of a quantity, and the replicates that have one."""
        own = self.numbers.get(variant.name, {})
        kept = [k for k in sorted(own) if _usable(own[k].get(name))]
        return np.log([own[k][name] for k in kept]), kept

    def _log_ratios(self, variant: str, name: str) -> np.ndarray:
        """Logarithms of variant over case, replicates that both have."""
        (ours, first), (base, second) = (
            self._logs(self.variants[each], name) for each in (variant, BASE)
        )
        both = [k for k in first if k in second]
        return ours[[first.index(k) for k in both]] - base[[second.index(k) for k in both]]

    def change_of(self, variant: str, name: str) -> Change | None:
        """Change of a quantity by a variant; None where it cannot be told.

        Parameters
        ----------
        variant : str
            Its name.
        name : str
            `RESERVE` or `PEAK`.

        Returns
        -------
        Change or None
        """
        run = self.variants[variant].needs_run
        if name == PEAK and not run:
            return None  # the motion is that of the case
        logs = self._log_ratios(variant, name)
        own = self.ratios[name, run] if run else pooled_scatter([logs])
        return change(logs, own) if len(logs) and own is not None else None

    def level(self, variant: str, name: str) -> tuple[float, tuple[float, float] | None]:
        """Geometric mean of a quantity over replicates with its 90 % interval.

        Parameters
        ----------
        variant : str
            Its name.
        name : str
            `RESERVE` or `PEAK`.

        Returns
        -------
        mean : float
            NaN where there is none.
        interval : tuple of float or None
        """
        logs, _ = self._logs(self.variants[variant], name)
        pooled = self.levels[name]
        if not len(logs):
            return math.nan, None
        if pooled is None:
            return math.exp(float(np.mean(logs))), None
        mean, low, high = mean_interval(logs, pooled)
        return math.exp(mean), (math.exp(low), math.exp(high))

    def yield_share(self, variant: str) -> float:
        """Largest share of yield over the replicates of a variant; NaN where there is none.

        Parameters
        ----------
        variant : str
            Its name.

        Returns
        -------
        float
        """
        own = self.numbers.get(variant, {}).values()
        return max((row["yield_share"] for row in own if "yield_share" in row), default=math.nan)

    def word(self, variant: str) -> str:
        """Side of the limit on which a variant lies.

        Parameters
        ----------
        variant : str
            Its name.

        Returns
        -------
        str
        """
        own = self.numbers.get(variant, {}).values()
        endless = bool(own) and all(row.get(RESERVE) == math.inf for row in own)
        return side_of_limit(self.level(variant, RESERVE)[1], self.yield_share(variant), endless)

    def bar(self, variant: str, value: Any) -> Bar:
        """What one value does.

        Parameters
        ----------
        variant : str
            Its name.
        value : any
            The value.

        Returns
        -------
        Bar
        """
        own = self.numbers.get(variant, {})
        word, reserve = self.word(variant), self.change_of(variant, RESERVE)
        problems = [row["problem"] for row in own.values() if row.get("problem")]
        problem = problems[0] if problems else ""
        unseen = reserve is not None and not reserve.seen
        if own and not problem and reserve is None:
            problem = _NO_NUMBER
        return Bar(
            value=value,
            reserve=reserve,
            peak=self.change_of(variant, PEAK),
            word=word,
            flips=bool(own) and not problems and not unseen and word != self.word(BASE),
            needed_run=self.variants[variant].needs_run,
            replicates=len(own),
            problem=problem,
        )

    def effects(self, inputs: Sequence[Input]) -> tuple[InputEffect, ...]:
        """What every input does: those that flip the word first, then by their swing.

        Parameters
        ----------
        inputs : sequence of Input
            What was varied; values that were refused have no bar.

        Returns
        -------
        tuple of InputEffect
        """
        by_value = {(own.key, own.value): own.name for own in self.variants.values()}
        found = []
        for own in inputs:
            bars = [
                self.bar(by_value[own.key, value], value)
                for value in own.values
                if (own.key, value) in by_value
            ]
            if bars:
                found.append(InputEffect(own, tuple(bars)))
        return tuple(sorted(found, key=lambda each: (not each.flips, not each.seen, -each.swing)))

    def pairing(self) -> dict[str, float | None]:
        """What equal seeds gain, by name of the quantity (see `pairing_gain`).

        Returns
        -------
        dict
        """
        return {name: self._gain(name) for name in (RESERVE, PEAK)}

    def _gain(self, name: str) -> float | None:
        """What equal seeds gain for one quantity, over variants with all replicates."""
        base, kept = self._logs(self.variants[BASE], name)
        pairs = [self._logs(own, name) for own in self._compared(True)]
        return pairing_gain(base, [logs for logs, own in pairs if own == kept])

    def smallest_seen(self, replicates: int) -> float | None:
        """Factor on the reserve that runs of their own would just show.

        Parameters
        ----------
        replicates : int
            Number of replicates.

        Returns
        -------
        float or None
            None where the scatter is not known.
        """
        pooled: Scatter | None = self.ratios[RESERVE, True]
        if pooled is None:
            return None
        _, low, _ = mean_interval(np.zeros(replicates), pooled)
        return math.exp(-low)


def _usable(value: Any) -> bool:
    """Whether a logarithm can be taken."""
    return value is not None and math.isfinite(value) and value > 0.0
