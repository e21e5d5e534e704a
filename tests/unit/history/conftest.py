"""Blocks and runs of known content for the tests of history files."""

import sys
from pathlib import Path

import numpy as np
import pytest

SUPPORT = Path(__file__).resolve().parents[2] / "support"
if str(SUPPORT) not in sys.path:
    sys.path.insert(0, str(SUPPORT))

from rollsim.history import Block, SegmentWriter  # noqa: E402
from rollsim.history.layout import CHANNELS, row_shape  # noqa: E402

ROLLERS, MODES = 4, 3
RATE_HZ = 1000.0


def _values(rng, channel, rows):
    """Random values in the number type and shape of a channel."""
    shape = (rows, *row_shape(channel, ROLLERS, MODES))
    if channel.dtype.startswith("int"):
        return rng.integers(0, 100, shape)
    return rng.normal(size=shape).astype(channel.dtype)


@pytest.fixture
def make_block():
    """Return a function (number, rows=100, episodes=7) -> Block, the same for the same number."""

    def make(number, rows=100, episodes=7):
        rng = np.random.default_rng(number)
        length = {"history": rows, "peak": rows, "impacts": episodes, "quality": 1}
        groups = {
            group: {name: _values(rng, channel, length[group]) for name, channel in table.items()}
            for group, table in CHANNELS.items()
        }
        time = (number * rows + np.arange(1, rows + 1)) / RATE_HZ
        groups["history"]["time"] = time
        groups["peak"]["time"] = time.copy()
        groups["quality"] = {name: values[0] for name, values in groups["quality"].items()}
        groups["quality"].update(end_time=time[-1], wall_time=2.0)
        checkpoint = {
            "state": rng.normal(size=50),
            "flags": np.array([True, False, True]),
            "counter": np.uint64(2**63 + number),
            "empty": np.zeros((0, 6)),
        }
        return Block(**groups, checkpoint=checkpoint)

    return make


@pytest.fixture
def attributes():
    """Root attributes of a small run."""
    return {
        "case_name": "small",
        "case_text": "[case]\nname = 'small'\n",
        "seed": 3,
        "duration_s": 1.0,
        "settle_s": 0.15,
        "roller_count": ROLLERS,
        "mode_count": MODES,
        "assumptions": [{"key": "roller.slices", "value": 1}],
    }


@pytest.fixture
def make_run(tmp_path, make_block, attributes):
    """Return a function that writes some blocks and returns (path, blocks)."""

    def make(blocks=4, finish=True, name="run.h5", rows=100):
        path = tmp_path / name
        content = [make_block(number, rows) for number in range(blocks)]
        with SegmentWriter(path, attributes) as writer:
            for block in content:
                writer.append(block)
            if finish:
                writer.finish()
        return path, content

    return make


@pytest.fixture
def assert_same():
    """Return a function that compares an open history with blocks, bit by bit."""

    def check(history, blocks):
        for group in CHANNELS:
            assert history.names(group) == tuple(CHANNELS[group])
        for name in CHANNELS["history"]:
            wanted = np.concatenate([block.history[name] for block in blocks])
            np.testing.assert_array_equal(history.channel(name), wanted)
        for name in CHANNELS["peak"]:
            wanted = np.concatenate([block.peak[name] for block in blocks])
            np.testing.assert_array_equal(history.peak(name), wanted)
        for name, values in history.impacts().items():
            wanted = np.concatenate([block.impacts[name] for block in blocks])
            np.testing.assert_array_equal(values, wanted)
        for name, values in history.quality().items():
            np.testing.assert_array_equal(values, [block.quality[name] for block in blocks])

    return check
