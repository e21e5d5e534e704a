"""Universal files, data set 58: functions at nodes, read by the optional library pyuff."""

import numpy as np

from rollsim.model.recording.contents import Contents, positions
from rollsim.model.recording.store import BLOCK
from rollsim.model.recording.units import plain_unit

LARGEST = 400e6
"""Bytes of a file, for it is read as a whole."""

_TIME_RESPONSE = 1
_ACCELERATION = 12
_DIRECTIONS = {0: "", 1: "+X", 2: "+Y", 3: "+Z", -1: "-X", -2: "-Y", -3: "-Z"}
_SAME = 1e-6


def open_uff(path, source, findings):
    """Open a universal file.

    Parameters
    ----------
    path : Path
        The file.
    source : RecordingSource
        Keys of the case.
    findings : Findings
        Takes the problems.

    Returns
    -------
    Contents
        Channels in the order of the case.
    """
    sets = _sets(path, findings)
    names = [
        f"{item.get('rsp_node', '')}{_DIRECTIONS.get(item.get('rsp_dir'), '')}" for item in sets
    ]
    columns = positions(source.channels, names, "sets of this file", findings)
    findings.go_on_only_if_sound()
    chosen = dict(zip(source.channels, (sets[column] for column in columns), strict=True))
    for name, item in chosen.items():
        _check_set(name, item, findings)
    findings.go_on_only_if_sound()
    lengths = {name: len(item["data"]) for name, item in chosen.items()}
    rates = {name: _rate(item) for name, item in chosen.items()}
    if len(set(lengths.values())) > 1:
        parts = ", ".join(f"'{name}' {length}" for name, length in lengths.items())
        findings.stop(f"sets of different length: {parts}. Name those that belong together")
    if max(rates.values()) - min(rates.values()) > _SAME * max(rates.values()):
        parts = ", ".join(f"'{name}' {rate:g} Hz" for name, rate in rates.items())
        findings.stop(f"sets of different rate: {parts}. Name those that belong together")
    data = np.column_stack([np.real(item["data"]).astype(float) for item in chosen.values()])
    units = {name: _unit(item) for name, item in chosen.items()}
    return Contents(blocks=_blocks(data), rate=next(iter(rates.values())), units=units)


def _sets(path, findings):
    """All data sets 58 of a file."""
    try:
        import pyuff
    except ImportError:
        findings.stop(
            "UFF 58 files need the library pyuff: pip install 'rollsim[recordings]', or export the "
            "recording as text"
        )
    if path.stat().st_size > LARGEST:
        findings.stop(f"is larger than the {LARGEST / 1e6:.0f} MB that are read of this format")
    try:
        file = pyuff.UFF(str(path))
        kinds = [int(kind) for kind in file.get_set_types()]
        sets = [file.read_sets(place) for place, kind in enumerate(kinds) if kind == 58]
    except Exception as problem:  # the library raises what its parsing trips over
        findings.stop(f"cannot be read as universal file ({problem}): damaged or another format")
    if not sets:
        findings.stop("holds no data set 58 (functions at nodes)")
    return sets


def _check_set(name, item, findings):
    """A set is an evenly sampled acceleration in time."""
    if item.get("func_type") not in (0, _TIME_RESPONSE):
        findings.problem(f"is no time response (function type {item.get('func_type')})", name)
    if item.get("ordinate_spec_data_type", 0) not in (0, 1, _ACCELERATION):
        kind = item["ordinate_spec_data_type"]
        findings.problem(f"is no acceleration (data type {kind}, acceleration is 12)", name)
    if np.iscomplexobj(item.get("data", ())) and np.any(np.imag(item["data"])):
        findings.problem("holds complex numbers, no samples in time", name)
    if len(item.get("data", ())) < 2 or not _rate(item) > 0.0:
        findings.problem("has no even time step", name)


def _rate(item):
    """Sampling rate, Hz; 0 where the step is not even."""
    steps = np.diff(np.asarray(item["x"], dtype=float))
    step = float(np.mean(steps)) if len(steps) else 0.0
    # Single precision leaves the times of long sets with few digits.
    if step <= 0.0 or np.max(np.abs(steps - step)) > 0.01 * step:
        step = float(item.get("abscissa_inc") or 0.0) if item.get("abscissa_spacing") == 1 else 0.0
    return 1.0 / step if step > 0.0 else 0.0


def _unit(item):
    """Unit that a set declares, None where it is silent."""
    unit = plain_unit(str(item.get("ordinate_axis_units_lab") or ""))
    return unit if unit not in ("", "none") else None


def _blocks(data):
    """Values, block by block."""
    for first in range(0, len(data), BLOCK):
        yield None, data[first : first + BLOCK]
