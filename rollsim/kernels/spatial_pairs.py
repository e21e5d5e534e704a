"""All contacts of one roller in the spatial model."""

import math

from rollsim.kernels.end_contact import end_side
from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.layout import friction_offset
from rollsim.kernels.pocket import tilted_frame, turned
from rollsim.kernels.pocket_spatial import bar_spatial
from rollsim.kernels.round_contact import add, no_wrench


@inline_kernel
def roller_flanges(j, roller, ring, ends, out, count):
    """Both flanges of one ring on the ends of roller j.

    Parameters
    ----------
    j : int
        Roller.
    roller : Body
        Roller.
    ring : Body
        Ring.
    ends : EndPair
        Geometry and laws.
    out : ndarray (output_size,)
        Contact output, added to.
    count : int
        Rollers Z.

    Returns
    -------
    Wrench
        On the roller.
    """
    total = no_wrench()
    if ends.base + ends.cover > 0.0:
        dx = roller.x - ring.x
        dy = roller.y - ring.y
        w = math.sqrt(dx * dx + dy * dy)
        frame = tilted_frame(dx / w, dy / w, ring.ux, ring.uy, 0.0, 0.0)
        turn = (dx * (roller.vy - ring.vy) - dy * (roller.vx - ring.vx)) / (w * w)
        if ends.base > 0.0:
            total = end_side(roller, ring, frame, ends, -1.0, turn)
            out[6 * count + j] += total.normal
            out[friction_offset(count) + 6 * count + j] += total.friction
        if ends.cover > 0.0:
            piece = end_side(roller, ring, frame, ends, 1.0, turn)
            out[7 * count + j] += piece.normal
            out[friction_offset(count) + 7 * count + j] += piece.friction
            total = add(total, piece)
    return total


@inline_kernel
def roller_cage(j, roller, cage, trig, model, out):
    """All four faces of pocket j on roller j.

    Parameters
    ----------
    j : int
        Roller.
    roller : Body
        Roller.
    cage : Body
        Cage.
    trig : tuple of 2 float
        Cosine and sine of the cage angle.
    model : Model
        Constants.
    out : ndarray (output_size,)
        Contact output, written.

    Returns
    -------
    Wrench
        On the roller.
    """
    z = model.count
    t = model.tables
    cosine, sine = turned(trig, t.pocket_cos[j], t.pocket_sin[j])
    frame = tilted_frame(cosine, sine, cage.ux, cage.uy, t.pocket_shift[j], t.pocket_extra[j])
    lead = bar_spatial(roller, cage, frame, model.pocket, 1.0, t)
    trail = bar_spatial(roller, cage, frame, model.pocket, -1.0, t)
    base = end_side(roller, cage, frame, model.ends, -1.0, cage.spin)
    cover = end_side(roller, cage, frame, model.ends, 1.0, cage.spin)
    out[2 * z + j] = lead.normal
    out[3 * z + j] = trail.normal
    out[4 * z + j] = base.normal
    out[5 * z + j] = cover.normal
    out[8 * z + 7 + j] = lead.approach
    out[9 * z + 7 + j] = trail.approach
    out[10 * z + 7 + j] = base.approach
    out[11 * z + 7 + j] = cover.approach
    f = friction_offset(z) + j
    out[f + 2 * z] = lead.friction
    out[f + 3 * z] = trail.friction
    out[f + 4 * z] = base.friction
    out[f + 5 * z] = cover.friction
    return add(add(lead, trail), add(base, cover))
