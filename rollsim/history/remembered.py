"""Channels of a history that are kept in memory after they were read once."""

from collections import OrderedDict


class RememberedChannels:
    """Arrays by name, the ones asked for last, as many as find room.

    Parameters
    ----------
    room : int, bytes
        Memory for them; 0 keeps none.
    lasting : tuple
        Names of channels that stay as long as others can make room.
    """

    def __init__(self, room, lasting=()):
        self._room, self._lasting = room, lasting
        self._kept = OrderedDict()

    def find(self, name):
        """A kept channel.

        Parameters
        ----------
        name : hashable
            Of the channel.

        Returns
        -------
        ndarray or None
            Not to be changed; None where it is not kept.
        """
        if name not in self._kept:
            return None
        self._kept.move_to_end(name)
        return self._kept[name]

    def keep(self, name, values):
        """Keep a channel where it finds room; those asked for longest ago make it.

        Parameters
        ----------
        name : hashable
            Of the channel.
        values : ndarray
            All of its rows, not to be changed any more where they are kept.

        Returns
        -------
        bool
            Whether it is kept.
        """
        if values.nbytes > self._room:
            return False
        used = sum(own.nbytes for own in self._kept.values())
        while used + values.nbytes > self._room:
            used -= self._kept.pop(self._least()).nbytes
        self._kept[name] = values
        return True

    def _least(self):
        """Name of the channel that goes first."""
        others = (name for name in self._kept if name not in self._lasting)
        return next(others, next(iter(self._kept)))

    def forget(self):
        """Give the memory back."""
        self._kept.clear()
