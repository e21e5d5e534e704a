"""What an installed rollsim needs beside its modules travels in the wheel."""

import pytest

NEEDED = {
    "rollsim/report/document/templates/report.html",
    "rollsim/report/document/templates/report.css",
    "rollsim/report/document/templates/page.js",
    "rollsim/report/document/templates/player.js",
}


@pytest.fixture(scope="module")
def packed(repository):
    """Names in the wheel, from the builder itself."""
    wheel = pytest.importorskip("hatchling.builders.wheel")
    builder = wheel.WheelBuilder(str(repository))
    return {file.distribution_path.replace("\\", "/") for file in builder.recurse_included_files()}


def test_all_that_is_no_module_goes_in(packed, repository):
    others = {
        path.relative_to(repository).as_posix()
        for path in (repository / "rollsim").rglob("*")
        if path.is_file() and path.suffix not in (".py", ".pyc")
    }
    assert others >= NEEDED
    assert others <= packed


def test_every_module_goes_in(packed, repository):
    modules = {
        path.relative_to(repository).as_posix() for path in (repository / "rollsim").rglob("*.py")
    }
    assert modules <= packed


def test_cases_recordings_and_observations_go_in(packed, repository):
    cases = repository / "cases"
    wanted = {
        f"rollsim/case/examples/{path.relative_to(cases).as_posix()}"
        for path in cases.rglob("*")
        if path.suffix in (".toml", ".csv")
    }
    assert "rollsim/case/examples/observations/screen_four.toml" in wanted
    assert wanted <= packed
    assert not [name for name in packed if name.startswith("tests/")]
