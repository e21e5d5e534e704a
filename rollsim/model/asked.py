"""What the sources of vibration of a case ask for: densities, lines, range of frequencies."""

import numpy as np

from rollsim.model.spectrum import cumulative_mean_square, density_at
from rollsim.model.vibration import density_table
from rollsim.units import HZ_TO_RAD_S, RPM_TO_RAD_S

_AXES = "xyz"


def asked_tables(case):
    """Density tables of the random sources along each axis, gain included.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    list of three lists of arrays (n, 2), Hz and (m/s^2)^2/Hz
        x, y and z; the sources are independent, so their densities add up.
    """
    found = [[], [], []]
    for source in case.vibration:
        if source.kind == "psd":
            table = density_table(source, case.environments) * [1.0, source.gain**2]
            for name in source.axis:
                found[_AXES.index(name)].append(table)
    return found


def asked_power(tables, edges):
    """Mean square that random sources ask for between given frequencies.

    Parameters
    ----------
    tables : list of arrays (n, 2)
        Breakpoints of one axis.
    edges : array (m + 1,), Hz
        Rising.

    Returns
    -------
    array (m,), (m/s^2)^2
    """
    total = np.zeros(len(edges) - 1)
    for table in tables:
        total += np.diff(cumulative_mean_square(table, edges))
    return total


def asked_density(tables, frequencies):
    """Density that random sources ask for at given frequencies.

    Parameters
    ----------
    tables : list of arrays (n, 2)
        Breakpoints of one axis.
    frequencies : array, Hz
        Above zero.

    Returns
    -------
    array, (m/s^2)^2/Hz
    """
    return sum((density_at(table, frequencies) for table in tables), np.zeros(len(frequencies)))


def asked_lines(harmonic):
    """Steady sines that the sources ask for, equal frequencies added with their phases.

    Parameters
    ----------
    harmonic : array (k, 7)
        Rows [omega, Cx, Cy, Cz, Sx, Sy, Sz] of C cos(omega t) + S sin(omega t).

    Returns
    -------
    frequency : array (m,), Hz
        Rising.
    amplitude : array (m, 3), m/s^2
    """
    size = np.abs(harmonic[:, 0])
    omega = np.unique(size)
    amplitude = np.zeros((len(omega), 3))
    for i, value in enumerate(omega):
        rows = harmonic[size == value]
        cosine = rows[:, 1:4].sum(axis=0)
        sine = (np.sign(rows[:, :1]) * rows[:, 4:7]).sum(axis=0)
        amplitude[i] = np.hypot(cosine, sine)
    return omega / HZ_TO_RAD_S, amplitude


def frequency_range(case):
    """Lowest and highest frequency that the sources of a case ask for.

    Parameters
    ----------
    case : Case
        The case.

    Returns
    -------
    tuple of two floats, Hz
        None where nothing is asked.
    """
    found = [span for source in case.vibration for span in _ranges(case, source)]
    return (min(low for low, _ in found), max(high for _, high in found)) if found else None


def _ranges(case, source):
    """Ranges of one source; the kinds whose frequencies the case tells."""
    if source.kind == "psd":
        table = density_table(source, case.environments)
        yield float(table[0, 0]), float(table[-1, 0])
    elif source.kind == "sine":
        yield source.frequency_Hz, source.frequency_Hz
    elif source.kind == "exciter":
        frequency = abs(source.speed_rpm) * RPM_TO_RAD_S / HZ_TO_RAD_S
        yield frequency, frequency
