"""Where a run comes from: what computed it, from which files, with which seeds."""

import hashlib
import json
from pathlib import Path

from rollsim.case.places import named_path
from rollsim.history.provenance import machine, software


def provenance_attributes(case, seed, recordings):
    """Root attributes that tell where a run comes from.

    Parameters
    ----------
    case : Case
        The case as it is run.
    seed : int
        Seed of the run.
    recordings : str or None
        Result of `fingerprints` of the case.

    Returns
    -------
    dict
        `case_folder`, None for a case without a file, and `provenance`: a dict with `software`,
        `machine`, `inputs` (list of dicts with role, file, sha256) and `seeds`.
    """
    return {
        "case_folder": _folder(case),
        "provenance": {
            "software": software(),
            "machine": machine(),
            "inputs": _inputs(case, recordings),
            "seeds": _seeds(case, seed),
        },
    }


def stored_provenance(history):
    """Where a stored run comes from.

    Parameters
    ----------
    history : History
        Open for reading.

    Returns
    -------
    dict
        As in `provenance_attributes`; empty for a file that was written before this was kept.
    """
    try:
        found = json.loads(history.attributes.get("provenance", "{}"))
    except (TypeError, ValueError):
        return {}
    return found if isinstance(found, dict) else {}


def _folder(case):
    """Folder from which the relative paths of a case start, None for a case without a file."""
    path = Path(case.name)
    return str(path.resolve().parent) if path.is_file() else None


def _inputs(case, recordings):
    """Every file that the run depends on, with the sum of its content."""
    text = hashlib.sha256(case.text.encode("utf-8")).hexdigest()
    found = [{"role": "case", "file": Path(case.name).name, "sha256": text}]
    named = case.case.environments_file
    if named:
        own = named_path(case.name, named)
        total = hashlib.sha256(own.read_bytes()).hexdigest() if own.is_file() else None
        found.append({"role": "environments", "file": named, "sha256": total})
    for line in (recordings or "").splitlines():
        total, _, file = line.partition(" ")
        found.append({"role": "recording", "file": file, "sha256": total})
    return found


def _seeds(case, seed):
    """Seed of the run, and those that sources of vibration have of their own."""
    own = {
        f"vibration[{number}]": source.seed
        for number, source in enumerate(case.vibration, start=1)
        if getattr(source, "seed", None) is not None
    }
    return {"run": int(seed), **own}
