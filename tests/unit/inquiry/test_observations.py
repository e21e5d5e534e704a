"""Observations are read like a case file: every mistake in one pass, with its line."""

import pytest

from rollsim.errors import CaseError
from rollsim.inquiry.criteria import CRITERIA
from rollsim.inquiry.observations import KINDS, read_observations

GOOD = """\
[site]
name = "Screen"
pockets = 18

[[observation]]
kind = "worn_pockets"
pockets = [3, 4]
seen = "bright"
"""


def test_the_shipped_observations_are_read(repository):
    found = read_observations(repository / "cases" / "observations" / "screen_four.toml")
    assert found.site.pockets == 18
    assert found.items[0].kind == "broken"
    assert {item.kind for item in found.items} == set(KINDS)


def test_every_kind_has_a_written_criterion():
    assert set(CRITERIA) == set(KINDS)
    assert all("agrees" in text or "one side" in text for text in CRITERIA.values())


def problems(tmp_path, text):
    (tmp_path / "site.toml").write_text(text, encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_observations(tmp_path / "site.toml")
    return [str(problem) for problem in caught.value.problems]


def test_all_mistakes_come_at_once_with_their_lines(tmp_path):
    text = """\
[site]
nme = "Screen"

[[observation]]
kind = "brokn"

[[observation]]
kind = "life"
part = "rivets"
hours = -3

[[observatin]]
kind = "line"
"""
    found = problems(tmp_path, text)
    joined = "\n".join(found)
    assert any("line 2" in one and "did you mean 'name'" in one for one in found)
    assert any("line 5" in one and "did you mean 'broken'" in one for one in found)
    assert any("line 9" in one and "part" in one for one in found)
    assert any("line 10" in one and "hours" in one for one in found)
    assert any("line 12" in one and "did you mean 'observation'" in one for one in found)
    assert "needs 'name'" in joined


@pytest.mark.parametrize(
    ("pockets", "words"),
    [("[19]", "from 1 to 18"), ("[0]", "1 to 18"), ("[]", "no pocket")],
)
def test_pockets_that_the_cage_does_not_have_are_refused(tmp_path, pockets, words):
    found = problems(tmp_path, GOOD.replace("[3, 4]", pockets))
    assert len(found) == 1 and "line 7" in found[0] and words in found[0]


def test_a_file_without_observations_is_refused(tmp_path):
    assert any("no observation" in one for one in problems(tmp_path, "[site]\nname = 'a'\n"))
