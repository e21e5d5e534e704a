"""How hard the pockets are hit on a shaker table, and what that depends on.

Order of magnitude from common practice, no source: a bearing of this size under 5 g rms shows about
1 kN on its pocket bars, a quiet one a few hundred N, if the bars are as stiff as solid metal and
dry. Bars that yield as the frame of the cage does, and oil, take most of that away.
"""

import numpy as np
import pytest

import rollsim

SECONDS = 4.0


def _largest(repository, folder, name, **changes):
    """Largest force on a pocket bar after settling, N."""
    text = (repository / "cases" / "bench_random_5g.toml").read_text("utf-8")
    vibration, solver = text.index("[[vibration]]"), text.index("[solver]")
    if changes.pop("quiet", False):
        text = text[:vibration] + text[solver:]
    for old, new in changes.pop("replaced", ()):
        assert text.count(old) == 1
        text = text.replace(old, new)
    (folder / f"{name}.toml").write_text(text, "utf-8")
    case = rollsim.load_case(folder / f"{name}.toml")
    rollsim.run(case, folder / f"{name}.h5", duration=SECONDS)
    with rollsim.open_history(folder / f"{name}.h5") as history:
        table, settle = history.impacts(), float(history.attributes["settle_s"])
        struck = (table["face"] < 2) & (table["start"] >= settle)
        return float(np.max(table["peak"][struck]))


DRY = ("oil_fraction = 0.3", "oil_fraction = 0.0")
SOLID = (
    'guidance = "outer_ring"\n',
    'guidance = "outer_ring"\nbar_stiffness_N_per_um = 75.0\n',
)


@pytest.fixture(scope="module")
def forces(repository, tmp_path_factory):
    """Largest force on a pocket bar, N, of the reference case and of changed ones."""
    folder = tmp_path_factory.mktemp("order")
    return {
        "as it is": _largest(repository, folder, "a"),
        "quiet": _largest(repository, folder, "b", quiet=True),
        "solid": _largest(repository, folder, "c", replaced=[DRY, SOLID]),
        "solid, quiet": _largest(repository, folder, "d", replaced=[DRY, SOLID], quiet=True),
    }


def test_solid_dry_bars_see_a_kilonewton(forces):
    assert 500.0 < forces["solid"] < 2000.0
    assert 100.0 < forces["solid, quiet"] < 500.0


def test_vibration_and_stiff_bars_raise_the_force(forces):
    assert forces["solid"] > 2.0 * forces["solid, quiet"]
    assert forces["as it is"] > 2.0 * forces["quiet"]
    assert forces["solid"] > 2.0 * forces["as it is"]
