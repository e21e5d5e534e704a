"""Contacts of all rollers with flanges and cage in space."""

import math

from rollsim.kernels.bodies import counted, push_roller, roller_body
from rollsim.kernels.end_contact import end_side, with_stiffness
from rollsim.kernels.jit import index, inline_kernel
from rollsim.kernels.layout import friction_offset
from rollsim.kernels.pocket import tilted_frame, turned, with_backing
from rollsim.kernels.pocket_flat import bar_spatial
from rollsim.kernels.round_contact import add, no_wrench, reaction


@inline_kernel
def flange_loop(y, dy, out, flanged, total, count):
    """Both flanges of one ring on the ends of all rollers; their wrenches are added to `dy`.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces and moments on the rollers, added to.
    out : ndarray (output_size,)
        Contact output, added to.
    flanged : tuple of Body and EndPair
        The ring; geometry and laws of its flanges.
    total : Wrench
        On the ring so far.
    count : int
        Rollers Z.

    Returns
    -------
    Wrench
        On the ring about its centre, with heat and energy of all contacts.
    """
    ring, ends = flanged
    if ends.base + ends.cover == 0.0:
        return total
    friction = friction_offset(count)
    for j in range(count):
        roller = roller_body(j, y, count)
        dx = roller.x - ring.x
        dy_ = roller.y - ring.y
        w = math.sqrt(dx * dx + dy_ * dy_)
        frame = tilted_frame(dx / w, dy_ / w, ring.ux, ring.uy, 0.0, 0.0)
        turn = (dx * (roller.vy - ring.vy) - dy_ * (roller.vx - ring.vx)) / (w * w)
        for side in range(2):
            if (ends.cover if side else ends.base) == 0.0:
                continue
            piece = end_side(roller, ring, frame, ends, 2.0 * side - 1.0, turn)
            if piece.normal == 0.0:
                continue
            out[index((6 + side) * count + j)] += piece.normal
            out[index(friction + (6 + side) * count + j)] += piece.friction
            push_roller(dy, j, count, piece)
            total = counted(total, reaction(piece, roller, ring), piece)
    return total


@inline_kernel
def pocket_loop(y, dy, out, cage, trig, model):
    """All faces of all pockets on their rollers; the wrenches are added to `dy`.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces and moments on the rollers, added to.
    out : ndarray (output_size,)
        Contact output, written.
    cage : Body
        Cage.
    trig : tuple of 2 float
        Cosine and sine of the cage angle.
    model : Model
        Constants.

    Returns
    -------
    Wrench
        On the cage about its centre, with heat and energy of all contacts.
    """
    z = model.count
    t = model.tables
    total = no_wrench()
    for j in range(z):
        roller = roller_body(j, y, z)
        cosine, sine = turned(trig, t.pocket_cos[index(j)], t.pocket_sin[index(j)])
        frame = tilted_frame(
            cosine, sine, cage.ux, cage.uy, t.pocket_shift[index(j)], t.pocket_extra[index(j)]
        )
        wrench = no_wrench()
        for side in range(2):
            pocket = with_backing(model.pocket, t.bar_share[index(side * z + j)])
            ends = with_stiffness(model.ends, t.end_share[index(side * z + j)])
            bar = bar_spatial(roller, cage, frame, pocket, 1.0 - 2.0 * side, t)
            end = end_side(roller, cage, frame, ends, 2.0 * side - 1.0, cage.spin)
            _note(out, bar, (2 + side) * z + j, z)
            _note(out, end, (4 + side) * z + j, z)
            wrench = add(wrench, add(bar, end))
        push_roller(dy, j, z, wrench)
        total = counted(total, reaction(wrench, roller, cage), wrench)
    return total


@inline_kernel
def _note(out, wrench, place, count):
    """Write force, approach and friction of a pocket face to the contact output."""
    out[index(place)] = wrench.normal
    out[index(6 * count + 7 + place)] = wrench.approach
    out[index(friction_offset(count) + place)] = wrench.friction
