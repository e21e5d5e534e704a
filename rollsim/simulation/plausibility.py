"""Places where no body can be: too deep in a raceway, in a bar, in an end ring."""

import numpy as np

_RADIUS_WORDS = "more than the radius of a roller"


def impossible_place(channels, model):
    """Find the first sample at which a roller is deeper in another body than its own radius.

    Contact laws push such a roller out on the wrong side, so that nothing after it has a meaning.
    Tilts are left out: they are small against a radius.

    Parameters
    ----------
    channels : dict of str to ndarray
        Channels of the group `history` of a block.
    model : Model
        Constants.

    Returns
    -------
    row : int or None
        The sample; None when all is well.
    words : str
        What is where.
    """
    found = [
        (int(rows[0]), place)
        for place, depth in _depths(channels, model).items()
        if len(rows := np.flatnonzero((depth > model.pocket.radius).any(axis=1)))
    ]
    if not found:
        return None, ""
    row, place = min(found, key=lambda item: item[0])
    depth = _depths(channels, model)[place][row]
    roller = int(np.argmax(depth))
    return row, (
        f"roller {roller + 1} {place.format(depth=f'{1e3 * depth[roller]:.3g} mm')}, "
        f"{_RADIUS_WORDS} ({1e3 * model.pocket.radius:.3g} mm), at {channels['time'][row]:.9g} s"
    )


def _depths(channels, model):
    """Depth of every roller in what surrounds it, m: words to arrays (time, roller)."""
    pocket, tables = model.pocket, model.tables
    along, outward = _place_in_pocket(channels, model)
    half = pocket.half_clearance + tables.pocket_extra
    lean = outward * pocket.sine
    axial = channels["roller_position"][:, :, 2] - channels["cage_position"][:, None, 2]
    escaped = "has escaped from its pocket: it is {depth} deep in the "
    return {
        "is {depth} deep in the outer raceway": _raceway(channels, "outer", model.outer),
        "is {depth} deep in the inner raceway": _raceway(channels, "inner", model.inner),
        escaped + "bar ahead of it": along * pocket.cosine - lean - half,
        escaped + "bar behind it": -along * pocket.cosine - lean - half,
        escaped + "base of the cage": -axial - model.ends.half_gap,
        escaped + "cover of the cage": axial - model.ends.half_gap,
    }


def _raceway(channels, ring, pair):
    """Depth of the rollers in a raceway, m: side * w - gap, as in `RoundPair`."""
    centre = channels[f"{ring}_position"][:, None, :2]
    distance = np.hypot(*np.moveaxis(channels["roller_position"][:, :, :2] - centre, 2, 0))
    return pair.side * distance - pair.gap


def _place_in_pocket(channels, model):
    """Place of the roller centres along the orbit and outwards from the pocket centres, m."""
    tables = model.tables
    nominal = np.arctan2(tables.pocket_sin, tables.pocket_cos)[: model.count]
    angle = channels["cage_angle"][:, None] + nominal
    relative = channels["roller_position"] - channels["cage_position"][:, None, :]
    x, y = relative[:, :, 0], relative[:, :, 1]
    cosine, sine = np.cos(angle), np.sin(angle)
    along = y * cosine - x * sine - tables.pocket_shift[: model.count]
    outward = x * cosine + y * sine - model.pocket.pitch_radius
    return along, outward
