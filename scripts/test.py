"""Runs every check of the repository: style, layers and tests.

    python scripts/test.py                 everything except the tests marked long
    python scripts/test.py --all           the long ones too
    python scripts/test.py tests/unit -x   other arguments go to pytest as they are

Makes .venv first if it is missing or older than pyproject.toml. All stages run even when one
fails; the exit status is 0 only when all passed.
"""

import os
import subprocess
import sys
from pathlib import Path

import _setup

NO_TESTS_LINE = "pytest printed nothing"


def style_stages():
    """Names and commands of the stages that come before pytest."""
    folder = Path(sys.executable).parent
    lint_imports = folder / ("lint-imports.exe" if os.name == "nt" else "lint-imports")
    return [
        ("ruff format", [sys.executable, "-m", "ruff", "format", "--check", "."]),
        ("ruff check", [sys.executable, "-m", "ruff", "check", "."]),
        ("import layers", [str(lint_imports)]),
        ("style script", [sys.executable, str(_setup.ROOT / "scripts" / "check_style.py")]),
        # Else every test process would compile the same kernels side by side.
        ("compile kernels", [sys.executable, "-m", "rollsim.simulation.warm_up"]),
    ]


def pytest_command(arguments):
    """Command line of pytest for the arguments of this script."""
    command = [sys.executable, "-m", "pytest", "-n", "2"]
    if "--all" not in arguments:
        command += ["-m", "not long"]
    if sys.stdout.isatty():
        command.append("--color=yes")
    return command + [argument for argument in arguments if argument != "--all"]


def run_stage(name, command):
    """Run one stage with its output on the terminal; return True when it passed."""
    print(f"\n--- {name}", flush=True)
    try:
        return subprocess.call(command, cwd=_setup.ROOT) == 0
    except OSError as problem:
        print(f"could not be started: {problem}")
        return False


def run_pytest(command):
    """Run pytest, pass its output on as it comes; return success and its closing line."""
    print("\n--- pytest", flush=True)
    closing = NO_TESTS_LINE
    with subprocess.Popen(
        command,
        cwd=_setup.ROOT,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        errors="replace",
    ) as process:
        held = ""
        for line in process.stdout:
            sys.stdout.write(held)
            sys.stdout.flush()
            held = line
            if line.strip():
                closing = line.rstrip("\n")
        if held.strip() and held.rstrip("\n") != closing:
            sys.stdout.write(held)
    return process.returncode == 0, closing


def main():
    """Run all stages, list what failed, close with pytest's own summary line."""
    if {"-h", "--help"} & set(sys.argv[1:]):
        print(__doc__.strip())
        return
    _setup.enter_environment(__file__)
    os.environ["PYTHONIOENCODING"] = "utf-8"
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    failed = [name for name, command in style_stages() if not run_stage(name, command)]
    passed, closing = run_pytest(pytest_command(sys.argv[1:]))
    if not passed:
        failed.append("pytest")
    print("\nFailed: " + ", ".join(failed) if failed else "\nAll stages passed.")
    print(closing, flush=True)
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
