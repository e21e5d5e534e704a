"""Tables of a history as CSV or Parquet files, with their units and meanings beside them."""

from __future__ import annotations

import json
import math
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

import rollsim
from rollsim.errors import RollsimError
from rollsim.history.layout import CHANNELS
from rollsim.report.export.rows import (
    SAMPLED,
    Column,
    Selection,
    columns,
    sampled_pieces,
    table_pieces,
)
from rollsim.report.plain_data import CAUTION, json_ready

METADATA = "metadata.json"


def write_tables(history: Any, chosen: Selection, folder: Path, form: str) -> list[Path]:
    """Write every chosen group as one table.

    Parameters
    ----------
    history : History
        Open for reading.
    chosen : Selection
        What to write.
    folder : Path
        Existing folder; tables of the same name are replaced.
    form : str
        "csv" or "parquet".

    Returns
    -------
    list of Path
        The tables, and `metadata.json` with unit and meaning of every column.

    Raises
    ------
    RollsimError
        Parquet without its library.
    """
    writer = {"csv": _Csv, "parquet": _Parquet}[form]
    if form == "parquet":
        _pyarrow()
    about: dict[str, Any] = {}
    written = []
    for group, names in chosen.names.items():
        if not names:
            continue
        path = folder / f"{group}.{form}"
        heads = _heads(history, group, names)
        with _beside(path) as temporary, writer(temporary, heads) as table:
            for piece in _pieces(history, chosen, group, names):
                table.add([_flat(piece[name]) for name in _ordered(group, names)])
            rows = table.rows
        about[path.name] = {"rows": rows, "columns": [_told(head) for head in heads]}
        written.append(path)
    written.append(_write_metadata(history, chosen, folder, about))
    return written


def _ordered(group: str, names: tuple[str, ...]) -> tuple[str, ...]:
    """Channels of a table, the time first."""
    if group not in SAMPLED:
        return names
    return ("time", *(name for name in names if name != "time"))


def _heads(history: Any, group: str, names: tuple[str, ...]) -> list[Column]:
    """All columns of a table."""
    counts = {
        "roller": history.roller_count,
        "mode": int(history.attributes.get("mode_count", 0)),
    }
    table = CHANNELS[group]
    return [head for name in _ordered(group, names) for head in columns(table[name], counts)]


def _pieces(history: Any, chosen: Selection, group: str, names: tuple[str, ...]) -> Iterator:
    """Rows of one group."""
    if group not in SAMPLED:
        yield from table_pieces(history, chosen, group, names)
        return
    for piece in sampled_pieces(history, chosen, {group: names}):
        yield piece[group]


def _flat(values: np.ndarray) -> np.ndarray:
    """Rows of one channel, one column a number."""
    return values.reshape(len(values), -1)


def _told(head: Column) -> dict[str, str]:
    """A column as plain data."""
    return {"name": head.name, "unit": head.unit, "meaning": head.meaning}


@contextmanager
def _beside(path: Path) -> Iterator[Path]:
    """A name to write under; moved into place when all is there, removed otherwise."""
    temporary = path.with_name(f"{path.name}.tmp")
    try:
        yield temporary
        os.replace(temporary, path)
    finally:
        temporary.unlink(missing_ok=True)


class _Csv:
    """A comma-separated table, one line of names with units."""

    def __init__(self, path: Path, heads: list[Column]):
        self._file = path.open("w", encoding="utf-8", newline="\n")
        self._file.write(",".join(f"{head.name} [{head.unit}]" for head in heads) + "\n")
        self.rows = 0

    def add(self, channels: list[np.ndarray]) -> None:
        """Write rows: every number in as many digits as tell it from its neighbours."""
        texts: list[list[str]] = []
        for values in channels:
            # The text of a float32 is shorter than that of the same number as float64.
            texts += [column.astype(str).tolist() for column in values.T]
        self._file.writelines(",".join(row) + "\n" for row in zip(*texts, strict=True))
        self.rows += len(channels[0])

    def __enter__(self) -> _Csv:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()


class _Parquet:
    """A Parquet file, one row group a piece, units and meanings at its columns."""

    def __init__(self, path: Path, heads: list[Column]):
        arrow, parquet = _pyarrow()
        self._arrow = arrow
        self._schema = arrow.schema(
            [
                arrow.field(
                    head.name,
                    arrow.from_numpy_dtype(np.dtype(head.dtype)),
                    metadata={"units": head.unit, "long_name": head.meaning},
                )
                for head in heads
            ]
        )
        self._file = parquet.ParquetWriter(path, self._schema, compression="zstd")
        self.rows = 0

    def add(self, channels: list[np.ndarray]) -> None:
        """Write rows in the number types of the history."""
        arrays = [column for values in channels for column in values.T]
        made = [
            self._arrow.array(np.ascontiguousarray(column), type=field.type)
            for column, field in zip(arrays, self._schema, strict=True)
        ]
        self._file.write_table(self._arrow.Table.from_arrays(made, schema=self._schema))
        self.rows += len(channels[0])

    def __enter__(self) -> _Parquet:
        return self

    def __exit__(self, *_: object) -> None:
        self._file.close()


def _pyarrow() -> tuple[Any, Any]:
    """The library that writes Parquet."""
    try:
        import pyarrow
        import pyarrow.parquet
    except ImportError as problem:
        raise RollsimError(
            "Parquet needs the library pyarrow: pip install 'rollsim[parquet]'. "
            "--to csv does without it."
        ) from problem
    return pyarrow, pyarrow.parquet


def _write_metadata(history: Any, chosen: Selection, folder: Path, about: dict) -> Path:
    """What the tables are: run, selection, columns."""
    own = history.attributes
    content = {
        "history": str(history.path),
        "written_by": f"rollsim {rollsim.__version__}",
        "case_name": own.get("case_name"),
        "seed": own.get("seed"),
        "status": history.status,
        "run_with": own.get("rollsim_version"),
        "created": own.get("created"),
        "sample_rate_Hz": own.get("sample_rate_Hz"),
        "settle_s": own.get("settle_s"),
        "samples_a_row": chosen.every,
        "from_s": chosen.start if math.isfinite(chosen.start) else None,
        "until_s": chosen.until if math.isfinite(chosen.until) else None,
        "rule": "history: values at the last sample of a row; peak: largest of all steps of a row. "
        "Rollers and modes count from 1.",
        "tables": about,
        "caution": CAUTION,
    }
    path = folder / METADATA
    with _beside(path) as temporary:
        text = json.dumps(json_ready(content), indent=1, allow_nan=False)
        temporary.write_text(text + "\n", encoding="utf-8")
    return path
