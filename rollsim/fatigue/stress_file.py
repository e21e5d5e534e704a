"""Histories of closure forces and hot-spot stress in a file of their own, beside the history.

An HDF5 file that netCDF-4 readers understand: named dimensions, units and meaning at every dataset.

- time (s): the evaluated samples of the history;
- closure_force (time, closure, force component) in N and closure_moment (time, closure, moment
  component) in N m: in the plane between cover and bar, with preload, at the sample;
- stress (time, place) in Pa: local stress (notch factor included), with preload, of the most
  damaged point of every bar at every sort of place, at the sample; largest_stress and least_stress:
  the same over the states of the interval that ends at the sample (`loads`).
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from rollsim import __version__
from rollsim.errors import RollsimError
from rollsim.fatigue.evaluate import point_stress
from rollsim.fatigue.loads import STATES, settled_span
from rollsim.fatigue.recovered import ForceSource
from rollsim.fatigue.result import FatigueResult
from rollsim.fatigue.vibrations import modes_of
from rollsim.history.attributes import write_attributes
from rollsim.history.files import plain_reason
from rollsim.structure.hot_spots import HotSpot, hot_spots
from rollsim.structure.modal_recovery import MODAL, modal_recovery
from rollsim.structure.recovery import StaticRecovery, cage_recovery

FORMAT, FORMAT_VERSION = "rollsim stress", 1
FORCE_COMPONENTS = ("axial", "shear_r", "shear_t")
MOMENT_COMPONENTS = ("torsion", "moment_r", "moment_t")
_CHUNK_ROWS = 1000
_AXES = (
    "r outward, t in the sense of positive rotation of the cage; as the side of the cover puts them"
    " on the side of the base"
)
#: Name, unit, dimensions, meaning of what has one row a sample.
_SERIES = (
    ("closure_force", "N", ("closure", "force_component"), f"force in the closure; {_AXES}"),
    ("closure_moment", "N m", ("closure", "moment_component"), f"moment in the closure; {_AXES}"),
    ("stress", "Pa", ("place",), "local stress of the most damaged point at the sample"),
    ("largest_stress", "Pa", ("place",), "largest local stress within the interval"),
    ("least_stress", "Pa", ("place",), "least local stress within the interval"),
)


def write_stress_file(history, result: FatigueResult, path: str | Path) -> Path:
    """Write closure forces and hot-spot stress of a history, piece by piece.

    The file appears whole or not at all; an earlier one of the same name is replaced.

    Parameters
    ----------
    history : History
        Opened history.
    result : FatigueResult
        Verdict on the same history: points and method.
    path : str or Path
        File to write.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    RollsimError
        The file is the history itself, or cannot be written.
    """
    import h5py

    path = Path(path)
    if path.is_dir() or path.resolve() == Path(getattr(history, "path", "")).resolve():
        raise RollsimError(f"{path} is no place for a stress file: name a new file.")
    aside = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        with h5py.File(aside, "w") as file:
            _fill(file, history, result)
        os.replace(aside, path)
    except OSError as problem:
        raise RollsimError(f"{path} cannot be written: {plain_reason(problem)}.") from problem
    finally:
        aside.unlink(missing_ok=True)
    return path


def _fill(file, history, result: FatigueResult) -> None:
    """Write everything into an open file."""
    case = history.case
    recovery = cage_recovery(case)
    known = {
        spot.name: spot for spot in hot_spots(recovery.frame.design, case.fatigue.notch_factor)
    }
    spots = [(known[own.name], own.point) for own in result.spots]
    time = settled_span(history).time
    attributes = {name: history.attributes.get(name) for name in ("case_name", "case_text")}
    write_attributes(
        file,
        {
            "format": FORMAT,
            "format_version": FORMAT_VERSION,
            "rollsim_version": __version__,
            "history": Path(getattr(history, "path", "")).name,
            "method": result.method,
            **attributes,
        },
    )
    _make_tables(file, recovery, spots)
    places = tuple(dict.fromkeys(("interface", *(spot.field for spot, _ in spots))))
    modal = modal_recovery(recovery, modes_of(history)) if result.method == MODAL else None
    source = ForceSource(history, [time], recovery, places, result.method, modal)
    first = 0
    for rows in _rows(source, spots):
        last = first + len(rows["stress"])
        for name, values in {"time": time[first:last], **rows}.items():
            file[name].resize(last, axis=0)
            file[name][first:last] = values
        first = last


def _make_tables(file, recovery: StaticRecovery, spots: list) -> None:
    """Empty datasets with their dimensions, units and meaning."""
    import h5py

    text = h5py.string_dtype()
    labels = [f"{spot.name}, bar {j + 1}" for spot, _ in spots for j in spot.bars]
    file.create_dataset("time", (0,), "f8", maxshape=(None,), chunks=(_CHUNK_ROWS,))
    file.create_dataset("closure", data=recovery.frame.design.closure_bars + 1, dtype="i4")
    file.create_dataset("force_component", data=list(FORCE_COMPONENTS), dtype=text)
    file.create_dataset("moment_component", data=list(MOMENT_COMPONENTS), dtype=text)
    file.create_dataset("place", data=labels, dtype=text)
    meanings = {
        "time": "simulated time of the sample",
        "closure": "bar of the closure, counted from 1",
        "place": "sort of place and its bar, counted from 1",
    }
    for name in ("time", "closure", "force_component", "moment_component", "place"):
        file[name].make_scale(name)
        file[name].attrs["long_name"] = meanings.get(name, "component of a section force")
    file["time"].attrs["units"] = "s"
    for name, unit, dims, meaning in _SERIES:
        shape = tuple(len(file[dim]) for dim in dims)
        # A cage in one piece has no closures; a chunk must not be empty all the same.
        chunk = (_CHUNK_ROWS, *(max(length, 1) for length in shape))
        data = file.create_dataset(
            name, (0, *shape), "f4", maxshape=(None, *shape), chunks=chunk,
            compression="gzip", compression_opts=1, shuffle=True,
        )  # fmt: skip
        data.attrs["units"], data.attrs["long_name"] = unit, f"{meaning}; preload included"
        for axis, dim in enumerate(("time", *dims)):
            data.dims[axis].attach_scale(file[dim])


def _rows(source: ForceSource, spots: list[tuple[HotSpot, np.ndarray]]) -> Iterator[dict]:
    """Values of the series, piece by piece."""
    before, bars = source.recovery.preload, source.recovery.frame.design.closure_bars
    for forces in source.pieces(0):
        total = (forces.interface + before.interface)[STATES - 1 :: STATES, bars]
        stress = []
        for spot, points in spots:
            still = spot.stress(getattr(before, spot.field)[spot.bars])
            static = still[np.arange(len(points)), points]
            stress.append(point_stress(spot, points, forces).T + static)
        states = np.concatenate(stress, axis=1)
        states = states.reshape(-1, STATES, states.shape[1])
        yield {
            "closure_force": total[..., :3],
            "closure_moment": total[..., 3:],
            "stress": states[:, -1],
            "largest_stress": states.max(axis=1),
            "least_stress": states.min(axis=1),
        }
