"""Buffers that a march fills: samples on the output grid, maxima, contact episodes."""

from dataclasses import dataclass

import numpy as np

from rollsim.kernels.layout import force_count, output_size, state_size
from rollsim.kernels.march import Grid
from rollsim.kernels.record import Recorder
from rollsim.kernels.wear import sum_count
from rollsim.simulation.mode_bank import mode_bank

#: Rows of the episode table; a full table only makes the march come back a little earlier.
EPISODE_ROWS = 4096
#: Contact with any force is an episode where the case asks for 0 N; an open contact carries 0 N.
LEAST_THRESHOLD = 1e-9
#: Buffers of samples, in the order in which `Grid` and `Samples` have them.
_BUFFERS = ("states", "outputs", "maxima", "sums", "smearing")


@dataclass(frozen=True)
class Samples:
    """What one block of a run recorded.

    times (n,), s; states (n, state_size); outputs (n, output_size); maxima (n, force_count), N;
    sums (n, sum_count), N s and J since the start; smearing (n, 2 Z), N m^2/s^2; modal (n, N),
    m sqrt(kg), coordinates of the modes of the cage;
    episodes (m, 8): roller, face, start s, duration s, peak N, impulse N s, approach m/s,
    azimuth rad.
    """

    times: np.ndarray
    states: np.ndarray
    outputs: np.ndarray
    maxima: np.ndarray
    sums: np.ndarray
    smearing: np.ndarray
    modal: np.ndarray
    episodes: np.ndarray


class Recording:
    """Output grid, buffers and trackers of a run.

    Parameters
    ----------
    count : int
        Rollers Z.
    interval : float, s
        Output interval.
    rows : int
        Samples of a block.
    threshold : float, N
        Force from which a contact counts as an episode.
    longest_step : float, s
        Longest step of the integrator.
    modes : CageModesData or None
        Modes of the cage that the forces drive; none when None.
    """

    def __init__(self, count, interval, rows, threshold, longest_step, modes=None):
        capacity = rows + int(longest_step / interval) + 2
        self.interval = interval
        self.rows = rows
        self.states = np.zeros((capacity, state_size(count)))
        self.outputs = np.zeros((capacity, output_size(count)))
        self.maxima = np.zeros((capacity, force_count(count)))
        self.sums = np.zeros((capacity, sum_count(count)))
        self.smearing = np.zeros((capacity, 2 * count))
        #: Buffers that were handed over and are filled next; made when they are needed.
        self._others = None
        forces = force_count(count)
        self.trackers = Recorder(
            np.zeros(forces),
            np.zeros(forces),
            np.zeros((4 * count + 2, 6)),
            max(float(threshold), LEAST_THRESHOLD),
            np.zeros(sum_count(count)),
            np.zeros(2 * count),
        )
        self.modes = mode_bank(modes, count, capacity)
        self.table = np.zeros((EPISODE_ROWS, 8))
        self._episodes = []
        self._first = 1

    def grid(self):
        """Buffers as the march takes them.

        Returns
        -------
        Grid
            For the block at hand.
        """
        buffers = (getattr(self, name) for name in _BUFFERS)
        return Grid(self.interval, self._first, self.rows, *buffers)

    def keep_episodes(self, rows):
        """Take finished episodes out of the table.

        Parameters
        ----------
        rows : int
            Rows in use.
        """
        if rows:
            self._episodes.append(self.table[:rows].copy())

    def start_block(self, next_sample):
        """Begin a block at a sample; samples of the last step beyond the block move along.

        Parameters
        ----------
        next_sample : int
            Number of the first sample of the block over the whole run.
        """
        self._first = next_sample
        self._episodes = []

    def take(self, next_sample):
        """Everything recorded since the block began, as copies.

        Parameters
        ----------
        next_sample : int
            Number of the sample that comes next.

        Returns
        -------
        Samples
            The block.
        """
        times, *recorded, episodes = self._recorded(next_sample)
        return Samples(times, *(values.copy() for values in recorded), episodes)

    def hand_over(self, next_sample):
        """Everything recorded since the block began, in the buffers; the next block gets others.

        Parameters
        ----------
        next_sample : int
            Number of the sample that comes next.

        Returns
        -------
        Samples
            The block, valid until the next one is handed over.
        """
        samples = Samples(*self._recorded(next_sample))
        own = [getattr(self, name) for name in _BUFFERS]
        own.append(self.modes.samples)
        others = self._others or [np.zeros_like(values) for values in own]
        for name, values in zip(_BUFFERS, others, strict=False):
            setattr(self, name, values)
        self.modes = self.modes._replace(samples=others[-1])
        self._others = own
        return samples

    def _recorded(self, next_sample):
        """Fields of `Samples`, in their order, as views of the buffers."""
        rows = next_sample - self._first
        return (
            self.interval * np.arange(self._first, next_sample),
            *(getattr(self, name)[:rows] for name in _BUFFERS),
            self.modes.samples[:rows, : len(self.modes.speed)],
            np.concatenate(self._episodes) if self._episodes else np.zeros((0, 8)),
        )
