"""The command that writes one offline document."""

import json
import re

import pytest


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "Missing argument"),
        (("none.h5",), "none.h5 does not exist"),
        (("six.toml",), "six.toml"),
        ((".",), "a folder, not a history file"),
        (("six.toml", "-o", "report.pdf"), "A report ends in .html; 'report.pdf' does not."),
        (("six.toml", "-o", "nowhere/report.html"), "There is no folder nowhere"),
    ],
)
def test_wrong_input_is_refused(rollsim, folder, arguments, words):
    answer = rollsim("report", *arguments, folder=folder)
    assert (answer.code, answer.out) == (2, "")
    assert words in answer.err
    assert not list(folder.glob("report*"))


@pytest.mark.long
def test_one_run_becomes_one_file(rollsim, folder):
    assert rollsim("run", "six.toml", folder=folder).code == 0
    answer = rollsim(
        "report", "six.h5", "-o", "one.html", "--question", "Is it <strong>?", "--json",
        folder=folder,
    )  # fmt: skip
    assert answer.code == 0
    found = json.loads(answer.out)
    text = (folder / "one.html").read_text("utf-8")
    assert found == {"report": "one.html", "size_bytes": len(text.encode()), "verdict": True}
    assert "VERDICT: " in text
    assert "Is it &lt;strong&gt;?" in text
    assert "Lock out rotating machinery" in text
    assert "# A bearing of six rollers whose runs take a fraction of a second." in text
    assert "rollsim report six.h5 -o one.html --question" in text
    assert {f'id="{name}"' for name in ("mechanisms-a", "hotspots-a", "closures", "fatigue-a")} <= (
        set(re.findall(r'id="[^"]*"', text))
    )
    # Nothing comes from anywhere else.
    assert not re.findall(r'(?:src|href)="(?!#|data:)[^"]*"', text)
    fatigue = rollsim("fatigue", "six.h5", folder=folder)
    sentence = " ".join(fatigue.out.split("\n\n")[0].split())
    assert sentence[: sentence.index(" Limit:")].split(" mechanism")[0][:60] in text
