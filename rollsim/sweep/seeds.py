"""Seeds of replicates."""

import numpy as np

_WORDS = 8


def child_seeds(seed, count):
    """Seeds of the replicates of a case: all different, none of them that of the case.

    The first 32-bit word of every child of the case's seed sequence (`SeedSequence.spawn` of
    numpy), which keeps the streams of the replicates independent; where two children share it, the
    later one takes its next word. The seeds of a smaller set are the first ones of a larger set.

    Parameters
    ----------
    seed : int
        Seed of the case.
    count : int
        Number of replicates.

    Returns
    -------
    tuple of int
        Each from 0 to 2**32 - 1.

    >>> child_seeds(3, 2) == child_seeds(3, 5)[:2]
    True
    """
    found = []
    for child in np.random.SeedSequence(seed).spawn(count):
        words = (int(word) for word in child.generate_state(_WORDS))
        found.append(next(word for word in words if word not in (seed, *found)))
    return tuple(found)
