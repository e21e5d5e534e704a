"""Help of every command: quick, with an example, with the exit codes where they are a choice."""

import json
import subprocess
import sys

import pytest

from rollsim.cli import commands
from rollsim.cli.run import SOLVERS

COMMANDS = sorted(commands.commands)
HEAVY = ("numpy", "scipy", "numba", "h5py", "matplotlib", "pydantic", "tqdm")


def test_all_promised_commands_are_there():
    assert {
        "new",
        "check",
        "cage",
        "run",
        "status",
        "peaks",
        "whirl",
        "slip",
        "fatigue",
        "compare",
        "report",
        "verify",
    } <= set(COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_a_command_shows_an_example(rollsim, tmp_path, command):
    answer = rollsim(command, "--help", folder=tmp_path)
    assert answer.code == 0
    assert f"Example: rollsim {command} " in answer.out
    assert answer.err == ""
    assert max(map(len, answer.out.splitlines())) <= 100


def test_general_help_names_every_command_and_the_caution(rollsim, tmp_path):
    answer = rollsim("--help", folder=tmp_path)
    assert answer.code == 0
    assert all(f"  {command} " in answer.out for command in COMMANDS)
    assert "licensed engineer" in answer.out
    assert "Lock out rotating machinery" in answer.out


def test_help_of_run_tells_what_happens_to_an_earlier_output(rollsim, tmp_path):
    text = " ".join(rollsim("run", "--help", folder=tmp_path).out.split())
    assert (
        "After a finished run the same command computes nothing and ends with exit code 0" in text
    )
    assert "--overwrite replaces a history" in text


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["run", "--help"]])
def test_help_loads_no_heavy_package(repository, arguments):
    """The answer must come at once: nothing numerical is imported for it."""
    code = (
        "import json, sys\n"
        "from rollsim.cli import commands\n"
        f"try: commands.main({arguments!r}, standalone_mode=True)\n"
        "except SystemExit as end: assert not end.code\n"
        "print(json.dumps(sorted(name.partition('.')[0] for name in sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=repository, capture_output=True, text=True, check=True
    )
    loaded = set(json.loads(done.stdout.splitlines()[-1]))
    assert "click" in loaded
    assert loaded.isdisjoint(HEAVY)


def test_no_command_at_all_shows_the_help(rollsim, tmp_path):
    answer = rollsim(folder=tmp_path)
    assert answer.code in (0, 2)
    assert "Commands:" in answer.out + answer.err


def test_the_solvers_offered_are_those_that_exist():
    from rollsim.simulation import marches

    assert SOLVERS == marches.SOLVERS
