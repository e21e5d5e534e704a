"""The time column of a recording: order, gaps, jitter, and the rate that follows from it."""

import numpy as np

GAP = 1.5
"""Steps of time that are a gap, in usual steps: a sample is missing from there on."""

JITTER_TOLD = 0.01
"""Deviation of a step, in usual steps, from which it is worth a warning."""

RATE_TOLERANCE = 1e-3
"""Share by which a stated rate and that of the times may differ."""

_OTHER_RATE = 1.2
"""Ratio of the usual step and a stated one from which the stated rate is wrong, not the times."""

_ORDER = "times that do not rise"
_GAPS = "gaps in the times"


class TimeCheck:
    """Follows the times of a recording block by block.

    Parameters
    ----------
    name : str or None
        Name of the time column.
    stated : float or None
        Rate that the case states, Hz.
    findings : Findings
        Takes the problems.
    """

    def __init__(self, name, stated, findings):
        self.name = name
        self.findings = findings
        self.stated = stated
        self.step = None if stated is None else 1.0 / stated
        self.looked = False
        self.first = None
        self.last = None
        self.count = 0
        self.jitter = 0.0

    def take(self, times, place_of):
        """Look at the next times.

        Parameters
        ----------
        times : array (n,), s
            The times, in the order of the file.
        place_of : callable
            Number of the time within the block -> place in the file.
        """
        good = np.isfinite(times)
        where = np.flatnonzero(good)
        times = times[good]
        if not len(times):
            return
        if self.first is None:
            self.first = float(times[0])
        else:
            times = np.concatenate([[self.last], times])
            where = np.concatenate([[where[0]], where])
        self.count += int(good.sum())
        self.last = float(times[-1])
        steps = np.diff(times)
        if len(steps):
            self._look(steps, times, where[1:], place_of)

    def _look(self, steps, times, where, place_of):
        """Judge the steps of one block."""
        rising = steps > 0.0
        if not self.looked and np.any(rising):
            self.looked, usual = True, float(np.median(steps[rising]))
            ratio = 1.0 if self.step is None else usual / self.step
            if self.step is None or max(ratio, 1.0 / ratio) > _OTHER_RATE:
                self.step = usual
        for place in np.flatnonzero(~rising):
            before, now = times[place], times[place + 1]
            way = "repeats" if now == before else f"goes back from {before:.9g} s"
            self.findings.problem(
                f"the time {now:.9g} s {way}: sort the file, or, where the times have too few "
                "digits, give rate_Hz and leave time_channel out",
                self.name,
                place_of(where[place]),
                _ORDER,
            )
        if self.step is None:
            return
        gaps = steps > GAP * self.step
        for place in np.flatnonzero(gaps):
            self.findings.problem(
                f"a gap of {steps[place]:.6g} s before the time {times[place + 1]:.9g} s, where "
                f"{self.step:.6g} s is the usual step: replay a part without gaps (start_s, "
                "end_s), or fill it before",
                self.name,
                place_of(where[place]),
                _GAPS,
            )
        even = rising & ~gaps
        if np.any(even):
            deviation = float(np.max(np.abs(steps[even] - self.step))) / self.step
            self.jitter = max(self.jitter, deviation)

    def rate(self):
        """Rate of the samples, after the last block.

        Returns
        -------
        float or None
            Hz; None where the times do not tell it.
        """
        faults = self.findings.count(_ORDER) + self.findings.count(_GAPS)
        if self.count < 2 or self.last <= self.first or faults:
            return None
        rate = (self.count - 1) / (self.last - self.first)
        if self.jitter > JITTER_TOLD:
            self.findings.warn(
                f"steps of time deviate by up to {100 * self.jitter:.2g} % of a step; the samples "
                f"are taken as even, at {rate:.8g} Hz",
                self.name,
            )
        return rate


def agreed_rate(stated, told, where, findings):
    """Rate of a recording from what the case states and what the file tells.

    Parameters
    ----------
    stated : float or None
        rate_Hz of the case.
    told : float or None
        Rate by the file, Hz.
    where : str
        What in the file tells it.
    findings : Findings
        Takes the problem where they differ.

    Returns
    -------
    float or None
        Hz; that of the case where both are there.
    """
    if stated is None or told is None:
        return told if stated is None else stated
    if abs(told - stated) > RATE_TOLERANCE * stated:
        findings.problem(
            f"wrong rate: {where} says {told:.8g} Hz, the case says rate_Hz = {stated:.8g}: "
            "correct rate_Hz, or leave it out"
        )
    return stated
