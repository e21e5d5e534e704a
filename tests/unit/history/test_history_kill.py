"""A process that is killed at any moment loses no finished block and leaves no torn one."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import rollsim
from rollsim.history import SegmentWriter, open_history, resume_point

# Appends blocks whose numbers follow from their index alone, or goes on where it was killed.
RUN = """
import os, signal, sys
import numpy as np
from rollsim.history import Block, SegmentWriter, files, resume_point

BLOCKS, ROWS, ROLLERS = 3, 200, 3


def block(index):
    rng = np.random.default_rng(index)
    time = (index * ROWS + np.arange(1, ROWS + 1)) * 1e-3
    force = rng.normal(size=(ROWS, ROLLERS, 4)).astype("float32")
    state = rng.normal(size=100)
    return Block(
        {"time": time, "pocket_force": force},
        {"pocket_force": force},
        quality={"end_time": time[-1]},
        checkpoint={"state": state},
    )


def run(path):
    if resume_point(path) is None:
        writer = SegmentWriter(path, {"roller_count": ROLLERS})
    else:
        writer = SegmentWriter.continue_run(path)
    for index in range(writer.segments, BLOCKS):
        writer.append(block(index))
        print(index, flush=True)
    writer.finish()
    print("finished", flush=True)
"""

# Dies at the n-th call among those that touch the disk, before or after the call has its effect;
# of a write, the first half reaches the disk.
DIE_AT = """
class Dying:
    def __init__(self, moment):
        self.left = moment

    def __call__(self, effect):
        self.left -= 1
        if self.left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
        return effect()


def arm(moment):
    dying = Dying(moment)
    plain_open, plain_fsync, plain_replace = open, os.fsync, os.replace

    class File:
        def __init__(self, path, mode):
            self.file = plain_open(path, mode, buffering=0)

        def __enter__(self):
            return self

        def __exit__(self, *_):
            self.file.close()

        def write(self, content):
            half = len(content) // 2
            self.file.write(content[:half])
            dying(lambda: self.file.write(content[half:]))

        def flush(self):
            pass

        def fileno(self):
            return self.file.fileno()

    files.open = lambda path, mode: dying(lambda: File(path, mode))
    os.fsync = lambda handle: dying(lambda: plain_fsync(handle))
    os.replace = lambda old, new: dying(lambda: plain_replace(old, new))


for moment in range(1, 200):
    path = os.path.join(sys.argv[1], f"{moment:03d}.h5")
    child = os.fork()
    if not child:
        arm(moment)
        run(path)
        os._exit(0)
    if os.waitpid(child, 0)[1] == 0:
        break
    print(f"killed {moment:03d}", flush=True)
"""


def start(script, argument):
    """Start another Python on a script given as text."""
    environment = {**os.environ, "PYTHONPATH": str(Path(rollsim.__file__).parents[1])}
    command = [sys.executable, "-c", script, str(argument)]
    return subprocess.Popen(command, env=environment, stdout=subprocess.PIPE, text=True)


@pytest.fixture(scope="module")
def blocks():
    """Blocks that the script computes."""
    space = {}
    exec(RUN, space)
    return [space["block"](index) for index in range(space["BLOCKS"])]


def check(path, blocks, at_least):
    """Everything that was announced is there, exactly, and nothing else."""
    point = resume_point(path)
    count = point.segments if point else 0
    assert count >= at_least
    if not count:
        return 0
    np.testing.assert_array_equal(point.checkpoint["state"], blocks[count - 1].checkpoint["state"])
    with open_history(path) as history:
        wanted = np.concatenate([block.history["pocket_force"] for block in blocks[:count]])
        np.testing.assert_array_equal(history.channel("pocket_force"), wanted)
    return count


def finish_and_compare(path, blocks):
    """Go on to the end, as the same command would; the result is that of an unbroken run."""
    if resume_point(path) is None:
        writer = SegmentWriter(path, {"roller_count": 3})
    else:
        writer = SegmentWriter.continue_run(path)
    for block in blocks[writer.segments :]:
        writer.append(block)
    writer.finish()
    with open_history(path) as history:
        wanted = np.concatenate([block.history["pocket_force"] for block in blocks])
        np.testing.assert_array_equal(history.channel("pocket_force"), wanted)


@pytest.mark.parametrize("announced", [0, 1, 3])
def test_history_run_killed_from_outside_loses_nothing(tmp_path, blocks, announced):
    path = tmp_path / "run.h5"
    for _ in range(2):
        seen = []
        with start(RUN + "\nrun(sys.argv[1])", path) as process:
            for line in process.stdout:
                seen.append(line.strip())
                if len(seen) > announced:
                    process.kill()
        if path.exists():
            break
        check(path, blocks, max((int(text) + 1 for text in seen if text != "finished"), default=0))
    if not path.exists():
        finish_and_compare(path, blocks)
    with open_history(path) as history:
        assert len(history.time) == 600


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
def test_history_run_killed_at_every_touch_of_the_disk_loses_nothing(tmp_path, blocks):
    with start(RUN + DIE_AT, tmp_path) as process:
        lines = process.stdout.read().splitlines()
    assert lines[-1] == "finished"
    moments, announced = [], 0
    for line in lines:
        if line.startswith("killed"):
            moments.append((line.split()[1], announced))
            announced = 0
        elif line.isdigit():
            announced = int(line) + 1
    # Six calls for each of three blocks: open, two writes, sync, move, sync; then the merge.
    assert len(moments) > 3 * 6
    reached = set()
    for moment, at_least in moments:
        path = tmp_path / f"{moment}.h5"
        if not path.exists():
            reached.add(check(path, blocks, at_least))
            finish_and_compare(path, blocks)
        assert len(open_history(path).time) == 600
    assert reached == set(range(4))
