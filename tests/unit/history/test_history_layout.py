"""The table of channels and the check of blocks against it."""

import dataclasses

import numpy as np
import pytest

from rollsim.history.block import block_tables
from rollsim.history.layout import (
    CHANNELS,
    COUNTED,
    IMPACT_FACES,
    LABELS,
    ROW_DIMENSION,
    empty_group,
    row_bytes,
    row_shape,
)


def test_history_layout_every_channel_starts_with_the_rows_of_its_group():
    for group, table in CHANNELS.items():
        for channel in table.values():
            assert channel.dims[0] == ROW_DIMENSION[group]
            assert set(channel.dims[1:]) <= {*COUNTED, *LABELS}
            assert channel.unit and channel.meaning


def test_history_layout_shapes_follow_the_roller_count():
    assert row_shape(CHANNELS["history"]["roller_position"], 18) == (18, 3)
    assert row_shape(CHANNELS["history"]["land_force"], 18) == (2, 3)
    assert row_shape(CHANNELS["peak"]["land_force"], 18) == (2,)
    assert row_shape(CHANNELS["impacts"]["peak"], 18) == ()
    assert row_shape(CHANNELS["history"]["modal_coordinate"], 18, 40) == (40,)
    assert empty_group("peak", 5, 7)["raceway_force"].shape == (5, 7, 2)
    assert empty_group("impacts", 5, 7)["roller"].dtype.kind == "i"


def test_history_layout_impact_codes_are_pocket_faces_then_lands():
    assert IMPACT_FACES == ("leading", "trailing", "base", "cover", "land base", "land cover")


def test_history_layout_row_bytes_counts_what_a_sample_stores(make_block):
    tables = block_tables(make_block(0), 4, 3)
    stored = sum(v.nbytes for g in ("history", "peak") for v in tables[g].values())
    assert row_bytes(4, 3) == stored / 100


def test_history_block_peak_time_is_that_of_the_samples(make_block):
    block = make_block(2)
    del block.peak["time"]
    tables = block_tables(block, 4, 3)
    np.testing.assert_array_equal(tables["peak"]["time"], block.history["time"])


@pytest.mark.parametrize(
    ("group", "name", "value", "words"),
    [
        ("history", "cage_mood", np.zeros(100), "cage_mood"),
        ("history", "pocket_force", np.zeros((100, 5, 4)), "pocket_force.*roller, face"),
        ("history", "cage_angle", np.zeros(99), "numbers of rows"),
        ("history", "time", np.zeros(100), "must rise"),
        ("quality", "steps", np.zeros(2), "numbers of rows"),
    ],
)
def test_history_block_that_does_not_fit_is_refused(make_block, group, name, value, words):
    block = make_block(0)
    getattr(block, group)[name] = value
    with pytest.raises(ValueError, match=words):
        block_tables(block, 4, 3)


@pytest.mark.parametrize(("group", "name"), [("history", "time"), ("quality", "end_time")])
def test_history_block_without_its_times_is_refused(make_block, group, name):
    block = make_block(0)
    rest = {key: value for key, value in getattr(block, group).items() if key != name}
    with pytest.raises(ValueError, match=f"missing names \\['{name}'\\]"):
        block_tables(dataclasses.replace(block, **{group: rest}), 4, 3)
