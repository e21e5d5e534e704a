"""What a run was computed with: sources of rollsim, libraries, interpreter, processor, system."""

import hashlib
import os
import platform
import subprocess
from functools import cache
from importlib import metadata
from pathlib import Path

import rollsim

#: Libraries whose version can change a number of a run or the file that holds it.
LIBRARIES = ("numpy", "scipy", "numba", "llvmlite", "h5py", "pydantic", "pyuff")
_PACKAGE = Path(rollsim.__file__).resolve().parent
#: Seconds after which a question to git counts as not answered.
_PATIENCE = 5.0


def software():
    """Version of rollsim, its sources, and the versions of what it runs on.

    Returns
    -------
    dict
        rollsim (version), commit (None where the package does not run from its own git checkout),
        modified (whether the checkout has changes beyond that commit, None without one), sources
        (SHA-256 of all source files), python, HDF5, and every installed library of LIBRARIES.
    """
    import h5py

    commit, modified = _checkout()
    own = {
        "rollsim": rollsim.__version__,
        "commit": commit,
        "modified": modified,
        "sources": _source_sum(),
        "python": f"{platform.python_implementation()} {platform.python_version()}",
        "HDF5": h5py.version.hdf5_version,
    }
    return own | {name: _version(name) for name in LIBRARIES if _version(name)}


def machine():
    """Processor and system.

    Returns
    -------
    dict
        processor (name), architecture, cores (logical), system.
    """
    return {
        "processor": _processor(),
        "architecture": platform.machine(),
        "cores": os.cpu_count(),
        "system": f"{platform.system()} {platform.release()}",
    }


def _version(name):
    """Version of an installed library, None where it is not there."""
    try:
        return metadata.version(name)
    except metadata.PackageNotFoundError:
        return None


@cache
def _source_sum():
    """SHA-256 of all source files of the package: tells versions apart that have one number."""
    digest = hashlib.sha256()
    for path in sorted(_PACKAGE.rglob("*.py")):
        name = path.relative_to(_PACKAGE).as_posix()
        digest.update(name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()


@cache
def _checkout():
    """Commit and whether files differ from it; None twice where git does not know the package."""
    # A package installed below some other checkout is not part of that checkout: ask for the file.
    if _git("ls-files", "--error-unmatch", "__init__.py") is None:
        return None, None
    commit = _git("rev-parse", "HEAD")
    changes = _git("status", "--porcelain", "--", ".")
    return commit, None if changes is None else bool(changes)


def _git(*arguments):
    """Answer of git about the folder of the package, None where there is none."""
    command = ["git", "-C", str(_PACKAGE), "--no-optional-locks", *arguments]
    try:
        done = subprocess.run(
            command,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            encoding="utf-8",
            errors="replace",
            timeout=_PATIENCE,
            check=False,
        )
    except (OSError, subprocess.SubprocessError):
        return None
    return done.stdout.strip() if done.returncode == 0 else None


@cache
def _processor():
    """Name of the processor, as the system tells it."""
    try:
        with open("/proc/cpuinfo", encoding="utf-8", errors="replace") as file:
            names = [line for line in file if line.lower().startswith("model name")]
    except OSError:
        names = []
    if names:
        return names[0].partition(":")[2].strip()
    return platform.processor() or platform.machine()
