"""Writes history files of known content: a whirling cage and half-sine pocket pulses.

No simulation is behind them. Every number that an analysis should find is in the returned Truth.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from rollsim.history import Block, SegmentWriter
from rollsim.history.layout import empty_group

CASE_TEXT = """\
[case]
name = "synthetic"
seed = {seed}

[bearing]
bore_mm = 130.0
outside_diameter_mm = 230.0
width_mm = 64.0
pitch_diameter_mm = 182.0

[roller]
count = {roller_count}
diameter_mm = 26.0
length_mm = 44.0

[cage]
outer_diameter_mm = 198.0
inner_diameter_mm = 178.0
base_ring_thickness_mm = 5.0
cover_thickness_mm = 4.5
guidance = "outer_ring"

[cage.closure]
kind = "steel_rivet"
diameter_mm = 5.0

[clearance]
radial_um = 100.0
pocket_um = 300.0
guidance_um = 400.0

[duty]
speed_rpm = {speed_rpm}
duration_s = {duration_s}
radial_load_kN = 10.0
settle_s = {settle_s}
"""


@dataclass(frozen=True)
class Settings:
    """What the written history shows; SI units.

    The cage turns at the speed of rolling without slip times (1 - `cage_slip`). Its centre moves
    on a circle of `whirl_radius` about `whirl_centre`. Every roller gets half-sine pulses on
    `pulse_face`, one every `pulse_spacing`, the first at `pulse_start` plus its share of the
    spacing; their peaks are `pulse_peak` times (1 + an exponential random number times
    `peak_spread`). `noise_N` and `noise_m` are standard deviations added to the sampled pocket
    forces and cage positions. All random numbers come from the seed; 0 leaves them out.
    """

    inner_speed: float = 1800.0 * 2.0 * np.pi / 60.0
    pitch_radius: float = 0.091
    roller_radius: float = 0.013
    cage_slip: float = 0.0
    whirl_radius: float = 120e-6
    whirl_centre: tuple = (0.0, 0.0)
    guidance_clearance: float = 200e-6
    pocket_clearance: float = 300e-6
    radial_load: float = 10e3
    cage_mass: float = 1.0
    pulse_peak: float = 300.0
    pulse_duration: float = 0.8e-3
    pulse_spacing: float = 0.02
    pulse_start: float = 0.005
    pulse_face: int = 0
    peak_spread: float = 0.0
    approach_speed: float = 0.1
    noise_N: float = 0.0
    noise_m: float = 0.0
    settle_s: float = 0.1
    segment_s: float = 0.2
    finish: bool = True


@dataclass(frozen=True)
class Truth:
    """What an analysis of the file should find.

    `path`; `whirl_speed`, `cage_speed`, `epicyclic_cage_speed` rad/s (whirl_speed = whirl_ratio
    times cage_speed, counter-clockwise when positive); `whirl_radius` m; `starts` s and `peaks` N
    of the pulses with shape (roller, pulse), all of one `duration` s; `impulses` N s likewise.
    """

    path: Path
    settings: Settings
    whirl_speed: float
    cage_speed: float
    epicyclic_cage_speed: float
    whirl_radius: float
    starts: np.ndarray
    peaks: np.ndarray
    duration: float
    impulses: np.ndarray


def write_synthetic_history(
    path,
    roller_count=6,
    duration_s=1.0,
    rate_Hz=5000,
    seed=1,
    whirl_ratio=0.5,
    case_text=None,
    **settings,
):
    """Write a history file of known content and return the Truth about it.

    `settings` are fields of Settings. With finish=False the run stays unfinished (segments only).
    Samples lie at 1/rate_Hz, 2/rate_Hz, ... duration_s.
    """
    rng = np.random.default_rng(seed)
    given = Settings(**settings)
    truth = _truth(Path(path), given, roller_count, duration_s, whirl_ratio, rng)
    if case_text is None:
        case_text = CASE_TEXT.format(
            seed=seed,
            roller_count=roller_count,
            speed_rpm=given.inner_speed * 60.0 / (2.0 * np.pi),
            duration_s=duration_s,
            settle_s=given.settle_s,
        )
    attributes = _attributes(truth, roller_count, duration_s, rate_Hz, seed)
    attributes["case_text"] = case_text
    with SegmentWriter(path, attributes) as writer:
        for block in synthetic_blocks(truth, duration_s, rate_Hz, rng):
            writer.append(block)
        if given.finish:
            writer.finish("finished")
    return truth


def synthetic_blocks(truth, duration_s, rate_Hz, rng):
    """Yield the blocks of a synthetic run, `segment_s` long each."""
    total = round(duration_s * rate_Hz)
    step = round(truth.settings.segment_s * rate_Hz)
    for first in range(0, total, step):
        time = np.arange(first + 1, min(first + step, total) + 1) / rate_Hz
        yield synthetic_block(truth, time, 1.0 / rate_Hz, rng)


def synthetic_block(truth, time, interval, rng):
    """Block with the given sample times."""
    history = _history(truth, time, rng)
    peak = _peak(truth, time, interval, history)
    start, end = time[0] - interval, time[-1]
    quality = {
        "end_time": end,
        "steps": 70 * len(time),
        "rejected": len(time),
        "evaluations": 430 * len(time),
        "kinetic_energy": 50.0,
        "elastic_energy": 0.5,
        "work_in": 0.2,
        "heat": 0.2,
        "energy_residual": 1e-6,
        "wall_time": 0.3 * (end - start),
    }
    checkpoint = {"state": np.append(history["cage_position"][-1], end), "step_size": 2e-6}
    return Block(history, peak, _impacts(truth, start, end), quality, checkpoint)


def pulse_force(truth, roller, time):
    """Force of the pulses of one roller at given times, N."""
    starts, peaks = truth.starts[roller], truth.peaks[roller]
    if not len(starts):
        return np.zeros_like(time)
    number = np.clip(np.searchsorted(starts, time, side="right") - 1, 0, None)
    phase = (time - starts[number]) / truth.duration
    inside = (phase >= 0.0) & (phase <= 1.0)
    return np.where(inside, peaks[number] * np.sin(np.pi * np.clip(phase, 0.0, 1.0)), 0.0)


def _truth(path, given, roller_count, duration_s, whirl_ratio, rng):
    """Speeds and pulses that the file will show."""
    epicyclic = 0.5 * given.inner_speed * (1.0 - given.roller_radius / given.pitch_radius)
    cage_speed = epicyclic * (1.0 - given.cage_slip)
    last = duration_s - given.pulse_start - given.pulse_spacing - given.pulse_duration
    count = max(int(last / given.pulse_spacing) + 1, 0)
    share = np.arange(roller_count)[:, None] / roller_count
    starts = given.pulse_start + given.pulse_spacing * (share + np.arange(count)[None, :])
    peaks = np.full(starts.shape, given.pulse_peak)
    if given.peak_spread:
        peaks *= 1.0 + given.peak_spread * rng.exponential(size=starts.shape)
    return Truth(
        path=path,
        settings=given,
        whirl_speed=whirl_ratio * cage_speed,
        cage_speed=cage_speed,
        epicyclic_cage_speed=epicyclic,
        whirl_radius=given.whirl_radius,
        starts=starts,
        peaks=peaks,
        duration=given.pulse_duration,
        impulses=peaks * given.pulse_duration * 2.0 / np.pi,
    )


def _attributes(truth, roller_count, duration_s, rate_Hz, seed):
    """Root attributes of the file."""
    given = truth.settings
    spin = 0.5 * given.inner_speed * (given.pitch_radius / given.roller_radius)
    spin *= 1.0 - (given.roller_radius / given.pitch_radius) ** 2
    return {
        "case_name": "synthetic",
        "seed": seed,
        "solver": "none",
        "duration_s": duration_s,
        "settle_s": given.settle_s,
        "sample_rate_Hz": float(rate_Hz),
        "guidance_clearance_m": given.guidance_clearance,
        "pocket_clearance_m": given.pocket_clearance,
        "epicyclic_cage_speed_rad_per_s": truth.epicyclic_cage_speed,
        "epicyclic_roller_spin_rad_per_s": -spin,
        "inner_speed_rad_per_s": given.inner_speed,
        "outer_speed_rad_per_s": 0.0,
        "roller_count": roller_count,
        "pitch_radius_m": given.pitch_radius,
        "roller_radius_m": given.roller_radius,
        "motion": "planar",
        "assumptions": [
            {
                "key": "lubricant.oil_fraction",
                "value": 0.3,
                "unit": "1",
                "why": "not given",
                "effect": "pocket forces",
            }
        ],
    }


def _history(truth, time, rng):
    """Sampled channels."""
    given = truth.settings
    rollers = len(truth.starts)
    out = empty_group("history", len(time), rollers)
    out["time"] = time
    out["cage_angle"] = truth.cage_speed * time
    out["cage_speed"] += truth.cage_speed
    out["inner_angle"] = given.inner_speed * time
    out["inner_speed"] += given.inner_speed
    _whirl(truth, time, out)
    if given.noise_m:
        out["cage_position"][:, :2] += rng.normal(0.0, given.noise_m, (len(time), 2))
    _rollers(truth, time, out)
    for roller in range(rollers):
        out["pocket_force"][:, roller, given.pulse_face] = pulse_force(truth, roller, time)
    if given.noise_N:
        out["pocket_force"] += np.abs(rng.normal(0.0, given.noise_N, out["pocket_force"].shape))
    return out


def _whirl(truth, time, out):
    """Cage centre on its circle, held there by equal forces on both lands."""
    given, speed = truth.settings, truth.whirl_speed
    circle = np.column_stack([np.cos(speed * time), np.sin(speed * time)])
    out["cage_position"][:, :2] = np.array(given.whirl_centre) + given.whirl_radius * circle
    tangent = np.column_stack([-circle[:, 1], circle[:, 0]])
    out["cage_velocity"][:, :2] = given.whirl_radius * speed * tangent
    inward = -given.cage_mass * given.whirl_radius * speed**2 * circle
    out["land_force"][:, :, :2] = 0.5 * inward[:, None, :]


def _rollers(truth, time, out):
    """Rollers on the pitch circle, rolling, with a load zone around -y."""
    given, rollers = truth.settings, len(truth.starts)
    azimuth = 2.0 * np.pi * np.arange(rollers) / rollers + truth.cage_speed * time[:, None]
    radial = np.stack([np.cos(azimuth), np.sin(azimuth)], axis=-1)
    tangent = np.stack([-np.sin(azimuth), np.cos(azimuth)], axis=-1)
    out["roller_azimuth"] = azimuth
    out["roller_position"][..., :2] = given.pitch_radius * radial
    out["roller_velocity"][..., :2] = given.pitch_radius * truth.cage_speed * tangent
    out["roller_orbit_speed"] += truth.cage_speed
    ratio = given.roller_radius / given.pitch_radius
    out["roller_spin_speed"] -= 0.5 * given.inner_speed * (1.0 / ratio - ratio)
    loaded = np.clip(-np.sin(azimuth), 0.0, None)
    out["raceway_force"] += (4.0 * given.radial_load / rollers * loaded)[..., None]


def _peak(truth, time, interval, history):
    """Largest forces within the interval before each sample."""
    given = truth.settings
    pocket = np.maximum(history["pocket_force"], 0.0)
    for roller, (starts, peaks) in enumerate(zip(truth.starts, truth.peaks, strict=True)):
        column = pocket[:, roller, given.pulse_face]
        np.maximum(column, pulse_force(truth, roller, time - interval), out=column)
        middles = starts + 0.5 * truth.duration
        rows = np.searchsorted(time, middles)
        ours = (rows < len(time)) & (middles > time[0] - interval)
        np.maximum.at(column, rows[ours], peaks[ours])
    return {
        "pocket_force": pocket,
        "raceway_force": history["raceway_force"],
        "flange_force": history["flange_force"],
        "land_force": np.linalg.norm(history["land_force"], axis=-1),
    }


def _impacts(truth, start, end):
    """Rows for the pulses that end within (start, end], in order of their start."""
    given = truth.settings
    ends = truth.starts + truth.duration
    roller, pulse = np.nonzero((ends > start) & (ends <= end))
    order = np.argsort(truth.starts[roller, pulse], kind="stable")
    roller, pulse = roller[order], pulse[order]
    begin = truth.starts[roller, pulse]
    azimuth = 2.0 * np.pi * roller / len(truth.starts) + truth.cage_speed * begin
    return {
        "roller": roller,
        "face": np.full(roller.shape, given.pulse_face),
        "start": begin,
        "duration": np.full(roller.shape, truth.duration),
        "peak": truth.peaks[roller, pulse],
        "impulse": truth.impulses[roller, pulse],
        "approach_speed": np.full(roller.shape, given.approach_speed),
        "azimuth": azimuth,
    }
