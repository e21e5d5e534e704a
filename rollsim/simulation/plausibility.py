"""Places where no body can be: too deep in a raceway, in a bar, in an end ring, off its rollers."""

import numpy as np

_RADIUS_WORDS = "more than the radius of a roller"


def impossible_place(channels, model):
    """Find the first sample at which a body is where none can be.

    A roller deeper in another body than its own radius is pushed out on the wrong side by the
    contact laws; an inner ring that has slid off half the length of its rollers still carries them
    all along in the model: nothing after it has a meaning. Tilts are left out: they are small
    against a radius.

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
    slid, words = _slid_out(channels, model)
    if slid is not None and all(slid <= row for row, _ in found):
        return slid, words
    if not found:
        return None, ""
    row, place = min(found, key=lambda item: item[0])
    depth = _depths(channels, model)[place][row]
    roller = int(np.argmax(depth))
    return row, (
        f"roller {roller + 1} {place.format(depth=f'{1e3 * depth[roller]:.3g} mm')}, "
        f"{_RADIUS_WORDS} ({1e3 * model.pocket.radius:.3g} mm), at {channels['time'][row]:.9g} s"
    )


def _slid_out(channels, model):
    """First sample at which the inner ring is off its rollers by half their length; the words."""
    off = channels["inner_position"][:, 2] - channels["outer_position"][:, 2]
    rows = np.flatnonzero(np.abs(off) > model.ends.half_length)
    if not len(rows):
        return None, ""
    row = int(rows[0])
    return row, (
        f"the inner ring has slid out of the bearing: it is {1e3 * abs(off[row]):.3g} mm off along "
        f"the axis, more than half the length of a roller ({1e3 * model.ends.half_length:.3g} mm), "
        f"at {channels['time'][row]:.9g} s; flanges on both rings hold it (bearing.flanges)"
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
