"""The right-hand side of the case at hand: planar or spatial, chosen by an integer code."""

from rollsim.kernels.jit import inline_kernel
from rollsim.kernels.layout import planar_size, state_size
from rollsim.kernels.planar import planar_rhs
from rollsim.kernels.spatial import spatial_rhs


@inline_kernel
def active_size(model):
    """Number of state entries that the case integrates.

    Parameters
    ----------
    model : Model
        Constants.

    Returns
    -------
    int
        planar_size for a planar case, else state_size.
    """
    return state_size(model.count) if model.spatial else planar_size(model.count)


@inline_kernel
def rhs(time, y, dy, out, model):
    """Rates of the state and contact forces.

    Parameters
    ----------
    time : float, s
        Time.
    y : ndarray (state_size,)
        State.
    dy : ndarray (state_size,)
        Rates, written.
    out : ndarray (output_size,)
        Contact output, written.
    model : Model
        Constants.

    Returns
    -------
    None
    """
    if model.spatial:
        spatial_rhs(time, y, dy, out, model)
    else:
        planar_rhs(time, y, dy, out, model)
