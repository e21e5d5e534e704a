"""Histories held in memory, with known contents, for the tests of the evaluations."""

from types import SimpleNamespace

import numpy as np

FACES = 4
LANDS = 2
IMPACT_COLUMNS = (
    "roller",
    "face",
    "start",
    "duration",
    "peak",
    "impulse",
    "approach_speed",
    "azimuth",
)


class PlainHistory:
    """Stands for an opened history file."""

    def __init__(self, channels, peak, impacts, attributes, case):
        self.channels, self.peaks = channels, peak
        self.table, self.attributes, self.case = impacts, attributes, case
        self.status = "finished"

    @property
    def time(self):
        """Sampling times in s."""
        return self.channels["time"]

    @property
    def settled(self):
        """Samples from the settling time on."""
        return slice(int(np.searchsorted(self.time, self.attributes["settle_s"])), len(self.time))

    def channel(self, name):
        """Sampled channel."""
        return self.channels[name]

    def stored(self, name, group="history"):
        """Channel as it stands in the file."""
        return (self.peak if group == "peak" else self.channel)(name)

    def rows(self, name, first, last, group="history"):
        """Part of a channel."""
        return (self.peak if group == "peak" else self.channel)(name)[first:last]

    def peak(self, name):
        """Maxima of the sampling intervals."""
        return self.peaks[name]

    def impacts(self):
        """Impact table."""
        return self.table

    def names(self, group="history"):
        """Names of the channels of a group."""
        return tuple(self.channels if group == "history" else self.peaks)


def impact_rows(rows):
    """Impact table from rows (roller, face, start, duration, peak, impulse, speed, azimuth)."""
    columns = np.array(rows, dtype=float).reshape(-1, len(IMPACT_COLUMNS)).T
    table = dict(zip(IMPACT_COLUMNS, columns, strict=True))
    return table | {name: table[name].astype(int) for name in ("roller", "face")}


def plain_history(samples=4001, rate=1000.0, rollers=6, cage_speed=50.0, guidance="outer_ring"):
    """History of a cage at rest in the middle, without any contact; change it as needed."""
    time = np.arange(samples) / rate
    axis, roller = (samples, 3), (samples, rollers)
    azimuth = np.linspace(0.0, 2.0 * np.pi, rollers, endpoint=False)
    channels = {
        "time": time,
        "cage_position": np.zeros(axis),
        "cage_velocity": np.zeros(axis),
        "cage_speed": np.full(samples, cage_speed),
        "inner_position": np.zeros(axis),
        "inner_velocity": np.zeros(axis),
        "roller_azimuth": azimuth + cage_speed * time[:, None],
        "roller_orbit_speed": np.full(roller, cage_speed),
        "roller_spin_speed": np.full(roller, -6.0 * cage_speed),
        "pocket_force": np.zeros((samples, rollers, FACES)),
        "land_force": np.zeros((samples, LANDS, 3)),
        "raceway_force": np.zeros((samples, rollers, 2)),
        "base_acceleration": np.zeros(axis),
    }
    peak = {
        "pocket_force": np.zeros((samples, rollers, FACES)),
        "land_force": np.zeros((samples, LANDS)),
    }
    attributes = {
        "case_name": "plain",
        "settle_s": 0.0,
        "sample_rate_Hz": rate,
        "motion": "planar",
        "roller_count": rollers,
        "guidance_clearance_m": 2e-4,
        "pocket_clearance_m": 4e-4,
        "epicyclic_cage_speed_rad_per_s": cage_speed,
        "epicyclic_roller_spin_rad_per_s": -6.0 * cage_speed,
        "inner_speed_rad_per_s": 2.4 * cage_speed,
        "outer_speed_rad_per_s": 0.0,
        "assumptions": "[]",
    }
    case = SimpleNamespace(
        cage=SimpleNamespace(guidance=guidance),
        output=SimpleNamespace(episode_threshold_N=1.0),
        fatigue=SimpleNamespace(target_life_h=20000.0),
        vibration=(),
    )
    return PlainHistory(channels, peak, impact_rows([]), attributes, case)


def set_orbit(history, position, velocity):
    """Put a complex orbit, in clearances, into a history."""
    clearance = history.attributes["guidance_clearance_m"]
    for name, values in (("cage_position", position), ("cage_velocity", velocity)):
        history.channels[name][:, 0] = clearance * values.real
        history.channels[name][:, 1] = clearance * values.imag


def add_impacts(history, rows):
    """Put contact episodes into the impact table, the sampled forces and the interval maxima."""
    history.table = impact_rows(sorted(rows, key=lambda row: row[2]))
    rate = history.attributes["sample_rate_Hz"]
    for roller, face, start, duration, force, *_ in rows:
        # Half-sine pulses: the maximum lies in the interval that holds its middle.
        middle = min(int(np.ceil((start + duration / 2.0) * rate)), len(history.time) - 1)
        spot = history.peaks["pocket_force"][middle, int(roller)]
        spot[int(face)] = max(spot[int(face)], force)
        inside = np.flatnonzero((history.time >= start) & (history.time <= start + duration))
        phase = np.pi * (history.time[inside] - start) / duration
        history.channels["pocket_force"][inside, int(roller), int(face)] += force * np.sin(phase)
    return history


def add_wear(history, impulse=0.0, work=0.0):
    """Sums that grow evenly: N s/s and W on every pocket face, half of it on every other contact.

    And a load zone: rollers within 60 degrees of the direction -y carry 1000 N on both raceways.
    """
    samples, rollers = history.channels["roller_azimuth"].shape
    growth = history.time.reshape(-1, 1, 1)
    for name, columns, rate in (
        ("pocket_impulse", FACES, impulse),
        ("pocket_friction_work", FACES, work),
        ("raceway_friction_work", 2, 0.5 * work),
        ("flange_friction_work", 2, 0.5 * work),
    ):
        history.channels[name] = rate * growth * np.ones((samples, rollers, columns))
    for name, rate in (("land_impulse", impulse), ("land_friction_work", work)):
        history.channels[name] = 0.5 * rate * growth[:, :, 0] * np.ones((samples, LANDS))
    inside = -np.sin(history.channels["roller_azimuth"]) > 0.5
    history.channels["raceway_force"] = 1000.0 * np.stack([inside, inside], axis=2)
    history.peaks["raceway_smearing"] = np.zeros((samples, rollers, 2))
    return history


def random_impacts(history, count, seed=3, scale=120.0, shape=0.1):
    """Add impacts at random times on all pocket faces, peaks of a generalised Pareto tail."""
    from scipy.stats import genpareto

    rng = np.random.default_rng(seed)
    rollers = history.attributes["roller_count"]
    rows = np.column_stack(
        [
            rng.integers(0, rollers, count),
            rng.choice([0, 1, 2, 3], count, p=[0.4, 0.4, 0.1, 0.1]),
            rng.uniform(0.0, history.time[-1] - 0.002, count),
            rng.uniform(2e-4, 1.5e-3, count),
            5.0 + genpareto.rvs(shape, scale=scale, size=count, random_state=rng),
            rng.uniform(0.001, 0.05, count),
            rng.uniform(0.01, 0.3, count),
            rng.uniform(-7.0, 7.0, count),
        ]
    )
    return add_impacts(history, rows.tolist())
