"""Prepares the virtual environment that scripts/test.py and scripts/demo.py run in.

Only the standard library is used, and only syntax that an old Python can read, so that a Python
that is too old gets a plain sentence and not a traceback.
"""

import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
OLDEST_PYTHON = (3, 11)
STAMP_NAME = "rollsim-stamp.txt"


def environment_folder():
    """Folder of the virtual environment: .venv of the clone, or what ROLLSIM_VENV names."""
    return Path(os.environ.get("ROLLSIM_VENV") or ROOT / ".venv").absolute()


def python_of(folder):
    """Interpreter inside the virtual environment in `folder`."""
    if os.name == "nt":
        return folder / "Scripts" / "python.exe"
    return folder / "bin" / "python"


def fingerprint(pyproject):
    """Hash of all that the environment depends on: pyproject.toml and the place of the clone."""
    digest = hashlib.sha256(Path(pyproject).read_bytes())
    digest.update(str(ROOT).encode())
    return digest.hexdigest()


def is_current(folder, wanted):
    """True when the environment in `folder` was finished with the fingerprint `wanted`."""
    stamp = folder / STAMP_NAME
    if not (stamp.is_file() and python_of(folder).exists()):
        return False
    return stamp.read_text(encoding="utf-8").strip() == wanted


def is_inside(folder):
    """True when this very process runs in the environment in `folder`."""
    return Path(sys.prefix).resolve() == folder.resolve()


def missing_parts(version=None, find=importlib.util.find_spec):
    """Sentence that says what to install before an environment can be made; empty if nothing."""
    version = tuple(version or sys.version_info[:2])
    if version < OLDEST_PYTHON:
        return "rollsim needs Python {}.{} or newer; this is Python {}.{}.".format(
            *OLDEST_PYTHON, *version
        )
    absent = [name for name in ("venv", "ensurepip") if find(name) is None]
    if not absent:
        return ""
    return (
        "This Python has no module {0}, so no virtual environment can be made.\n"
        "  Debian, Ubuntu: sudo apt install python{1}.{2}-venv\n"
        "  elsewhere: install Python {1}.{2} from python.org or from your package manager with\n"
        "  its venv and pip parts, then start this script again.".format(
            " and no module ".join(absent), *version
        )
    )


def is_usable(folder):
    """True when the interpreter in `folder` starts, is new enough and has pip."""
    probe = f"import sys, pip; sys.exit(sys.version_info[:2] < {OLDEST_PYTHON!r})"
    try:
        return (
            subprocess.call([str(python_of(folder)), "-c", probe], stderr=subprocess.DEVNULL) == 0
        )
    except OSError:
        return False


def make(folder):
    """Make an empty virtual environment in `folder`, in place of a broken one."""
    problem = missing_parts()
    if problem:
        sys.exit(problem)
    if folder.exists():
        if any(folder.iterdir()) and not (folder / "pyvenv.cfg").is_file():
            sys.exit(f"{folder} is no virtual environment: move it away.")
        shutil.rmtree(str(folder))
    print(f"Making the virtual environment {folder} ...", flush=True)
    call_or_exit(
        [sys.executable, "-m", "venv", str(folder)],
        "The virtual environment could not be made; the lines above say why.",
    )


def install(folder, wanted):
    """Install rollsim and what its tests need into `folder`, then stamp it as finished."""
    stamp = folder / STAMP_NAME
    if stamp.exists():
        stamp.unlink()
    print("Installing rollsim and what its tests need (minutes the first time) ...", flush=True)
    pip = [str(python_of(folder)), "-m", "pip", "install", "--quiet"]
    call_or_exit(
        [*pip, "--disable-pip-version-check", "--editable", f"{ROOT}[test]"],
        "pip could not install the packages; the lines above say why. It needs access to a\n"
        "Python package index (PyPI, or a mirror that PIP_INDEX_URL names).",
    )
    stamp.write_text(wanted + "\n", encoding="utf-8")


def enter_environment(script):
    """Return at once inside a ready environment; else make it ready and start `script` in it."""
    folder = environment_folder()
    if sys.version_info[:2] < OLDEST_PYTHON:
        sys.exit(missing_parts())
    wanted = fingerprint(ROOT / "pyproject.toml")
    if not is_current(folder, wanted):
        if not is_usable(folder):
            make(folder)
        install(folder, wanted)
    if is_inside(folder):
        return
    command = [str(python_of(folder)), str(Path(script).resolve()), *sys.argv[1:]]
    sys.stdout.flush()
    if os.name == "nt":  # execv on Windows returns to the prompt before the work is done
        sys.exit(subprocess.call(command))
    os.execv(command[0], command)


def call_or_exit(command, sentence):
    """Run a command; leave with a plain sentence when it fails."""
    if subprocess.call(command) != 0:
        sys.exit(sentence)
