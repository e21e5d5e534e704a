"""Dissipation in a contact."""

from rollsim.kernels.jit import inline_kernel


@inline_kernel
def hunt_crossley(elastic, approach, damping):
    """Contact force with dissipation, Q = Q_e (1 + (3/2) alpha v), never negative.

    Source: Hunt and Crossley, J. Appl. Mech. 42 (1975). In the limit of small alpha v the
    restitution is e = 1 - alpha v.

    Parameters
    ----------
    elastic : float, N
        Elastic force Q_e.
    approach : float, m/s
        Approach speed v, positive while the penetration grows.
    damping : float, s/m
        Factor alpha.

    Returns
    -------
    float
        Force Q in N.
    """
    return max(elastic * (1.0 + 1.5 * damping * approach), 0.0)
