"""Blocks that are written beside the march."""

import threading

import pytest

from rollsim.errors import RunError
from rollsim.simulation.writing import WriteBehind


class Disk:
    """A writer that waits to be let go, and fails at a given block."""

    def __init__(self, failing=None):
        self.blocks, self.threads, self.failing = [], set(), failing
        self.go = threading.Event()

    def append(self, block):
        assert self.go.wait(10.0)
        self.threads.add(threading.get_ident())
        if block == self.failing:
            raise RunError(f"no room for {block}")
        self.blocks.append(block)


def test_a_block_is_written_in_another_thread_and_in_order():
    disk = Disk()
    with WriteBehind(disk) as writing:
        writing.append(0)
        assert disk.blocks == []
        disk.go.set()
        for block in range(1, 20):
            writing.append(block)
            assert disk.blocks[:block] == list(range(block))
        writing.wait()
        assert disk.blocks == list(range(20))
    assert threading.get_ident() not in disk.threads


def test_a_failed_write_is_told_at_the_next_block_which_is_not_written():
    disk = Disk(failing=1)
    disk.go.set()
    with WriteBehind(disk) as writing:
        writing.append(0)
        writing.append(1)
        with pytest.raises(RunError, match="no room for 1"):
            writing.append(2)
    assert disk.blocks == [0]


def test_a_failed_last_write_is_told_when_waiting():
    disk = Disk(failing=0)
    disk.go.set()
    with WriteBehind(disk) as writing:
        writing.append(0)
        with pytest.raises(RunError, match="no room for 0"):
            writing.wait()


def test_leaving_by_an_interrupt_lets_the_block_on_its_way_be_written():
    disk = Disk()
    with pytest.raises(KeyboardInterrupt), WriteBehind(disk) as writing:
        writing.append(0)
        disk.go.set()
        raise KeyboardInterrupt
    assert disk.blocks == [0]
