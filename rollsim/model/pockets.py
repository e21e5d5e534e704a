"""Where the pockets of a cage stand and how wide they are: errors of pitch, width and wear."""

import numpy as np

from rollsim.units import MM, UM

#: Tells the random stream of pitch and width from all other streams of the same seed.
POCKET_STREAM = 11
#: Likewise for the places of the rollers at the start.
START_STREAM = 7
#: Initial scatter of the rollers over the half clearance of their pocket.
START_SCATTER = 0.4
#: Farthest from the middle of its pocket that a roller may start, over the half clearance.
START_ROOM = 0.9


def pocket_errors(case):
    """Pitch errors and additional half clearances of the pockets of a case.

    Tolerances are drawn evenly from -t to +t with the seed of the case: pitch first, then width,
    so that one tolerance does not change what another draws.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    shift : array (Z,), m
        Place of each pocket along the pitch circle from its nominal place, counter-clockwise.
    extra : array (Z,), m
        Half of the clearance beyond clearance.pocket_um.
    """
    cage, count = case.cage, case.roller.count
    generator = np.random.default_rng(np.random.SeedSequence([case.case.seed, POCKET_STREAM]))
    pitch, width = generator.uniform(-1.0, 1.0, (2, count))
    shift = cage.pocket_pitch_tolerance_um * pitch
    if cage.pocket_pitch_errors_um is not None:
        shift = np.array(cage.pocket_pitch_errors_um, dtype=float)
    extra = cage.pocket_clearance_tolerance_um * width
    for number, more in cage.pocket_extra_clearance_um:
        extra[int(number) - 1] += more
    return UM * shift, 0.5 * UM * extra


def start_azimuths(case, seed):
    """Rollers evenly spaced with a small seeded scatter, all inside their own pockets.

    Even spacing is what the raceways keep up; a roller that would stand in the bar of a misplaced
    pocket starts just clear of that bar.

    Parameters
    ----------
    case : Case
        The case.
    seed : int
        Seed of the scatter.

    Returns
    -------
    array (Z,), rad
        Azimuths at time zero.
    """
    count = case.roller.count
    generator = np.random.default_rng(np.random.SeedSequence([seed, START_STREAM]))
    shift, extra = pocket_errors(case)
    half_play = 0.5 * UM * case.clearance.pocket_um + extra
    scatter = START_SCATTER * half_play * generator.uniform(-1.0, 1.0, count)
    room = START_ROOM * half_play
    offset = np.clip(scatter, shift - room, shift + room)
    radius = 0.5 * MM * case.bearing.pitch_diameter_mm
    return 2.0 * np.pi * np.arange(count) / count + offset / radius
