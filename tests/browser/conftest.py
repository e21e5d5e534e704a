"""Small histories and their report, for a browser to open."""

import importlib.util
from pathlib import Path

import pytest

CASE = (Path(__file__).parents[1] / "data" / "case_six_rollers.toml").read_text("utf-8")


def _module():
    """The module browser.py beside this file."""
    path = Path(__file__).with_name("browser.py")
    spec = importlib.util.spec_from_file_location("report_browser", path)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def two_histories(tmp_path_factory):
    """Runs of two cages."""
    import rollsim

    folder = tmp_path_factory.mktemp("two")
    other = CASE.replace("pocket_um = 300", "pocket_um = 200").replace("six rollers", "six tight")
    paths = []
    for name, text in (("wide", CASE), ("tight", other)):
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")
        paths.append(folder / f"{name}.h5")
        rollsim.run(rollsim.load_case(folder / f"{name}.toml"), paths[-1])
    return paths


@pytest.fixture(scope="session")
def report(two_histories):
    """Report of both, without verdict."""
    from rollsim.report.document.page import write_report

    return write_report(two_histories, two_histories[0].with_name("report.html"), judged=False)


@pytest.fixture(scope="session")
def page(report, tmp_path_factory):
    """The report in a browser; skipped where there is none."""
    module = _module()
    if module.program() is None:
        pytest.skip(f"no browser on this machine (one of {', '.join(module.NAMES)})")
    with module.Page(tmp_path_factory.mktemp("browser")) as opened:
        opened.open(report)
        yield opened
