"""The style script finds each kind of bad snippet, at its line, and lets good ones pass."""

import importlib.util
from pathlib import Path

import pytest

SCRIPT = Path(__file__).resolve().parents[2] / "scripts" / "check_style.py"


@pytest.fixture(scope="module")
def style():
    """The script, loaded as a module."""
    spec = importlib.util.spec_from_file_location("check_style_under_test", SCRIPT)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


DOCUMENTED = '''
def force(depth, speed, *rest, damping=0.2, **more):
    """Return the force.

    Parameters
    ----------
    depth : float, m
        How deep the bodies overlap: never negative.
    speed : float, m/s
        Closing speed.

        Positive while the bodies approach.
    damping : float, s/m
        Hunt-Crossley factor.

    Returns
    -------
    float, N
        The force.
    """
'''


def texts(style, source, file="rollsim/model/spring.py"):
    return [str(finding) for finding in style.check_source(source, file)]


def only(style, source, file="rollsim/model/spring.py"):
    found = style.check_source(source, file)
    assert len(found) == 1, [str(finding) for finding in found]
    return found[0]


def test_documented_function_passes(style):
    assert texts(style, DOCUMENTED) == []


def test_names_on_one_line_and_without_type_are_read(style):
    section = "Parameters\n    ----------\n    a, b : m\n    c\n"
    source = f'def f(a, b, c):\n    """F.\n\n    {section}    """\n'
    assert texts(style, source) == []


@pytest.mark.parametrize(
    ("change", "part"),
    [
        (("depth : float", "deep : float"), "documented as (deep, speed, damping)"),
        (("(depth, speed,", "(speed, depth,"), "signature has (speed, depth, damping)"),
        (("    damping : float, s/m\n        Hunt-Crossley factor.\n", ""), "(depth, speed)"),
        (("damping=0.2, ", ""), "signature has (depth, speed)"),
    ],
)
def test_parameters_that_differ_from_the_signature_are_found(style, change, part):
    finding = only(style, DOCUMENTED.replace(*change))
    assert finding.line == 2
    assert part in finding.text
    assert "make names and order equal" in finding.text


def test_absent_parameters_section_is_found(style):
    finding = only(style, 'def f(depth):\n    """Return the force."""\n')
    assert "no Parameters section: list depth" in finding.text


def test_section_without_underline_does_not_count(style):
    source = 'def f(depth):\n    """F.\n\n    Parameters\n    depth : m\n    """\n'
    assert "no Parameters section" in only(style, source).text


def test_function_without_parameters_needs_no_section(style):
    assert texts(style, 'def f():\n    """Return the force."""\n') == []


@pytest.mark.parametrize(
    ("source", "line"),
    [
        ("\ndef f():\n    return 1\n", 2),
        ("class Spring:\n    rate = 1.0\n", 1),
        ('class Spring:\n    """A spring."""\n\n    def force(self):\n        return 1\n', 4),
        (
            'class Spring:\n    """S."""\n\n    @property\n    def rate(self):\n        return 1\n',
            5,
        ),
        ("async def f():\n    return 1\n", 1),
        ("if True:\n    def f():\n        return 1\n", 2),
    ],
)
def test_public_things_without_docstring_are_found(style, source, line):
    finding = only(style, source)
    assert finding.line == line
    assert "has no docstring" in finding.text


@pytest.mark.parametrize(
    "source",
    [
        "def _f(depth):\n    return depth\n",
        "class _Spring:\n    def force(self, depth):\n        return depth\n",
        'def f():\n    """F."""\n    def inner(depth):\n        return depth\n    return inner\n',
        'class S:\n    """S."""\n\n    @property\n    def r(self):\n        """R."""\n\n'
        "    @r.setter\n    def r(self, value):\n        pass\n",
    ],
)
def test_private_and_nested_things_are_left_alone(style, source):
    assert texts(style, source) == []


def test_self_and_cls_are_not_parameters(style):
    source = (
        'class S:\n    """S."""\n\n    def a(self):\n        """A."""\n\n'
        '    @classmethod\n    def b(cls):\n        """B."""\n'
    )
    assert texts(style, source) == []


def test_class_section_is_held_against_init(style):
    source = (
        'class S:\n    """S.\n\n    Parameters\n    ----------\n    rate : float\n    """\n\n'
        "    def __init__(self, stiffness):\n        self.stiffness = stiffness\n"
    )
    assert "signature has (stiffness)" in only(style, source).text
    assert texts(style, source.replace("(self, stiffness)", "(self, rate)")) == []


def test_dataclass_fields_do_not_count_as_arguments(style):
    fields = "".join(f"    field_{number}: float\n" for number in range(12))
    assert texts(style, f'class Row(NamedTuple):\n    """A row."""\n\n{fields}') == []


@pytest.mark.parametrize("decorator", ["@click.command()", "@main.command('run')", "@cli.group()"])
def test_click_commands_need_no_parameters_section(style, decorator):
    source = f'{decorator}\ndef run(case):\n    """Run a case."""\n'
    assert texts(style, source, "rollsim/cli/__init__.py") == []


def test_other_decorators_do_not_exempt(style):
    source = '@kernel\ndef run(case):\n    """Run a case."""\n'
    assert "no Parameters section" in only(style, source).text


@pytest.mark.parametrize("file", ["rollsim/model/long.py", "scripts/long.py"])
def test_long_file_is_found_and_limit_itself_passes(style, file):
    assert texts(style, "x = 1\n" * 400, file) == []
    finding = only(style, "x = 1\n" * 401, file)
    assert finding.line == 401
    assert "401 lines, at most 400" in finding.text


def test_long_function_is_found_and_docstring_is_not_counted(style):
    docstring = '    """F.\n' + "\n    word\n" * 30 + '    """\n'
    assert texts(style, "def f():\n" + docstring + "    x = 1\n" * 59) == []
    assert "f has 61 lines" in only(style, "def f():\n" + docstring + "    x = 1\n" * 60).text


def test_ninth_argument_is_found_for_private_kernels_too(style):
    assert texts(style, "def _f(a, b, c, d, e, f, g, h):\n    pass\n") == []
    assert (
        "takes 9 arguments" in only(style, "def _f(a, b, c, d, e, f, g, h, *, i):\n    pass\n").text
    )


@pytest.mark.parametrize(
    "line",
    [
        "import numba",
        "from numba import njit",
        "import numba.typed as t",
        "from numba.core import x",
    ],
)
def test_numba_is_allowed_in_its_home_alone(style, line):
    assert texts(style, f"{line}\n", "rollsim/kernels/jit.py") == []
    assert "numba is imported here" in only(style, f"{line}\n", "rollsim/kernels/film.py").text
    inside = f"def _f():\n    {line}\n"
    assert only(style, inside, "rollsim/kernels/film.py").line == 2


def test_name_that_only_starts_like_numba_passes(style):
    assert texts(style, "import numbat\n") == []


@pytest.mark.parametrize(
    "line",
    [
        "import matplotlib.pyplot as plt",
        "import h5py",
        "from scipy import signal",
        "import scipy.signal",
        "from scipy.signal import welch",
        "from pandas import DataFrame",
    ],
)
@pytest.mark.parametrize("file", ["rollsim/cli/__init__.py", "rollsim/__init__.py"])
def test_slow_import_at_the_top_of_quick_files_is_found(style, line, file):
    assert "inside the function that uses it" in only(style, f"{line}\n", file).text
    inside_try = f"try:\n    {line}\nexcept ImportError:\n    pass\n"
    assert only(style, inside_try, file).line == 2
    assert texts(style, f"def _f():\n    {line}\n", file) == []
    assert texts(style, f"if TYPE_CHECKING:\n    {line}\n", file) == []
    assert texts(style, f"{line}\n", "rollsim/report/orbit.py") == []


def test_other_scipy_parts_are_no_slow_import(style):
    assert texts(style, "from scipy import optimize\n", "rollsim/cli/__init__.py") == []


def test_docstring_rules_do_not_hold_for_scripts(style):
    assert texts(style, "def f(depth):\n    return depth\n", "scripts/tool.py") == []


def test_finding_prints_file_and_line(style):
    finding = only(style, "\n\ndef f():\n    return 1\n")
    assert str(finding).startswith("rollsim/model/spring.py:3: ")


def test_tree_walk_reads_files_below_packages(style, tmp_path):
    for name, text in {
        "rollsim/a/good.py": '"""Good."""\n',
        "rollsim/a/bad.py": "import numba\n",
        "scripts/tool.py": "def f(a, b, c, d, e, f, g, h, i):\n    pass\n",
        "tests/unit/test_x.py": "import numba\n",
    }.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    found, number = style.check_tree(tmp_path)
    assert number == 3
    assert [finding.file for finding in found] == ["rollsim/a/bad.py", "scripts/tool.py"]
