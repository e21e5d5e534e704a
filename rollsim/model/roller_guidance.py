"""Play of a cage that its rollers guide."""

import math

from scipy.optimize import brentq

from rollsim.kernels.pocket import face_distance
from rollsim.kernels.types import Guidance


def roller_guidance_play(pocket):
    """Radial play of a cage in its rollers: how far it moves off the middle until it is held.

    The rollers lie on the pitch circle and may move along it, so that each stands in the middle
    between the sides of its pocket. Where the cage moves, the pocket ahead slides outwards over
    its roller by the full way and the one behind slides inwards; the one that touches first holds
    the cage. Between two rollers the play is greater by up to 1/cos(pi/Z), which is left out, and
    so are the yielding of the bars and the radial play of the rollers.

    Closed form for concave sides, as long as the contact lies on the bar and not on its edge:
    sqrt(c (2 (R_c - R) - c)) with half the pocket clearance c, radius R_c of the sides and R of
    the roller; for flat sides that close by the angle b, c/sin(b) likewise. Worked out here.

    Parameters
    ----------
    pocket : Pocket
        Geometry.

    Returns
    -------
    float
        m; infinite where nothing holds the cage.
    """
    return min(_reach(pocket, 1.0), _reach(pocket, -1.0))


def guidance_clearance(model):
    """Radial way of the cage centre until its guide holds it: land, or rollers in their pockets.

    Parameters
    ----------
    model : Model
        Constants.

    Returns
    -------
    float
        m; 0 where nothing holds the cage.
    """
    if model.guidance != Guidance.ROLLER:
        return model.land.gap
    play = roller_guidance_play(model.pocket)
    return play if math.isfinite(play) else 0.0


def _reach(pocket, sense):
    """Way of a roller in its pocket outwards (+1) or inwards (-1) until both sides touch."""

    def gap(way):
        return face_distance.py_func(pocket, 1.0, 0.0, sense * way, 0.0)[0] - pocket.radius

    # The roller comes closest to the edge of the bar at its height and would then come free again.
    reach = pocket.radius + pocket.half_clearance
    place = pocket.high if sense > 0.0 else pocket.low
    edge = sense * (place * pocket.cosine - reach * pocket.sine)
    if gap(edge) > 0.0:
        return math.inf
    return float(brentq(gap, 0.0, edge, xtol=1e-12))
