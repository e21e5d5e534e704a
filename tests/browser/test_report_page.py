"""The report in a real browser: nothing fails, nothing is fetched, everything moves together."""

import re
import shutil
import subprocess

import pytest

STATE = "Player.state()"


def test_nothing_fails_and_nothing_is_fetched(page):
    page.run("Player.impact(0)")
    assert page.faults() == []


def test_the_player_moves_by_itself_and_stops(page):
    page.run("document.getElementById('stretch').value = '-1'; document.getElementById("
             "'stretch').onchange(); document.getElementById('speed').value = '40'")  # fmt: skip
    before = page.run("document.querySelector('canvas[data-side]').toDataURL()")
    page.run("document.getElementById('play').click()")
    page.until(f"{STATE}.place > 3")
    page.run("document.getElementById('play').click()")
    assert page.run("document.querySelector('canvas[data-side]').toDataURL()") != before
    assert page.run(f"{STATE}.playing") is False


def test_the_player_draws_both_runs_to_one_time(page):
    words = page.run("[...document.querySelectorAll('.now')].map((one) => one.textContent)")
    assert len(words) == 2
    assert all(re.match(r"Greatest pocket force \d+ N", one) for one in words)


def test_a_click_on_a_contact_moves_all_views(page):
    page.run("Player.impact(1)")
    page.run("document.querySelector('#impacts tbody tr[data-impact=\"0\"] button').click()")
    wanted = float(
        page.run("document.querySelector('#impacts tr.chosen td:nth-child(4)').textContent")
    )
    state = page.run(STATE)
    assert state["stretch"] == 0
    assert state["time"] == pytest.approx(wanted, abs=1e-4)
    for figure in ("map-a", "map-b", "timeline-a", "timeline-b", "whirl-a", "slip-b"):
        marks = page.run(
            f"[...document.querySelectorAll('#{figure} .cursor')].map("
            "(one) => [one.hidden, Number(one.dataset.time), one.style.left])"
        )
        assert marks
        for hidden, time, left in marks:
            assert not hidden
            assert time == state["time"]
            assert left.startswith("calc(")


def test_the_mark_stands_where_the_axis_has_its_time(page):
    page.run("Player.impact(0)")
    time = page.run(STATE)["time"]
    place, panel = page.run(
        "(() => { const plot = document.querySelector('#timeline-a .plot'), mark ="
        " plot.querySelector('.cursor'); const box = plot.getBoundingClientRect(); return"
        " [(mark.getBoundingClientRect().left + 1 - box.left) / box.width,"
        " JSON.parse(plot.dataset.panels)[0]]; })()"
    )
    left, _, right, _, first, last = panel
    assert place == pytest.approx(left + (time - first) / (last - first) * (right - left), abs=2e-3)


def test_a_click_into_a_plot_seeks_its_time(page):
    page.run("document.getElementById('stretch').value = '-1'; document.getElementById("
             "'stretch').onchange()")  # fmt: skip
    page.run(
        "(() => { const plot = document.querySelector('#map-b .plot'), box ="
        " plot.getBoundingClientRect(), p = JSON.parse(plot.dataset.panels)[0];"
        " plot.dispatchEvent(new MouseEvent('click', {clientX: box.left + box.width * (p[0] +"
        " p[2]) / 2, clientY: box.top + box.height * (p[1] + p[3]) / 2})); })()"
    )
    assert page.run(f"{STATE}.time") == pytest.approx(0.03, abs=0.001)


def test_the_player_obeys_keys(page):
    page.run("document.getElementById('scrub').blur(); document.getElementById('play').focus();"
             "Player.impact(0)")  # fmt: skip
    before = page.run(f"{STATE}.place")
    page.key("ArrowRight", 39)
    assert page.run(f"{STATE}.place") == before + 1
    page.key("ArrowDown", 40)
    assert page.run(f"{STATE}.stretch") == 1
    page.key("Home", 36)
    assert page.run(STATE)["stretch"] == -1


def test_a_link_gives_the_numbers_of_its_figure(page):
    text = page.run(
        "(async () => { const all = JSON.parse(document.getElementById('data-csv').textContent);"
        " return new TextDecoder().decode(await Player.bytes(all['timeline-a'])); })()"
    )
    assert text.startswith("# Contact forces on the cage: x is")
    assert "Contact forces on the cage,pocket," in text


def test_every_figure_has_words_and_numbers(page):
    found = page.run(
        "[...document.querySelectorAll('.figure')].map((one) => [one.id, one.querySelector("
        "'details.words p').textContent.length, one.querySelector('svg').getAttribute("
        "'aria-labelledby'), Boolean(one.querySelector('a[data-csv]'))])"
    )
    assert len(found) >= 14
    for name, length, label, numbers in found:
        assert length > 60, name
        assert label == f"{name}-words"
        assert numbers


def test_nothing_is_wider_than_a_small_screen(page):
    page.send("Emulation.setDeviceMetricsOverride", width=400, height=800, deviceScaleFactor=1,
              mobile=True)  # fmt: skip
    width = page.run("document.documentElement.scrollWidth")
    page.send("Emulation.clearDeviceMetricsOverride")
    assert width <= 400


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="no pdftotext on this machine")
def test_the_print_has_text_that_can_be_selected(page, tmp_path):
    page.pdf(tmp_path / "report.pdf")
    done = subprocess.run(
        ["pdftotext", tmp_path / "report.pdf", "-"], capture_output=True, text=True, check=True
    )
    text = " ".join(done.stdout.split())
    for words in ("What was not modelled", "Time in s", "pocket_um = 300", "Lock out rotating"):
        assert words in text
