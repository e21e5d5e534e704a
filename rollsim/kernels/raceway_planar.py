"""All rollers of the planar model on one raceway."""

from rollsim.kernels.jit import index, inline_kernel
from rollsim.kernels.layout import friction_offset, resistance_offset, sliding_offset
from rollsim.kernels.planar_bodies import roller_disc
from rollsim.kernels.round_contact import round_planar, with_law
from rollsim.kernels.types import TractionLaw

_COULOMB = int(TractionLaw.COULOMB)
_FOUR_PARAMETER = int(TractionLaw.FOUR_PARAMETER)
_EHL = int(TractionLaw.EHL)


@inline_kernel
def roller_loop(y, dy, out, ring, pair, z, first):
    """All rollers on one raceway, whatever the law of friction; see `raceway_loop`.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces and moments on the rollers, added to.
    out : ndarray (output_size,)
        Normal forces, friction powers and sliding speeds, written.
    ring : Disc
        Ring.
    pair : RoundPair
        Geometry and laws.
    z : int
        Rollers Z.
    first : int
        Place of the raceway in the lists of `out`: 0 for the outer, Z for the inner.

    Returns
    -------
    tuple of 5 float
        Sums: force x, y on the rollers, moment on the ring about its centre, heat, energy.
    """
    fx = fy = reaction = heat = energy = 0.0
    # Views of the outputs: the compiler vectorises the loop only if it sees them apart.
    f, s = friction_offset(z) + first, sliding_offset(z) + first
    r = resistance_offset(z) + first
    normals, friction, sliding = out[first : first + z], out[f : f + z], out[s : s + z]
    resistances = out[r : r + z]
    for j in range(z):
        body = roller_disc(y, j, z)
        p = round_planar(body, ring, pair)
        normals[j] = p.normal
        friction[j] = p.friction
        sliding[j] = p.slip
        resistances[j] = p.resistance
        dy[index(2 * z + j)] += p.fx
        dy[index(3 * z + j)] += p.fy
        dy[index(4 * z + j)] += p.moment
        fx += p.fx
        fy += p.fy
        reaction += p.reaction
        heat += p.heat
        energy += p.energy
    return fx, fy, reaction, heat, energy


@inline_kernel
def coulomb_pair(pair):
    """A pair with plain friction as the compiler should know it.

    Parameters
    ----------
    pair : RoundPair
        Geometry and laws; the law is Coulomb's.

    Returns
    -------
    RoundPair
        The same.
    """
    return with_law(pair, _COULOMB)


@inline_kernel
def raceway_loop(y, dy, out, ring, pair, z, first):
    """All rollers on one raceway; adds force and moment to the velocity entries of `dy`.

    The loop stands once for each law in the compiled code: that of Coulomb's law holds no call and
    vectorises.

    Parameters
    ----------
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Forces and moments on the rollers, added to.
    out : ndarray (output_size,)
        Normal forces, friction powers and sliding speeds, written.
    ring : Disc
        Ring.
    pair : RoundPair
        Geometry and laws.
    z : int
        Rollers Z.
    first : int
        Place of the raceway in the lists of `out`: 0 for the outer, Z for the inner.

    Returns
    -------
    tuple of 5 float
        Sums: force x, y on the rollers, moment on the ring about its centre, heat, energy.
    """
    law = pair.traction.law
    if law == _COULOMB:
        return roller_loop(y, dy, out, ring, coulomb_pair(pair), z, first)
    if law == _FOUR_PARAMETER:
        return roller_loop(y, dy, out, ring, with_law(pair, _FOUR_PARAMETER), z, first)
    return roller_loop(y, dy, out, ring, with_law(pair, _EHL), z, first)
