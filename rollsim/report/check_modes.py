"""Section of `rollsim check` on the vibrations of the cage that a run follows."""

from __future__ import annotations


def modes_section(case, elasticity) -> dict:
    """Lowest and highest frequency of the modes that a run drives.

    Parameters
    ----------
    case : Case
        The case.
    elasticity : CageElasticity
        Of its cage.

    Returns
    -------
    dict
        Name -> value; the count alone where the case asks for none.
    """
    if elasticity.modes is None:
        return {"elastic_modes": 0}
    hertz = elasticity.modes.frequencies
    return {
        "elastic_modes": len(hertz),
        "lowest_mode_Hz": float(hertz[0]),
        "highest_mode_Hz": float(hertz[-1]),
        "output_rate_over_highest_mode": case.output.rate_Hz / float(hertz[-1]),
    }


def mode_warnings(case, elasticity) -> list[str]:
    """Warn where the samples of a history miss vibrations that the run follows.

    Parameters
    ----------
    case : Case
        The case.
    elasticity : CageElasticity
        Of its cage.

    Returns
    -------
    list of str
        At most one line.
    """
    if elasticity.modes is None:
        return []
    hertz, half = elasticity.modes.frequencies, 0.5 * case.output.rate_Hz
    above = int((hertz > half).sum())
    if not above:
        return []
    return [
        f"{above} of {len(hertz)} elastic modes of the cage lie above half of output.rate_Hz "
        f"({half:g} Hz; the highest mode has {hertz[-1]:.0f} Hz): the run drives them at every "
        "step, and every sample has their true state, but peaks between the samples are missed. "
        f"Raise output.rate_Hz to {2.0 * hertz[-1]:.0f} Hz or more to have them all; 20 kHz in "
        "place of 5 kHz took 5 % from the least reserve of the example screen with tenons."
    ]
