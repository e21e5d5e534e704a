"""Sliding of a body's surface over a raceway or land."""

import math

from rollsim.kernels.jit import inline_kernel


@inline_kernel
def sliding_speed(body, ring, arm):
    """Speed of a body's surface over a ring, along the orbit, in the middle of the body.

    With the direction t of the orbit and the distance w of the centres:
    slip = (v - v_ring) . t + spin * arm - ring spin * (w + arm).

    Parameters
    ----------
    body : Disc or Body
        Roller or cage.
    ring : Disc or Body
        Ring.
    arm : float, m
        Distance of the contact from the body's centre, outwards.

    Returns
    -------
    float
        m/s, positive with the counter-clockwise orbit.
    """
    x = body.x - ring.x
    y = body.y - ring.y
    w = max(math.sqrt(x * x + y * y), 1e-15)
    along = ((body.vy - ring.vy) * x - (body.vx - ring.vx) * y) / w
    return along + body.spin * arm - ring.spin * (w + arm)
