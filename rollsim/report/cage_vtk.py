"""The cage as a file that viewers of finite element results read (VTK, legacy text format).

Lines between nodes; motions as vectors at the nodes, to be shown by "warp by vector".
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from rollsim.errors import RollsimError
from rollsim.structure.cage_study import PARTS, CageStudy

_LINE = 3


def write_cage_vtk(study: CageStudy, path: Path) -> Path:
    """Write nodes, beams, deformation and mode shapes.

    Data at the nodes: displacement m, rotation rad (both under the load), and a vector for each
    mode, scaled to a largest motion of 1. Data of the beams: part (0 base ring, 1 bars, 2 cover,
    3 closures) and number (bar or pitch, from 1).

    Parameters
    ----------
    study : CageStudy
        From `rollsim.structure.cage_answers.study_cage`.
    path : Path
        File to write.

    Returns
    -------
    Path

    Raises
    ------
    RollsimError
        The file cannot be written.
    """
    count = len(study.nodes)
    lines = [
        "# vtk DataFile Version 3.0",
        # The format allows 255 letters on this line and no letters beyond ASCII.
        f"Cage of {study.case_name}, lengths in m".encode("ascii", "replace").decode()[:250],
        "ASCII",
        "DATASET UNSTRUCTURED_GRID",
        f"POINTS {count} double",
        *_rows(study.nodes),
        f"CELLS {len(study.lines)} {3 * len(study.lines)}",
        *(f"2 {a} {b}" for a, b in study.lines),
        f"CELL_TYPES {len(study.lines)}",
        *[str(_LINE)] * len(study.lines),
        f"POINT_DATA {count}",
        *_vectors("displacement_m", study.displacement[:, :3]),
        *_vectors("rotation_rad", study.displacement[:, 3:]),
    ]
    for k, (frequency, shape) in enumerate(zip(study.frequencies, study.shapes, strict=True)):
        moves = shape[:, :3] / np.linalg.norm(shape[:, :3], axis=1).max()
        lines += _vectors(f"mode_{k + 1}_{frequency:.1f}_Hz", moves)
    lines.append(f"CELL_DATA {len(study.lines)}")
    lines += _numbers("part", [PARTS.index(part) for part in study.parts])
    lines += _numbers("number", study.numbers + 1)
    try:
        path.write_text("\n".join(lines) + "\n", encoding="ascii")
    except OSError as problem:
        raise RollsimError(f"Cannot write {path}: {problem.strerror}.") from problem
    return path


def _rows(values: np.ndarray) -> list[str]:
    """One line of three numbers a node."""
    return [" ".join(f"{value:.9g}" for value in row) for row in values]


def _vectors(name: str, values: np.ndarray) -> list[str]:
    """A vector at every node."""
    return [f"VECTORS {name} double", *_rows(values)]


def _numbers(name: str, values) -> list[str]:
    """A whole number for every beam."""
    return [f"SCALARS {name} int 1", "LOOKUP_TABLE default", *(str(int(k)) for k in values)]
