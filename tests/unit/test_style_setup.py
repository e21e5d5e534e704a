"""The scripts' environment maker: when it builds, what it says, and the demonstration's pieces."""

import importlib.util
import sys
from pathlib import Path

import pytest

SCRIPTS = Path(__file__).resolve().parents[2] / "scripts"


def load(name):
    spec = importlib.util.spec_from_file_location(f"{name}_under_test", SCRIPTS / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def setup(monkeypatch):
    monkeypatch.syspath_prepend(str(SCRIPTS))
    return load("_setup")


@pytest.fixture
def demo(monkeypatch):
    monkeypatch.syspath_prepend(str(SCRIPTS))
    return load("demo")


@pytest.fixture
def checks(monkeypatch):
    monkeypatch.syspath_prepend(str(SCRIPTS))
    return load("test")


@pytest.fixture
def finished(setup, tmp_path):
    """A folder that looks like a finished environment with the stamp `wanted`."""
    python = setup.python_of(tmp_path)
    python.parent.mkdir(parents=True)
    python.write_text("", encoding="utf-8")
    (tmp_path / setup.STAMP_NAME).write_text("wanted\n", encoding="utf-8")
    return tmp_path


def test_fingerprint_changes_with_the_metadata(setup, tmp_path):
    metadata = tmp_path / "pyproject.toml"
    metadata.write_text("a = 1\n", encoding="utf-8")
    first = setup.fingerprint(metadata)
    assert setup.fingerprint(metadata) == first
    metadata.write_text("a = 2\n", encoding="utf-8")
    assert setup.fingerprint(metadata) != first


def test_finished_environment_is_current_until_the_stamp_differs(setup, finished):
    assert setup.is_current(finished, "wanted")
    assert not setup.is_current(finished, "another")


def test_environment_without_stamp_or_python_is_not_current(setup, finished):
    (finished / setup.STAMP_NAME).unlink()
    assert not setup.is_current(finished, "wanted")
    (finished / setup.STAMP_NAME).write_text("wanted\n", encoding="utf-8")
    setup.python_of(finished).unlink()
    assert not setup.is_current(finished, "wanted")


def test_interpreter_that_does_not_start_is_not_usable(setup, finished):
    assert not setup.is_usable(finished)
    assert not setup.is_usable(finished / "absent")


def test_python_without_ensurepip_is_told_what_to_install(setup):
    text = setup.missing_parts((3, 12), lambda name: None if name == "ensurepip" else object())
    assert "no module ensurepip" in text
    assert "python3.12-venv" in text


def test_old_python_is_named(setup):
    assert "needs Python 3.11 or newer; this is Python 3.9" in setup.missing_parts((3, 9))


def test_complete_python_lacks_nothing(setup):
    assert setup.missing_parts((3, 11), lambda name: object()) == ""


def test_folder_that_is_no_environment_is_never_removed(setup, tmp_path, monkeypatch):
    monkeypatch.setattr(setup, "missing_parts", lambda: "")
    precious = tmp_path / "thesis.txt"
    precious.write_text("years of work", encoding="utf-8")
    with pytest.raises(SystemExit, match="is no virtual environment"):
        setup.make(tmp_path)
    assert precious.exists()


def test_failed_command_ends_with_the_sentence(setup):
    with pytest.raises(SystemExit, match="plain words"):
        setup.call_or_exit([sys.executable, "-c", "raise SystemExit(3)"], "plain words")
    setup.call_or_exit([sys.executable, "-c", "pass"], "plain words")


def test_long_tests_are_left_out_unless_asked_for(checks):
    assert "not long" in checks.pytest_command([])
    assert "not long" not in checks.pytest_command(["--all"])
    assert checks.pytest_command(["--all", "tests/unit", "-x"])[-2:] == ["tests/unit", "-x"]


@pytest.mark.parametrize(("status", "passed"), [(0, True), (1, False)])
def test_closing_line_is_kept_back_and_returned(checks, capsys, status, passed):
    code = f"print('first'); print('== 3 passed =='); raise SystemExit({status})"
    result = checks.run_pytest([sys.executable, "-c", code])
    assert result == (passed, "== 3 passed ==")
    printed = capsys.readouterr().out
    assert "first" in printed
    assert "3 passed" not in printed


def test_stage_that_cannot_start_counts_as_failed(checks, tmp_path):
    assert not checks.run_stage("nothing", [str(tmp_path / "no-such-program")])
    assert checks.run_stage("python", [sys.executable, "-c", "pass"])


def test_demonstration_page_holds_texts_and_figures(demo, tmp_path):
    (tmp_path / "orbit.png").write_bytes(b"")
    (tmp_path / "history.h5").write_bytes(b"")
    page = demo.write_page(tmp_path, [("Peaks", "force < 5 N & more\n")])
    text = page.read_text(encoding="utf-8")
    assert "force &lt; 5 N &amp; more" in text
    assert 'src="orbit.png"' in text
    assert "history.h5" not in text


def test_demonstration_steps_end_with_the_verdict(demo, tmp_path):
    commands = [arguments[0] for _, arguments in demo.steps(demo.CASE, tmp_path)]
    assert commands == ["check", "run", "peaks", "whirl", "fatigue"]


@pytest.mark.parametrize(
    ("platform", "environment", "expected"),
    [
        ("linux", {}, False),
        ("linux", {"DISPLAY": ":0"}, True),
        ("linux", {"WAYLAND_DISPLAY": "wayland-0"}, True),
        ("win32", {}, True),
        ("darwin", {"SSH_CONNECTION": "1"}, False),
    ],
)
def test_screen_is_looked_for_before_a_browser(demo, platform, environment, expected):
    assert demo.has_screen(platform, environment) is expected


def test_browser_trouble_does_not_fail_the_demonstration(demo, monkeypatch, tmp_path, capsys):
    def refuse(_):
        raise demo.webbrowser.Error("none installed")

    monkeypatch.setattr(demo, "has_screen", lambda: True)
    monkeypatch.setattr(demo.webbrowser, "open", refuse)
    demo.open_page(tmp_path / "demo.html")
    assert "none installed" in capsys.readouterr().out


@pytest.mark.parametrize("word", ["-h", "--help"])
def test_help_of_the_checks_starts_no_work(checks, monkeypatch, capsys, word):
    def refused(*_):
        raise AssertionError("work was started")

    monkeypatch.setattr(checks._setup, "enter_environment", refused)
    monkeypatch.setattr(sys, "argv", ["test.py", word])
    checks.main()
    assert "python scripts/test.py --all" in capsys.readouterr().out
