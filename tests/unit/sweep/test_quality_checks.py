"""Half the tolerance and other stiffnesses, on a run of a fraction of a second."""

import pytest

from rollsim.analysis.quality import run_quality
from rollsim.case.change import changed_case
from rollsim.errors import RunError
from rollsim.history import open_history
from rollsim.sweep import quality_checks
from rollsim.sweep.launch import run
from rollsim.sweep.quality_checks import CHECKS, Variant, check_quality


@pytest.fixture(scope="module")
def stored(six, tmp_path_factory):
    """A run of 0.1 s."""
    return run(six, tmp_path_factory.mktemp("stored") / "six.h5", duration=0.1)


def statistics(stored, variant):
    """Statistics of the stored run and of a variant of it, over the whole run."""
    from rollsim.sweep.reproduce import ReproduceOptions, stored_case

    with open_history(stored) as history:
        end = quality_checks._end_of_span(history, None)
        case = stored_case(history, ReproduceOptions())
        first = quality_checks._stored_statistics(history, end)
        return first, quality_checks._variant_statistics(variant, case, history, end)


def test_the_same_run_again_has_the_same_statistics(stored):
    first, second = statistics(stored, Variant("nothing changed"))
    # The file keeps forces in single precision.
    for key, values in first.items():
        assert second[key] == pytest.approx(values, rel=1e-6), key


@pytest.mark.parametrize("part", ["tolerance", "raceway", "pocket"])
def test_every_factor_reaches_the_run(stored, part):
    first, second = statistics(stored, Variant("other", **{part: 0.5}))
    assert any(second[key] != pytest.approx(values, rel=1e-6) for key, values in first.items())


def test_results_are_kept_and_shown_with_the_run(stored):
    said = []
    (line,) = check_quality(stored, ["tolerance"], say=said.append)
    assert said == ["computing 0.1 s with half the tolerance"]
    assert line.state in ("fit", "cannot tell")
    assert "4 comparisons" in line.text
    with open_history(stored) as history:
        assert line in run_quality(history).lines


def test_a_change_beyond_bound_and_scatter_is_unfit(stored, monkeypatch):
    soft = Variant("a tenth of the raceway stiffness", raceway=0.1, pocket=0.1)
    check = quality_checks.Check("stiffness", (soft,), 1e-4, "rule")
    monkeypatch.setitem(CHECKS, "stiffness", check)
    (line,) = check_quality(stored, ["stiffness"])
    assert line.state == "unfit"
    assert "too large" in line.text and "a tenth of the raceway stiffness" in line.text


def test_a_span_without_enough_samples_is_refused(six, stored, tmp_path):
    with pytest.raises(RunError, match="too short"):
        check_quality(stored, ["tolerance"], span=0.01)
    short = run(changed_case(six, {"output.rate_Hz": 2000.0}), tmp_path / "short.h5")
    with pytest.raises(RunError, match="too short"):
        check_quality(short, ["tolerance"])
