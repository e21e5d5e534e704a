"""`import rollsim` is light, its names load on use, and fatigue is package and function at once."""

import subprocess
import sys

import pytest

import rollsim

HEAVY = ("numpy", "scipy", "numba", "h5py", "matplotlib", "pydantic", "pandas", "click")


def in_new_process(code):
    """Run code in a Python of its own: what is imported here must not count."""
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)


def test_import_alone_loads_nothing_heavy():
    code = f"import sys, rollsim; print([name for name in {HEAVY!r} if name in sys.modules])"
    result = in_new_process(code)
    assert result.returncode == 0, result.stderr
    assert result.stdout.strip() == "[]"


def test_command_line_starts_without_slow_packages():
    slow = ("scipy.signal", "numba", "h5py", "matplotlib", "pydantic", "pandas")
    code = f"import sys, rollsim.cli; print([name for name in {slow!r} if name in sys.modules])"
    result = in_new_process(code)
    assert result.returncode == 0, result.stderr
    assert result.stdout.strip() == "[]"


@pytest.mark.parametrize("name", rollsim.__all__)
def test_public_name_is_there(name):
    value = getattr(rollsim, name)
    assert isinstance(value, str) if name == "__version__" else callable(value)


def test_names_are_listed():
    assert set(rollsim.__all__) <= set(dir(rollsim))


def test_unknown_name_is_an_attribute_error():
    with pytest.raises(AttributeError, match="has no attribute 'friction'"):
        _ = rollsim.friction


@pytest.mark.parametrize(
    "imports",
    [
        "import rollsim",
        "import rollsim.fatigue",
        "import rollsim.fatigue.verdict",
        "import rollsim; rollsim.fatigue; import rollsim.fatigue.verdict",
        "import rollsim.fatigue.verdict; from rollsim import fatigue",
        "from rollsim.fatigue import verdict; import rollsim",
    ],
)
def test_fatigue_is_callable_and_a_package_in_every_import_order(imports):
    code = (
        f"{imports}\n"
        "import types, rollsim.fatigue.verdict as verdict\n"
        "seen = []\n"
        "verdict.fatigue = lambda history, **more: seen.append((history, more)) or 'verdict'\n"
        "assert isinstance(rollsim.fatigue, types.ModuleType)\n"
        "assert rollsim.fatigue.verdict is verdict\n"
        "assert rollsim.fatigue('history', seed=3) == 'verdict'\n"
        "assert seen == [('history', {'seed': 3})], seen\n"
    )
    result = in_new_process(code)
    assert result.returncode == 0, result.stderr
