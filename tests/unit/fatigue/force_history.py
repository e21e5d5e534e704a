"""A history in memory that shows chosen pocket forces; SI units."""

import numpy as np
from cage_cases import cage_case


class ForceHistory:
    """Stands in for an opened history: sampled and largest pocket forces of 18 rollers.

    `others`: (group, channel) to values of the channels of lands and motion.
    """

    roller_count = 18

    def __init__(self, sample, peak=None, motion="spatial", settle=0.05, case=None, **values):
        self.sample = np.asarray(sample, dtype=float)
        self.largest = self.sample if peak is None else np.asarray(peak, dtype=float)
        self.time = (np.arange(len(self.sample)) + 1) / 5000.0
        self.status = values.pop("status", "finished")
        self.others = values.pop("others", {})
        self.case = case if case is not None else cage_case(**values)
        self.attributes = {
            "motion": motion,
            "settle_s": settle,
            "case_name": "forces in memory",
            "assumptions": "[]",
        }

    @property
    def settled(self):
        """Samples from the settling time on."""
        return slice(int(np.searchsorted(self.time, self.attributes["settle_s"] - 1e-9)), None)

    def window(self, name, start, end, group="history"):
        """Part of a channel; what was not given is zero: a cage that stands in the middle."""
        first, last = np.searchsorted(self.time, [start - 1e-9, end - 1e-9])
        if name == "pocket_force":
            return (self.largest if group == "peak" else self.sample)[first:last]
        own = self.others.get((group, name))
        shape = _ROWS[group, name]
        return np.zeros((last - first, *shape)) if own is None else own[first:last]


#: Shapes of a row of the other channels that are asked for.
_ROWS = {
    ("history", "land_force"): (2, 3),
    ("peak", "land_force"): (2,),
    ("history", "cage_angle"): (),
    ("history", "cage_speed"): (),
    ("history", "cage_position"): (3,),
    ("history", "cage_tilt"): (2,),
    ("history", "outer_position"): (3,),
    ("history", "inner_position"): (3,),
}


def no_force(samples=2000):
    """Pocket forces of rollers that touch nothing."""
    return np.zeros((samples, 18, 4))


def cover_pulses(force, every=20, samples=2000):
    """All rollers push the cover with the same force, one sample long, every few samples."""
    forces = no_force(samples)
    forces[every // 2 :: every, :, 3] = force
    return forces
