"""Prove that a killed run loses nothing: kills at random moments, and at every touch of the disk.

    python scripts/prove_storage.py                    # 50 random kills, every call of one commit
    python scripts/prove_storage.py --kills 5 --every 9   # a shorter look; --part takes one part

A small run with all datasets that a run can have is killed (SIGKILL) again and again and continued.
After every kill: all files are readable, no block that was finished is lost. At the end: every
dataset is that of a run that was never killed, bit for bit. Needs Linux and a C compiler for the
second part, which kills at every single write, truncate, sync, rename and unlink, before and after
the call and, for writes, half way.
"""

import argparse
import ctypes
import hashlib
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[1]
CASE = REPOSITORY / "tests" / "data" / "case_six_rollers.toml"
#: Few rollers, because that is quicker; all datasets of a run, those of the vibrating cage too.
CHANGES = {
    "duty.duration_s": 0.06,
    "duty.settle_s": 0.01,
    "output.segment_s": 0.01,
    "cage.elastic_modes": 80,
}
BLOCKS = 6

# Counts the calls that touch files of one folder; at the wanted one the process dies.
SHIM = r"""
#define _GNU_SOURCE
#include <dlfcn.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

enum { BEFORE, TORN, AFTER };
static char folder[4096];
static long wanted, seen, writes;
static int how, armed;

void arm(const char *where, long number, int moment)
{
    strncpy(folder, where, sizeof folder - 1);
    wanted = number; how = moment; seen = 0; writes = 0; armed = 1;
}
void disarm(void) { armed = 0; }
long calls(void) { return seen; }

static int ours(const char *path) { return armed && !strncmp(path, folder, strlen(folder)); }
static int our_file(int file)
{
    char link[64], path[4096];
    if (!armed) return 0;
    snprintf(link, sizeof link, "/proc/self/fd/%d", file);
    ssize_t size = readlink(link, path, sizeof path - 1);
    if (size < 0) return 0;
    path[size] = 0;
    return ours(path);
}
static int at(int moment) { return seen == wanted && how == moment; }
static void die(void) { kill(getpid(), SIGKILL); for (;;) pause(); }

#define CALL(name) ((__typeof__(&name)) dlsym(RTLD_NEXT, #name))
#define PLAIN(type, name, parameters, arguments, test) \
    type name parameters { \
        if (!(test)) return CALL(name) arguments; \
        seen++; \
        if (at(BEFORE)) die(); \
        type answer = CALL(name) arguments; \
        if (at(AFTER) || at(TORN)) die(); \
        return answer; }

ssize_t write(int file, const void *data, size_t size)
{
    if (!our_file(file)) return CALL(write)(file, data, size);
    seen++;
    if (at(BEFORE)) die();
    ssize_t answer = CALL(write)(file, data, at(TORN) ? size / 2 : size);
    if (at(AFTER) || at(TORN)) die();
    return answer;
}
#define PWRITE(name, offset_type) \
    ssize_t name(int file, const void *data, size_t size, offset_type offset) { \
        if (!our_file(file)) return CALL(name)(file, data, size, offset); \
        seen++; \
        if (at(BEFORE)) die(); \
        ssize_t answer = CALL(name)(file, data, at(TORN) ? size / 2 : size, offset); \
        if (at(AFTER) || at(TORN)) die(); \
        return answer; }
PWRITE(pwrite, off_t)
PWRITE(pwrite64, off64_t)
PLAIN(int, ftruncate, (int file, off_t size), (file, size), our_file(file))
PLAIN(int, ftruncate64, (int file, off64_t size), (file, size), our_file(file))
PLAIN(int, fsync, (int file), (file), our_file(file))
PLAIN(int, fdatasync, (int file), (file), our_file(file))
PLAIN(int, rename, (const char *old, const char *new), (old, new), ours(old))
PLAIN(int, unlink, (const char *path), (path), ours(path))
"""
MOMENTS = {"before": 0, "half way": 1, "after": 2}


class Proof:
    """One run, its unbroken twin, and the count of what was tried."""

    def __init__(self, folder):
        from rollsim.case.change import changed_case
        from rollsim.case.read import load_case
        from rollsim.structure.elasticity import cage_elasticity

        self.folder = Path(folder)
        self.case = changed_case(load_case(CASE), CHANGES)
        self.elasticity = cage_elasticity(self.case)
        self.kills = self.completions = 0
        self.run(self.folder / "warm.h5")
        whole = self.folder / "whole.h5"
        began = time.monotonic()
        # In a process of its own, as the killed ones: what it takes to begin belongs to it.
        ended(forked(lambda: self.run(whole)))
        self.seconds = time.monotonic() - began
        self.wanted, self.datasets = digest(whole)

    def run(self, path):
        """Start or continue the run."""
        from rollsim.simulation.run import run

        run(self.case, path, elasticity=self.elasticity)

    def look(self, path, finished):
        """After a kill: everything readable, every block that was finished still there."""
        from rollsim.history import open_history, status_summary
        from rollsim.history.segments import parts_folder, whole_segments

        self.kills += 1
        if not self.kills % 10:
            print(f"{self.kills} kills so far, {self.completions} completions", flush=True)
        if not path.exists():
            whole = {segment.name for segment in whole_segments(parts_folder(path))}
            lost = set(finished) - whole
            if lost:
                raise SystemExit(f"{path}: finished blocks lost: {sorted(lost)}")
            if not whole:
                return
        status_summary(path)
        with open_history(path) as history:
            for group in ("history", "peak", "impacts", "quality"):
                for name in history.names(group):
                    history.raw(group, name)

    def complete(self, path):
        """Continue to the end; the result is that of the unbroken run."""
        self.run(path)
        found, _ = digest(path)
        differing = [name for name, value in self.wanted.items() if found.get(name) != value]
        if differing or len(found) != len(self.wanted):
            raise SystemExit(f"{path}: not the same as the unbroken run: {differing}")
        if Path(f"{path}.parts").exists():
            raise SystemExit(f"{path}.parts was left behind")
        self.completions += 1
        path.unlink()


def digest(path):
    """Sum of every dataset, and their number; computing times are left out."""
    import h5py
    import numpy as np

    sums = {}

    def take(name, item):
        if isinstance(item, h5py.Dataset) and not name.endswith("wall_time"):
            values = np.asarray(item[()])
            content = repr(values.tolist()).encode() if values.dtype.hasobject else values.tobytes()
            sums[name] = hashlib.sha256(f"{item.dtype}{item.shape}".encode() + content).hexdigest()

    with h5py.File(path, "r") as file:
        file.visititems(take)
    return sums, len(sums)


def forked(action):
    """Run an action in a child process; its process id."""
    child = os.fork()
    if child:
        return child
    try:
        action()
        os._exit(0)
    except BaseException as problem:
        print(f"child: {type(problem).__name__}: {problem}", file=sys.stderr)
        os._exit(1)


def ended(child):
    """True when a child came to its end by itself, False when it was killed."""
    status = os.waitpid(child, 0)[1]
    if os.WIFSIGNALED(status) and os.WTERMSIG(status) == signal.SIGKILL:
        return False
    if status:
        raise SystemExit(f"a run ended with status {status}")
    return True


def random_kills(proof, kills, seed=1):
    """Kill runs at random moments, continue each until it ends."""
    from rollsim.history.segments import numbered_segments, parts_folder

    draw = random.Random(seed)
    wanted, run = proof.kills + kills, 0
    while proof.kills < wanted:
        path = proof.folder / f"random_{run}.h5"
        run += 1
        killed = True
        while killed and proof.kills < wanted:
            child = forked(lambda path=path: proof.run(path))
            time.sleep(draw.uniform(0.0, 1.2 * proof.seconds))
            finished = [file.name for file in numbered_segments(parts_folder(path)).values()]
            os.kill(child, signal.SIGKILL)
            killed = not ended(child)
            if killed:
                proof.look(path, finished)
        proof.complete(path)


def every_call(proof, shim, name, prepared, act, which):
    """Kill at every call that touches the disk while an action goes on from a prepared state.

    `which` is the first call to kill at, and of how many each one is taken after the twelfth.
    """
    from rollsim.history.segments import numbered_segments, parts_folder

    library = ctypes.CDLL(str(shim))
    (first, every), calls = which, 0
    number = first - 1
    while True:
        number += 1
        survived = False
        for moment in MOMENTS.values():
            if number % every and number > 12:
                continue
            path = proof.folder / f"{name}_{number}_{moment}.h5"
            shutil.copytree(parts_folder(prepared), parts_folder(path))
            finished = [file.name for file in numbered_segments(parts_folder(path)).values()]

            def doomed(path=path, number=number, moment=moment):
                library.arm(str(path).encode(), number, moment)
                act(path)

            if ended(forked(doomed)):
                survived = True
            else:
                calls += 1
                proof.look(path, finished)
            proof.complete(path)
            if survived:
                print(f"{name}: {number - 1} calls, {calls} kills ({', '.join(MOMENTS)})")
                return


def prepare(proof, blocks):
    """A run stopped after some blocks; its path."""
    from rollsim.simulation.run import run
    from rollsim.simulation.stopping import RunStopped

    path = proof.folder / f"prepared_{blocks}.h5"
    left = [blocks]

    def stop():
        left[0] -= 1
        return None if left[0] else "by the proof"

    try:
        run(proof.case, path, elasticity=proof.elasticity, stop=stop)
    except RunStopped:
        return path
    raise SystemExit("the run was not stopped")


def prepare_merge(proof):
    """A run whose blocks are all there, not yet merged; its path."""
    from unittest.mock import patch

    path = proof.folder / "prepared_merge.h5"
    try:
        with patch("rollsim.history.writer.SegmentWriter.finish", side_effect=InterruptedError):
            proof.run(path)
    except InterruptedError:
        return path
    raise SystemExit("the run was not stopped")


def one_block(proof):
    """Action: go on by one block."""
    from rollsim.simulation.run import run
    from rollsim.simulation.stopping import RunStopped

    def act(path):
        try:
            run(proof.case, path, elasticity=proof.elasticity, stop=lambda: "after a block")
        except RunStopped:
            return

    return act


def built_shim(folder):
    """Compile the shim, or None without a C compiler."""
    compiler = shutil.which("cc") or shutil.which("gcc")
    if sys.platform != "linux" or compiler is None:
        return None
    source, target = Path(folder) / "shim.c", Path(folder) / "shim.so"
    source.write_text(SHIM)
    subprocess.run([compiler, "-shared", "-fPIC", "-O1", "-o", target, source, "-ldl"], check=True)
    return target


def main():
    """Prove it and print the counts."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--kills", type=int, default=50, help="kills at random moments")
    parser.add_argument("--every", type=int, default=1, help="kill at every n-th call only")
    parser.add_argument("--first", type=int, default=1, help="begin with this call")
    parser.add_argument(
        "--part", choices=["random", "commit", "merge"], action="append", help="all when not given"
    )
    options = parser.parse_args()
    which = (options.first, options.every)
    parts = options.part or ["random", "commit", "merge"]
    with tempfile.TemporaryDirectory() as folder:
        shim = os.environ.get("ROLLSIM_SHIM")
        if not shim:
            built = built_shim(folder)
            if built:
                own = {**os.environ, "LD_PRELOAD": str(built), "ROLLSIM_SHIM": str(built)}
                return subprocess.run([sys.executable, *sys.argv], env=own).returncode
        proof = Proof(folder)
        print(f"{proof.datasets} datasets, {BLOCKS} blocks, unbroken run {proof.seconds:.2f} s")
        if "random" in parts:
            random_kills(proof, options.kills)
            print(f"random moments: {proof.kills} kills, {proof.completions} completions")
        if not shim:
            print("kills at every call: left out, they need Linux and a C compiler")
        elif "commit" in parts:
            act = one_block(proof)
            every_call(proof, shim, "commit", prepare(proof, 2), act, which)
        if shim and "merge" in parts:
            every_call(proof, shim, "merge", prepare_merge(proof), proof.run, which)
    print(
        f"{proof.kills} kills: 0 unreadable, 0 finished blocks lost; "
        f"{proof.completions} completions, all bit-identical"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
