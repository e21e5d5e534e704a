"""The command that writes one offline document."""

import html
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
    names = {f'id="vibration{part}-a"' for part in ("", "-histogram", "-response")}
    assert names <= set(re.findall(r'id="[^"]*"', text))
    assert "A: imposed vibration from" in text and "A: rms in m/s2 in third-octave bands" in text
    # Nothing comes from anywhere else.
    assert not re.findall(r'(?:src|href)="(?!#|data:)[^"]*"', text)
    # The verdict is that of the command: its whole sentence, and every mechanism with its numbers.
    told = json.loads(rollsim("fatigue", "six.h5", "--json", folder=folder).out)
    shown = " ".join(html.unescape(text).split())
    assert told["sentence"].startswith("VERDICT: ")
    assert told["sentence"] in shown
    assert told["governing_mechanism"] in told["sentence"]
    rows = re.findall(r'<tr[^>]*><th scope="row">(.*?)</tr>', text)
    for one in told["mechanisms"]:
        (row,) = [row for row in rows if row.startswith(f"{one['name']}<")]
        assert f">{one['word']}<" in row
        assert one["place"] in html.unescape(row)


def test_a_report_starts_from_what_the_run_worked_out(rollsim, folder):
    (folder / "other.toml").write_text(
        (folder / "six.toml").read_text("utf-8").replace("pocket_um = 300", "pocket_um = 200"),
        encoding="utf-8",
    )
    for name in ("six", "other"):
        answer = rollsim("run", f"{name}.toml", "--evaluate", folder=folder)
        assert answer.code == 0
        assert f"evaluating {name}.h5" in answer.err
    texts = []
    for words in ((), ("--afresh",)):
        answer = rollsim("report", "six.h5", "other.h5", "--no-verdict", *words, folder=folder)
        assert answer.code == 0, answer.err
        start = "evaluating" if words else "evaluated before:"
        assert f"{start} six.h5, other.h5" in answer.err
        text = (folder / "report.html").read_text("utf-8")
        texts.append(re.sub(r"Made on [^<]*", "", text).replace(" --afresh", ""))
    assert texts[0] == texts[1]
