"""Writing a run block by block so that no finished block can be lost."""

import os
import shutil
from datetime import UTC, datetime
from pathlib import Path

import rollsim
from rollsim.errors import RunError
from rollsim.history.black_box import black_box_path
from rollsim.history.block import block_tables
from rollsim.history.files import (
    checksum_of,
    plain_reason,
    remove_quietly,
    require_room,
    sync_folder,
    write_whole,
)
from rollsim.history.layout import FORMAT, FORMAT_VERSION, TABLE_GROUPS
from rollsim.history.locks import RunLock
from rollsim.history.merge import Merger
from rollsim.history.packing import packed_tables
from rollsim.history.resume import read_resume_point
from rollsim.history.segments import (
    numbered_segments,
    opened_segment,
    parts_folder,
    segment_image,
    segment_path,
    whole_segments,
)
from rollsim.history.sidecar import (
    FAILED,
    FINISHED,
    RUNNING,
    STOPPED,
    sidecar_path,
    write_sidecar,
)
from rollsim.history.totals import START, time_left, totals_after, wall_time

_MERGED_NAME = "merged.h5.tmp"
# Bytes that an output takes besides its rows: names, dimensions, attributes, checkpoint.
_ROOM = 1 << 20


class SegmentWriter:
    """Writer of one run; every appended block is safe on the disk when `append` returns.

    Blocks go into whole files in the folder `<path>.parts`, and besides into one file there that
    `finish` completes and moves to `path`. That one counts for nothing before: a run that goes on
    makes it again from the blocks. Leaving a `with` statement without `finish` keeps the blocks for
    `continue_run`.

    Parameters
    ----------
    path : str or Path
        Output file.
    attributes : dict
        Root attributes of the file; `roller_count` is needed, `settle_s` is used.
    overwrite : bool
        Remove an earlier output, finished or not, under this path.
    modes : dict of ndarray or None
        What the modes of the cage are (names as in `layout.MODES`); `mode_count` of the attributes
        is their number.

    Raises
    ------
    RunError
        When an output exists and overwriting is not allowed, another run writes to it, or the
        place cannot be written.
    """

    def __init__(self, path, attributes, overwrite=False, modes=None):
        self._prepare(path)
        self._roller_count = _roller_count(attributes)
        self._modes = modes
        if self.path.exists() and not overwrite:
            raise RunError(f"{self.path} exists already. Choose another output, or overwrite it.")
        try:
            self.folder.mkdir(exist_ok=True)
            self._lock = RunLock(self.folder)
        except OSError as problem:
            raise RunError(f"Cannot write to {self.folder}: {plain_reason(problem)}.") from problem
        try:
            self._clear(overwrite)
        except BaseException:
            self.close()
            raise
        self.attributes = {
            "format": FORMAT,
            "format_version": FORMAT_VERSION,
            "rollsim_version": rollsim.__version__,
            "created": datetime.now(UTC).isoformat(timespec="seconds"),
            **attributes,
            "status": "running",
        }

    @classmethod
    def continue_run(cls, path):
        """Go on with an unfinished run after its last whole block.

        Damaged files after that block are removed. The state to start from is in `resume`.

        Parameters
        ----------
        path : str or Path
            Output file of the run.

        Returns
        -------
        SegmentWriter
            Ready for the next block.

        Raises
        ------
        RunError
            When there is nothing to go on with, or another process writes to it.
        """
        writer = cls.__new__(cls)
        writer._prepare(path)
        if writer.path.exists():
            raise RunError(f"{writer.path} is complete: there is nothing to go on with.")
        if not writer.folder.is_dir():
            raise RunError(f"There is no unfinished run for {writer.path}.")
        try:
            writer._lock = RunLock(writer.folder)
        except OSError as problem:
            reason = plain_reason(problem)
            raise RunError(f"Cannot write to {writer.folder}: {reason}.") from problem
        try:
            writer._take_over()
        except BaseException:
            writer.close()
            raise
        return writer

    def _prepare(self, path):
        """Set what every start has in common."""
        self.path = Path(path)
        self.folder = parts_folder(path)
        self.segments = 0
        self.end_time = 0.0
        self.resume = None
        self._lock = None
        self.message = ""
        self._totals = dict(START)
        self._last_block = ""
        self._speed = None
        self._names = None
        self._modes = None
        self._merger = None
        self._why = None

    def _clear(self, overwrite):
        """Remove an earlier output, or refuse to."""
        whole = whole_segments(self.folder)
        if whole and not overwrite:
            raise RunError(
                f"{self.folder} holds {len(whole)} finished blocks of an earlier run. "
                "Go on with that run, choose another output, or overwrite it."
            )
        try:
            for segment in numbered_segments(self.folder).values():
                os.remove(segment)
            sidecar_path(self.folder).unlink(missing_ok=True)
            self.path.unlink(missing_ok=True)
            black_box_path(self.path).unlink(missing_ok=True)
        except OSError as problem:
            reason = plain_reason(problem)
            raise RunError(f"Cannot remove the earlier {self.path}: {reason}.") from problem

    def _take_over(self):
        """Take the state from the last whole segment and remove what follows it."""
        whole = whole_segments(self.folder)
        if not whole:
            raise RunError(f"{self.folder} holds no finished block: start the run afresh.")
        for segment in set(numbered_segments(self.folder).values()) - set(whole):
            remove_quietly(segment)
        self.resume = read_resume_point(whole)
        self.attributes = self.resume.attributes
        self.segments, self.end_time = self.resume.segments, self.resume.end_time
        self._totals = {name: self.attributes.get(name) for name in START}
        self._last_block = checksum_of(whole[-1])
        self._roller_count = _roller_count(self.attributes)
        with opened_segment(whole[-1]) as file:
            self._names = _names(file)

    def append(self, block):
        """Write one block as a whole file; it is safe when this returns.

        Parameters
        ----------
        block : Block
            Next stretch of simulated time.

        Raises
        ------
        RunError
            When it cannot be written; earlier blocks stay safe, and appending the same block
            again is allowed.
        ValueError
            When the block does not fit the layout or does not follow the one before.
        """
        if self._lock is None:
            raise ValueError("this writer is closed")
        tables = block_tables(block, self._roller_count, int(self.attributes.get("mode_count", 0)))
        time = tables["history"]["time"]
        if len(time) and time[0] <= self._totals["last_sample_s"]:
            last = self._totals["last_sample_s"]
            raise ValueError(f"the block starts at {time[0]} s, not after {last} s")
        if self._names not in (None, _names(tables)):
            raise ValueError("the block holds other channels than the one before")
        totals = totals_after(self._totals, tables, float(self.attributes.get("settle_s", 0.0)))
        modes = None if self.segments else self._modes
        packed = packed_tables(tables)
        image = segment_image(packed, block.checkpoint, {**self.attributes, **totals}, modes)
        try:
            self._write_segment(image)
        except OSError as problem:
            raise RunError(self._failure("The next block", problem)) from problem
        self._names = _names(tables)
        self.segments += 1
        end, spent = float(tables["quality"]["end_time"][0]), wall_time(tables)
        self._speed = (end - self.end_time) / spent if spent > 0.0 else None
        self.end_time, self._totals = end, totals
        self._tell(RUNNING)
        self._merge_along(packed, block.checkpoint, len(image))

    def _write_segment(self, image):
        """Write the next segment; where the disk is full, the output made beside gives way."""
        path = segment_path(self.folder, self.segments)
        try:
            self._last_block = write_whole(path, image)
        except OSError:
            if self._merger is None:
                raise
            self._drop_merger()
            self._last_block = write_whole(path, image)

    def _merge_along(self, packed, checkpoint, size):
        """Put the block that is safe now into the output too, so that little is left for the end.

        A failure counts for nothing: `finish` tries again from the blocks, and tells.
        """
        if self._merger is None and self.segments > 1:
            return
        try:
            require_room(self.folder, 2 * size + _ROOM)
            if self._merger is None:
                self._merger = Merger(self.folder / _MERGED_NAME)
            self._merger.add(packed, checkpoint, self._modes)
        except (OSError, RuntimeError):
            self._drop_merger()

    def _drop_merger(self):
        """Remove the unfinished output."""
        merger, self._merger = self._merger, None
        if merger is not None:
            merger.drop()

    def _tell(self, state, why=""):
        """Leave word beside the blocks of how the run goes; never a reason to end it."""
        duration, spent = self.attributes.get("duration_s"), self._totals["wall_time_s"]
        own = {
            "state": state,
            "why": why,
            "message": self.message,
            "process": self._lock.note if self._lock else {},
            "last_block": self._last_block,
            "blocks": self.segments,
            "simulated_s": self.end_time,
            "duration_s": None if duration is None else float(duration),
            "wall_time_s": spent,
            "speed": self._speed,
            "time_left_s": time_left(self.end_time, duration, spent),
            "peak_pocket_force_N": self._totals["largest_pocket_force_N"],
            "steps": self._totals["steps_taken"],
            "rejected": self._totals["steps_refused"],
        }
        write_sidecar(self.folder, own)

    def finish(self, status="finished"):
        """Merge all blocks into the output file, put it in place and remove the folder.

        Parameters
        ----------
        status : str
            "finished" or "stopped: <reason>".

        Returns
        -------
        Path
            The output file.

        Raises
        ------
        RunError
            When there is no block, or the file cannot be written; the blocks stay safe then.
        """
        if not self.segments:
            self.close()
            raise RunError(f"No block was finished, so there is nothing to write to {self.path}.")
        attributes = {**self.attributes, **self._totals, "status": status}
        self._tell(FINISHED if status == "finished" else FAILED, status)
        try:
            self._merge(attributes)
        except (OSError, RuntimeError) as problem:
            self._drop_merger()
            remove_quietly(self.folder / _MERGED_NAME)
            raise RunError(self._failure(f"The file {self.path}", problem)) from problem
        self.close()
        shutil.rmtree(self.folder, ignore_errors=True)
        return self.path

    def _merge(self, attributes):
        """Complete the output, made afresh where this process did not write every block."""
        merged = self.folder / _MERGED_NAME
        paths = [segment_path(self.folder, index) for index in range(self.segments)]
        missing = paths if self._merger is None else paths[-2:]
        sizes = [path.stat().st_size for path in missing if path.exists()]
        require_room(self.folder, sum(sizes) + _ROOM)
        if self._merger is None:
            self._merger = Merger(merged)
            for path in paths:
                self._merger.add_segment(path)
        self._merger.finish(attributes)
        self._merger = None
        os.replace(merged, self.path)
        sync_folder(self.path.resolve().parent)

    def _failure(self, what, problem):
        """Message for a failed write: what, why, what is safe and where."""
        safe = "No block was finished before."
        if self.segments:
            safe = (
                f"The {self.segments} finished blocks, up to {self.end_time:g} s of simulated "
                f"time, are safe in {self.folder}; start the same run again to go on from there."
            )
        self._tell(FAILED, f"{what} could not be written: {plain_reason(problem)}")
        return f"{what} could not be written: {plain_reason(problem)}. {safe}"

    def leave(self, why):
        """Close, and leave word of why the run ends here although it is not finished.

        Parameters
        ----------
        why : str
            Words that follow "stopped".
        """
        self._why = why
        self._tell(STOPPED, why)
        self.close()

    def close(self):
        """Let go of the output and keep the blocks; an empty folder is removed."""
        self._drop_merger()
        if self._lock is None:
            return
        lock, self._lock = self._lock, None
        lock.release(clear_note=True, why=self._why)
        if not numbered_segments(self.folder):
            shutil.rmtree(self.folder, ignore_errors=True)

    def __enter__(self):
        """Return the writer itself."""
        return self

    def __exit__(self, kind, problem, _):
        """Close; the blocks stay."""
        if kind is KeyboardInterrupt and self._lock:
            self._why = "at once, by Ctrl-C"
            self._tell(STOPPED, self._why)
        elif self._lock and problem and not isinstance(problem, RunError):
            self._tell(FAILED, f"{kind.__name__}: {problem}")
        self.close()


def _names(groups):
    """Names of all channels, by group."""
    return {group: frozenset(groups[group]) for group in TABLE_GROUPS}


def _roller_count(attributes):
    """Number of rollers, which every shape depends on."""
    if "roller_count" not in attributes:
        raise ValueError("the attributes must hold roller_count")
    return int(attributes["roller_count"])
