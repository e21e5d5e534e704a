"""Rollers of the planar model in blocks: plain friction on the raceways and flat pocket faces.

All four contacts of a roller and its rates stand in one loop over the lanes of a block, see
`lanes`. It holds no call and no branch. Bars that are touched, and rollers beyond the edge of
a bar, are marked and left to `planar.touch_loop`: they are few, and cost far more.
"""

import math
from typing import NamedTuple

from rollsim.kernels.film import film_thickness
from rollsim.kernels.jit import index, inline_kernel, stack_array
from rollsim.kernels.lanes import WIDTH, block_count, block_start, load_row, row_sum, store_row
from rollsim.kernels.layout import (
    approach_offset,
    friction_offset,
    resistance_offset,
    sliding_offset,
)
from rollsim.kernels.planar_bodies import roller_parts, roller_rate
from rollsim.kernels.pocket import turned
from rollsim.kernels.raceway_planar import coulomb_pair
from rollsim.kernels.round_contact import round_planar
from rollsim.kernels.types import Disc, TractionLaw

_COULOMB = int(TractionLaw.COULOMB)
# Rows of a block: motion of the rollers and numbers of their pockets,
_X, _Y, _VX, _VY, _SPIN, _COS, _SIN, _SHIFT, _EXTRA, _AHEAD, _BEHIND = range(11)
# contact output (outer and inner raceway, leading and trailing bar), rates,
# resistances of the raceways,
_NORMAL, _FRICTION, _SLIDING, _BAR, _APPROACH, _RATE, _HOLD = 11, 13, 15, 17, 19, 21, 26
# sums over the blocks in the order of the result of `roller_blocks`.
_SUM, _SUMS = 28, 13
_block = stack_array(_SUM + _SUMS, WIDTH)


class FlatBar(NamedTuple):
    """Squeeze film of a bar: force [N], approach speed [m/s], mark.

    mark: the force, or -1 where the bar is touched or its edge is nearest.
    """

    force: float
    approach: float
    mark: float


@inline_kernel
def suits_blocks(model):
    """Tell whether the rollers of a model can be worked on in blocks.

    Parameters
    ----------
    model : Model
        Constants.

    Returns
    -------
    bool
        True for plain friction on both raceways and flat pocket faces.
    """
    plain = model.outer.traction.law == _COULOMB and model.inner.traction.law == _COULOMB
    return plain and model.pocket.curvature <= 0.0


@inline_kernel
def flat_bar(place, speed, pocket, side, extra, root):
    """Squeeze film of a flat pocket face that is not touched.

    As `pocket.bar_film`, but it leaves the edges of the bar alone, which spares a root and a
    division. The damping F/(h^(3/2) + F/Z) has the impedance Z = Z_1 root of this bar; written
    with one division.

    Parameters
    ----------
    place : tuple of 2 float, m
        Roller axis from the pocket centre along t and from the pitch radius along r.
    speed : tuple of 2 float, m/s
        Velocity along t and r relative to the cage material.
    pocket : Pocket
        Geometry and laws.
    side : float
        +1 leading, -1 trailing.
    extra : float, m
        Additional half clearance.
    root : float
        Root of the stiffness behind the face over that of the pocket.

    Returns
    -------
    FlatBar
        The force is 0 where the mark is negative.
    """
    t, r = side * place[0], place[1]
    gap = pocket.half_clearance + extra - t * pocket.cosine + r * pocket.sine
    height = t * pocket.sine + r * pocket.cosine
    approach = side * speed[0] * pocket.cosine - speed[1] * pocket.sine
    h = film_thickness(gap, pocket.floor)
    wall = h * math.sqrt(h) * root + pocket.film / pocket.impedance
    force = max(approach, 0.0) * pocket.film * root / wall
    inside = min(min(height - pocket.low, pocket.high - height), gap)
    free = inside >= 0.0
    return FlatBar(force if free else 0.0, approach, force if free else -1.0)


@inline_kernel
def pocket_films(body, cage, direction, pocket, errors, roots):
    """Squeeze films of both bars of a pocket on its roller.

    Parameters
    ----------
    body : Disc
        Roller.
    cage : Disc
        Cage.
    direction : tuple of 2 float
        Outward direction of the pocket.
    pocket : Pocket
        Geometry and laws.
    errors : tuple of 2 float, m
        Shift along t and additional half clearance of the pocket.
    roots : tuple of 2 float
        As for `flat_bar`, leading and trailing.

    Returns
    -------
    ahead : FlatBar
        Leading bar.
    behind : FlatBar
        Trailing bar.
    force : tuple of 3 float
        Force x, y on the roller; moment on the cage about its centre.
    """
    ex, ey = direction
    dx = body.x - cage.x
    dy = body.y - cage.y
    vx = body.vx - cage.vx + cage.spin * dy
    vy = body.vy - cage.vy - cage.spin * dx
    t, r = dy * ex - dx * ey, dx * ex + dy * ey
    speed = (vy * ex - vx * ey, vx * ex + vy * ey)
    place = (t - errors[0], r - pocket.pitch_radius)
    ahead = flat_bar(place, speed, pocket, 1.0, errors[1], roots[0])
    behind = flat_bar(place, speed, pocket, -1.0, errors[1], roots[1])
    ft = (behind.force - ahead.force) * pocket.cosine
    fr = (behind.force + ahead.force) * pocket.sine
    # A film force acts along the line through the roller axis: no moment on the roller.
    return ahead, behind, (fr * ex - ft * ey, fr * ey + ft * ex, t * fr - r * ft)


@inline_kernel
def load_block(lanes, y, tables, first, count):
    """Fill a block with the motion of its rollers and the numbers of their pockets.

    Parameters
    ----------
    lanes : ndarray (rows, WIDTH)
        Block, written.
    y : ndarray (state_size,)
        State.
    tables : Tables
        Pocket angles and errors.
    first : int
        First roller of the block.
    count : int
        Rollers Z.

    Returns
    -------
    None
    """
    for row in range(5):
        load_row(lanes, _X + row, y, row * count, first, count)
    load_row(lanes, _COS, tables.pocket_cos, 0, first, count)
    load_row(lanes, _SIN, tables.pocket_sin, 0, first, count)
    load_row(lanes, _SHIFT, tables.pocket_shift, 0, first, count)
    load_row(lanes, _EXTRA, tables.pocket_extra, 0, first, count)
    load_row(lanes, _AHEAD, tables.bar_root, 0, first, count)
    load_row(lanes, _BEHIND, tables.bar_root, count, first, count)


@inline_kernel
def store_block(lanes, dy, out, first, count):
    """Write rates and contact output of a block.

    Parameters
    ----------
    lanes : ndarray (rows, WIDTH)
        Block.
    dy : ndarray (state_size,)
        Rates, written.
    out : ndarray (output_size,)
        Contact output, written; bars that are touched are marked by -1.
    first : int
        First roller of the block.
    count : int
        Rollers Z.

    Returns
    -------
    None
    """
    friction, sliding = friction_offset(count), sliding_offset(count)
    for row in range(5):
        store_row(lanes, _RATE + row, dy, row * count, first, count)
    for row in range(2):
        store_row(lanes, _NORMAL + row, out, row * count, first, count)
        store_row(lanes, _FRICTION + row, out, friction + row * count, first, count)
        store_row(lanes, _HOLD + row, out, resistance_offset(count) + row * count, first, count)
        store_row(lanes, _SLIDING + row, out, sliding + row * count, first, count)
        store_row(lanes, _BAR + row, out, (2 + row) * count, first, count)
        store_row(lanes, _APPROACH + row, out, approach_offset(count) + row * count, first, count)


@inline_kernel
def work_block(lanes, bodies, driving, model, done, first):
    """Contacts and rates of the rollers of a block.

    Parameters
    ----------
    lanes : ndarray (rows, WIDTH)
        Block; results written, sums added to.
    bodies : tuple of 3 Disc and a tuple
        Cage, outer ring, inner ring; cosine and sine of the cage angle.
    driving : Driving
        Accelerations.
    model : Model
        Constants.
    done : int
        Rollers that blocks before have done.
    first : int
        First roller of the block.

    Returns
    -------
    None
    """
    cage, outer, inner, trig = bodies
    # Read before the loop: see `roller_parts`.
    outside, inside = coulomb_pair(model.outer), coulomb_pair(model.inner)
    pocket, count, parts = model.pocket, model.count, roller_parts(model)
    for k in range(WIDTH):
        body = Disc(
            lanes[_X, index(k)],
            lanes[_Y, index(k)],
            lanes[_VX, index(k)],
            lanes[_VY, index(k)],
            lanes[_SPIN, index(k)],
        )
        o = round_planar(body, outer, outside)
        i = round_planar(body, inner, inside)
        direction = turned(trig, lanes[_COS, index(k)], lanes[_SIN, index(k)])
        errors = (lanes[_SHIFT, index(k)], lanes[_EXTRA, index(k)])
        roots = (lanes[_AHEAD, index(k)], lanes[_BEHIND, index(k)])
        ahead, behind, film = pocket_films(body, cage, direction, pocket, errors, roots)
        force = (o.fx + i.fx + film[0], o.fy + i.fy + film[1], o.moment + i.moment)
        rate, books = roller_rate(body, force, driving, parts)
        lanes[_NORMAL, index(k)] = o.normal
        lanes[_NORMAL + 1, index(k)] = i.normal
        lanes[_FRICTION, index(k)] = o.friction
        lanes[_FRICTION + 1, index(k)] = i.friction
        lanes[_SLIDING, index(k)] = o.slip
        lanes[_SLIDING + 1, index(k)] = i.slip
        lanes[_HOLD, index(k)] = o.resistance
        lanes[_HOLD + 1, index(k)] = i.resistance
        lanes[_BAR, index(k)] = ahead.mark
        lanes[_BAR + 1, index(k)] = behind.mark
        lanes[_APPROACH, index(k)] = ahead.approach
        lanes[_APPROACH + 1, index(k)] = behind.approach
        lanes[_RATE, index(k)] = rate[0]
        lanes[_RATE + 1, index(k)] = rate[1]
        lanes[_RATE + 2, index(k)] = rate[2]
        lanes[_RATE + 3, index(k)] = rate[3]
        lanes[_RATE + 4, index(k)] = rate[4]
        heat = o.heat + i.heat + ahead.force * ahead.approach + behind.force * behind.approach
        keep = 1.0 if first + k >= done and first + k < count else 0.0
        lanes[_SUM, index(k)] -= keep * film[0]
        lanes[_SUM + 1, index(k)] -= keep * film[1]
        lanes[_SUM + 2, index(k)] += keep * film[2]
        lanes[_SUM + 3, index(k)] -= keep * i.fx
        lanes[_SUM + 4, index(k)] -= keep * i.fy
        lanes[_SUM + 5, index(k)] += keep * i.reaction
        lanes[_SUM + 6, index(k)] -= keep * o.fx
        lanes[_SUM + 7, index(k)] -= keep * o.fy
        lanes[_SUM + 8, index(k)] += keep * o.reaction
        lanes[_SUM + 9, index(k)] += keep * (heat + books[1])
        lanes[_SUM + 10, index(k)] += keep * (o.energy + i.energy)
        lanes[_SUM + 11, index(k)] += keep * books[0]
        lanes[_SUM + 12, index(k)] += keep * books[2]


@inline_kernel
def roller_blocks(y, dy, out, bodies, driving, model):
    """Contacts and rates of all rollers but for the bars that are touched.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Rates of the rollers, written.
    out : ndarray (output_size,)
        Contact output, written; bars that are touched are marked by -1.
    bodies : tuple of 3 Disc and a tuple
        Cage, outer ring, inner ring; cosine and sine of the cage angle.
    driving : Driving
        Accelerations.
    model : Model
        Constants.

    Returns
    -------
    tuple of 13 float
        Force x, y and moment on the cage, on the inner ring, on the outer ring; heat, elastic
        energy, work rate, external moment about the housing origin.
    """
    z = model.count
    lanes = _block()
    for row in range(_SUM, _SUM + _SUMS):
        for k in range(WIDTH):
            lanes[index(row), index(k)] = 0.0
    for block in range(block_count(z)):
        first = block_start(block, z)
        load_block(lanes, y, model.tables, first, z)
        work_block(lanes, bodies, driving, model, block * WIDTH, first)
        store_block(lanes, dy, out, first, z)
    s = _SUM
    on_cage = (row_sum(lanes, s), row_sum(lanes, s + 1), row_sum(lanes, s + 2))
    on_inner = (row_sum(lanes, s + 3), row_sum(lanes, s + 4), row_sum(lanes, s + 5))
    on_outer = (row_sum(lanes, s + 6), row_sum(lanes, s + 7), row_sum(lanes, s + 8))
    books = (row_sum(lanes, s + 9), row_sum(lanes, s + 10))
    books = (*books, row_sum(lanes, s + 11), row_sum(lanes, s + 12))
    return (*on_cage, *on_inner, *on_outer, *books)
