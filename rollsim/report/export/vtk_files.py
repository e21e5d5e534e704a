"""The moving mechanism as a series of VTK files (XML, one a frame) and the list of their times."""

from __future__ import annotations

import base64
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np

from rollsim.errors import HistoryError
from rollsim.history.layout import LANDS
from rollsim.report.export.mechanism import BAR, COVER, PARTS, ROLLER, Mechanism
from rollsim.report.export.rows import Selection, sampled_pieces

#: Frames where the user names no step.
USUAL_FRAMES = 500
COLLECTION = "mechanism.pvd"
FRAMES = "mechanism"
_MOTION = ("roller_position", "roller_velocity", "roller_azimuth", "roller_skew", "roller_tilt",
           "cage_position", "cage_angle", "cage_tilt", "pocket_force", "raceway_force",
           "land_force")  # fmt: skip
_PEAKS = ("pocket_force", "raceway_force")
_TYPES = {"float64": "Float64", "int64": "Int64", "uint8": "UInt8"}
_VERTEX = 1
_NAME = re.compile(r"(motion|forces)_\d{6}\.vtu")


def write_vtk(history: Any, chosen: Selection, folder: Path) -> list[Path]:
    """Write frames and their list.

    Every frame is two files: `motion` with rollers and cage (cells with part, number and the
    largest contact force of the body in the interval), and `forces` with a point for each roller
    and land (its forces on the cage as a vector at the instant, largest forces in the interval).

    Parameters
    ----------
    history : History
        Open for reading.
    chosen : Selection
        Which samples; one a frame.
    folder : Path
        Existing folder; frames of an earlier export there are replaced.

    Returns
    -------
    list of Path
        The list of frames, and the folder with the frames.

    Raises
    ------
    HistoryError
        The history lacks a channel that is needed.
    """
    lacking = [name for name in _MOTION if name not in history.names("history")]
    lacking += [f"peak/{name}" for name in _PEAKS if name not in history.names("peak")]
    if lacking:
        raise HistoryError(f"{history.path} lacks what the motion needs: {', '.join(lacking)}.")
    shape = Mechanism(history)
    frames = folder / FRAMES
    frames.mkdir(exist_ok=True)
    for old in frames.iterdir():
        if _NAME.fullmatch(old.name):
            old.unlink()
    entries = []
    for number, (time, now, peak) in enumerate(_frames(history, chosen)):
        names = (f"motion_{number:06d}.vtu", f"forces_{number:06d}.vtu")
        contents = (_motion(shape, now, peak), _forces(shape, now, peak))
        for part, (name, content) in enumerate(zip(names, contents, strict=True)):
            (frames / name).write_text(content, encoding="ascii")
            entries.append(
                f'<DataSet timestep="{time:.9g}" group="" part="{part}" file="{FRAMES}/{name}"/>'
            )
    path = folder / COLLECTION
    body = "\n".join(entries)
    path.write_text(_file("Collection", f"<Collection>\n{body}\n</Collection>"), encoding="ascii")
    return [path, frames]


def _frames(history: Any, chosen: Selection) -> Iterator[tuple[float, dict, dict]]:
    """Time, channels at the instant and largest forces of the interval, frame by frame."""
    wanted = {"history": _MOTION, "peak": _PEAKS}
    for piece in sampled_pieces(history, chosen, wanted):
        for k, time in enumerate(piece["history"]["time"]):
            now = {name: np.asarray(piece["history"][name][k], dtype=float) for name in _MOTION}
            peak = {name: np.asarray(piece["peak"][name][k], dtype=float) for name in _PEAKS}
            yield float(time), now, peak


def _motion(shape: Mechanism, now: dict, peak: dict) -> str:
    """Rollers and cage of a frame."""
    mesh, pocket = shape.mesh, peak["pocket_force"]
    force = np.zeros(len(mesh.cells))
    bars = np.maximum(pocket[:, 0], np.roll(pocket[:, 1], -1))
    for part, values in ((ROLLER, pocket.max(axis=1)), (BAR, bars)):
        own = mesh.parts == part
        force[own] = values[mesh.numbers[own] - 1]
    for part, column in ((COVER - 1, 2), (COVER, 3)):
        force[mesh.parts == part] = pocket[:, column].max()
    cells = {
        "part": mesh.parts.astype(np.int64),
        "number": mesh.numbers.astype(np.int64),
        "largest_pocket_force_N": force,
    }
    return _grid(shape.points(now), mesh.cells, mesh.kinds, {}, cells)


def _forces(shape: Mechanism, now: dict, peak: dict) -> str:
    """Points where forces act: rollers, then lands."""
    pocket, angle, count = now["pocket_force"], now["roller_azimuth"], shape.count
    lands = now["cage_position"] + np.array([[0.0, 0.0, -shape.half], [0.0, 0.0, shape.half]])
    push = pocket[:, 0] - pocket[:, 1]
    on_cage = np.stack(
        [-push * np.sin(angle), push * np.cos(angle), pocket[:, 3] - pocket[:, 2]], axis=1
    )
    rest = np.zeros((len(LANDS), 1))
    points = np.concatenate([now["roller_position"], lands])
    data = {
        "number": np.concatenate([np.arange(1, count + 1), np.zeros(len(LANDS), dtype=np.int64)]),
        "force_on_cage_N": np.concatenate([on_cage, now["land_force"]]),
        "velocity_m_per_s": np.concatenate([now["roller_velocity"], np.tile(rest, 3)]),
        "largest_pocket_force_N": np.concatenate([peak["pocket_force"], np.tile(rest, 4)]),
        "largest_raceway_force_N": np.concatenate([peak["raceway_force"], np.tile(rest, 2)]),
    }
    cells = [np.array([k]) for k in range(len(points))]
    return _grid(points, cells, np.full(len(cells), _VERTEX), data, {})


def _grid(points: np.ndarray, cells: list, kinds: np.ndarray, at: dict, of: dict) -> str:
    """An unstructured grid with data at its points and of its cells."""
    ends = np.cumsum([len(cell) for cell in cells])
    parts = [
        f'<Piece NumberOfPoints="{len(points)}" NumberOfCells="{len(cells)}">',
        "<Points>", _array("Points", points), "</Points>",
        "<Cells>",
        _array("connectivity", np.concatenate(cells).astype(np.int64)),
        _array("offsets", ends.astype(np.int64)),
        _array("types", np.asarray(kinds, dtype=np.uint8)),
        "</Cells>",
        "<PointData>", *(_array(name, values) for name, values in at.items()), "</PointData>",
        "<CellData>", *(_array(name, values) for name, values in of.items()), "</CellData>",
        "</Piece>",
    ]  # fmt: skip
    body = "\n".join(parts)
    return _file("UnstructuredGrid", f"<UnstructuredGrid>\n{body}\n</UnstructuredGrid>")


def _array(name: str, values: np.ndarray) -> str:
    """Numbers, packed: their length in bytes and the bytes, in base 64."""
    values = np.ascontiguousarray(values)
    kind = _TYPES[values.dtype.name]
    content = values.astype(values.dtype.newbyteorder("<")).tobytes()
    head = np.uint32(len(content)).astype("<u4").tobytes()
    text = base64.b64encode(head + content).decode("ascii")
    width = f' NumberOfComponents="{values.shape[1]}"' if values.ndim > 1 else ""
    return f'<DataArray type="{kind}" Name="{name}"{width} format="binary">{text}</DataArray>'


def _file(kind: str, body: str) -> str:
    """A file of that kind."""
    return (
        '<?xml version="1.0"?>\n'
        f'<VTKFile type="{kind}" version="0.1" byte_order="LittleEndian" header_type="UInt32">\n'
        f"{body}\n</VTKFile>\n"
    )


def parts_in_words() -> str:
    """What the codes of `part` mean.

    Returns
    -------
    str

    >>> parts_in_words()
    '0 roller, 1 bar, 2 base ring, 3 cover'
    """
    return ", ".join(f"{code} {name}" for code, name in enumerate(PARTS))
