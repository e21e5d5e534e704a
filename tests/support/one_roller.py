"""A single roller through the loops over rollers, compiled and as plain Python.

Loaded by path, as the folders of the tests are no packages.
"""

import numpy as np

from rollsim.kernels.columns import GROUP, MOST_SLICES, filled_up
from rollsim.kernels.raceway_slices import sum_friction, sum_normals, write_grips
from rollsim.kernels.raceway_spatial import keep_near, write_forces, write_paths
from rollsim.kernels.round_contact import no_wrench
from rollsim.kernels.types import Wrench


class OneRoller:
    """A contact of one roller, called like a kernel: `.py_func` is the plain form."""

    def __init__(self, contact):
        self._contact = contact

    def __call__(self, *arguments):
        """Wrench on the roller by compiled kernels."""
        return self._contact(lambda kernel: kernel, *arguments)

    def py_func(self, *arguments):
        """The same by plain Python."""
        return self._contact(lambda kernel: kernel.py_func, *arguments)


def space(rows):
    """Working space filled with what no result may show."""
    return np.full((rows, GROUP), 1e30)


def _raceway(way, roller, ring, pair, tables, law):
    """Wrench on a roller on a raceway; it stands third in its group, behind two far away."""
    bodies, paths, sums, forces = space(11), space(27), space(13), space(12)
    bodies[:] = np.array(roller)[:, None]
    bodies[:2, :2] *= np.where(pair.side > 0.0, 0.99, 1.01)
    way(write_paths)(bodies, ring, pair, paths, 3)
    kept = way(keep_near)(paths, tables, 3)
    if kept == 0:
        return no_wrench.py_func()
    assert kept == 1 and paths[-1, 0] == 2.0
    columns, normals = filled_up(kept), space(MOST_SLICES)
    way(sum_normals)(paths, normals, sums, pair, tables, columns)
    way(write_grips)(paths, sums, pair.traction, law, columns)
    way(sum_friction)(paths, normals, sums, (pair.traction, law), tables, columns)
    way(write_forces)(paths, sums, forces, ring, pair, columns)
    normal, heat, energy, friction, slip = forces[6:11, 0]
    return Wrench(*forces[:6, 0], normal, heat, energy, paths[3, 0], friction, slip)


raceway = OneRoller(_raceway)
