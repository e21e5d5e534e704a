"""Checks of a run that need runs of their own: half the tolerance, other stiffnesses."""

import math
from dataclasses import dataclass, replace

import numpy as np

from rollsim.analysis.block_change import BLOCKS, block_statistics, changes
from rollsim.analysis.quality import FIT, UNFIT, UNKNOWN, QualityLine, keep_checks
from rollsim.errors import RunError
from rollsim.history import open_history
from rollsim.model.build import build_model
from rollsim.model.smearing import pressure_factors
from rollsim.simulation.channels import history_channels, peak_channels
from rollsim.simulation.marches import march_of
from rollsim.simulation.problem import problem_of
from rollsim.simulation.recording import Recording
from rollsim.sweep.reproduce import ReproduceOptions, stored_case, stored_elasticity

#: Time after settling that is computed again unless told otherwise, s.
USUAL_SPAN = 1.0
#: Samples of a block of statistics, at least.
_FEWEST_SAMPLES = 20
#: Change of a statistic that a halved tolerance, and 20 % of stiffness, may bring.
TOLERANCE_BOUND, STIFFNESS_BOUND = 0.05, 0.2
_STEP = 0.2
_ROWS = 2000


@dataclass(frozen=True)
class Variant:
    """One run of a check: words for it, factors on tolerance, raceway and pocket stiffness."""

    words: str
    tolerance: float = 1.0
    raceway: float = 1.0
    pocket: float = 1.0


@dataclass(frozen=True)
class Check:
    """A check: its name among the quality lines, its runs, and the change that is fit."""

    name: str
    variants: tuple
    bound: float
    rule: str


CHECKS = {
    "tolerance": Check(
        "halved tolerance",
        (Variant("half the tolerance", tolerance=0.5),),
        TOLERANCE_BOUND,
        "every statistic changes by less than 5 %, its 90 % interval included; unfit where one "
        "changes by more, beyond scatter",
    ),
    "stiffness": Check(
        "stiffness",
        tuple(
            Variant(f"{part} stiffness {sign * 100 * _STEP:+.0f} %", **{part: 1.0 + sign * _STEP})
            for part in ("raceway", "pocket")
            for sign in (-1, 1)
        ),
        STIFFNESS_BOUND,
        "every statistic changes by less than 20 %, its 90 % interval included; unfit where one "
        "changes by more, beyond scatter",
    ),
}


def check_quality(path, names, span=None, say=None):
    """Make checks of a run, finished or not, keep their results beside it.

    Statistics of 10 blocks of a span after settling are compared with those of the stored run;
    two runs that differ in anything part after the first impacts, so trajectories say nothing.

    Parameters
    ----------
    path : str or Path
        History, finished or not.
    names : iterable of str
        "tolerance", "stiffness".
    span : float or None, s
        Time after settling to compute again; 1 s or what there is when None.
    say : callable or None
        Takes one line of text for the user.

    Returns
    -------
    list of QualityLine
        One a check.

    Raises
    ------
    HistoryError
        When the file lacks what it takes to repeat the run.
    RunError
        When the span is too short for statistics, or a run of a check cannot go on.
    """
    say = say or (lambda text: None)
    with open_history(path) as stored:
        case = stored_case(stored, ReproduceOptions())
        end = _end_of_span(stored, span)
        first = _stored_statistics(stored, end)
        lines = [_line(CHECKS[name], case, stored, (end, first), say) for name in names]
        keep_checks(stored, lines)
    return lines


def _end_of_span(stored, span):
    """Last time of the span, s."""
    settle = float(stored.attributes.get("settle_s", 0.0))
    last = float(stored.time[-1]) if len(stored.time) else 0.0
    end = min(last, settle + (USUAL_SPAN if span is None else span))
    samples = (end - settle) * float(stored.attributes["sample_rate_Hz"])
    if not samples >= BLOCKS * _FEWEST_SAMPLES:
        raise RunError(
            f"The span after settling, {max(end - settle, 0.0):.3g} s, is too short: {BLOCKS} "
            f"blocks of {_FEWEST_SAMPLES} samples at least are needed."
        )
    return end


def _stored_statistics(stored, end):
    """Statistics of the stored run."""
    settle = float(stored.attributes.get("settle_s", 0.0))
    parts = {
        "pocket_peak": stored.window("pocket_force", settle, end, "peak"),
        "raceway_force": stored.window("raceway_force", settle, end),
        "cage_position": stored.window("cage_position", settle, end),
    }
    times = stored.time[stored.samples(settle, end)]
    return block_statistics(times, parts, settle, end)


def _line(check, case, stored, base, say):
    """Run the variants of a check and judge the changes."""
    end, first = base
    found = []
    for variant in check.variants:
        say(f"computing {end:.4g} s with {variant.words}")
        second = _variant_statistics(variant, case, stored, end)
        found += [(variant.words, change) for change in changes(first, second)]
    seen = [abs(math.log(c.ratio)) for _, c in found if c.seen]
    over = [item for item in found if item[1].seen and _size(item[1]) > math.log1p(check.bound)]
    vague = [item for item in found if not item[1].within(check.bound)]
    state = UNFIT if over else UNKNOWN if vague else FIT
    worst = max(found, key=lambda item: _size(item[1]))
    told = over or [worst]
    text = (
        f"{end:.4g} s computed again, {len(found)} comparisons, {len(seen)} changes beyond scatter"
    )
    if state == UNKNOWN:
        text += f", {len(vague)} with an interval wider than the bound (a longer --span narrows it)"
    words = "; ".join(_words(*item) for item in told)
    text += f"; {'too large' if over else 'largest'}: {words}"
    value = math.expm1(max(seen, default=0.0))
    return QualityLine(check.name, state, value, "1", check.bound, text, check.rule)


def _size(change):
    """Size of a change as a logarithm; without end where a block has no contact."""
    return abs(math.log(change.ratio)) if math.isfinite(change.ratio) else math.inf


def _words(variant, change):
    """One change in words."""
    if not math.isfinite(change.ratio):
        return f"{change.name} with {variant}: blocks without contact, no ratio"
    return (
        f"{change.name} with {variant} {change.first:.4g} to {change.second:.4g} {change.unit}, "
        f"{change.ratio:.3f} times (90 %: {change.low:.3f} to {change.high:.3f})"
    )


def _variant_statistics(variant, case, stored, end):
    """Statistics of a run with other numbers; nothing is written."""
    attributes = stored.attributes
    seed, settle = int(attributes["seed"]), float(attributes.get("settle_s", 0.0))
    case = replace(case, case=case.case.model_copy(update={"seed": seed}))
    elasticity = stored_elasticity(stored)
    built = build_model(case, float(attributes["duration_s"]), seed, elasticity)
    built = replace(built, model=_stiffer(built.model, variant))
    problem = problem_of(built, variant.tolerance * case.solver.tolerance)
    interval = 1.0 / case.output.rate_Hz
    recording = Recording(
        built.model.count, interval, _ROWS, case.output.episode_threshold_N, problem.longest_step
    )
    march = march_of(attributes["solver"], problem, recording, end)
    last = math.floor(end * case.output.rate_Hz + 1e-6)
    parts = []
    while march.next_sample <= last:
        parts.append(_part(march, built, variant))
    joined = {name: np.concatenate([part[name] for part in parts]) for name in parts[0]}
    return block_statistics(joined["times"], joined, settle, end)


def _part(march, built, variant):
    """What the statistics need of the next block of a run."""
    recording = march.recording
    recording.start_block(march.next_sample)
    failure = march.advance()
    samples = recording.take(march.next_sample)
    if failure or not len(samples.times):
        raise RunError(f"The run with {variant.words} stopped: {failure or 'no progress'}.")
    history = history_channels(samples, built.model)
    peak = peak_channels(samples, built.model.count, pressure_factors(built.case))
    return {
        "times": samples.times,
        "pocket_peak": peak["pocket_force"],
        "raceway_force": history["raceway_force"],
        "cage_position": history["cage_position"],
    }


def _stiffer(model, variant):
    """The model with other stiffnesses; those in series all change alike."""
    pocket, ends = model.pocket, model.ends
    return model._replace(
        outer=model.outer._replace(constant=variant.raceway * model.outer.constant),
        inner=model.inner._replace(constant=variant.raceway * model.inner.constant),
        pocket=pocket._replace(
            constant=variant.pocket * pocket.constant, backing=variant.pocket * pocket.backing
        ),
        ends=ends._replace(stiffness=variant.pocket * ends.stiffness),
    )
