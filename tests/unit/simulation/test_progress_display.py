"""What a run shows while it goes on."""

import io

import pytest

from rollsim.simulation.progress import Progress, Silence


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self):
        """Always."""
        return True


def _times(display, times, largest=100.0):
    """Update a display at some times and close it."""
    for time in times:
        display.update(time, largest)
    display.close()


def test_a_log_gets_at_most_ten_lines_and_none_twice():
    stream = io.StringIO()
    _times(Progress(1.0, 0.0, stream), [i / 500 for i in range(1, 501)])
    lines = stream.getvalue().splitlines()
    assert len(lines) == 10
    assert lines[0].startswith("0.100 of 1 s simulated, about 0 s left, peak pocket force 100 N")
    assert lines[-1].startswith("1.000 of 1 s simulated")
    assert "\r" not in stream.getvalue()


def test_blocks_longer_than_a_tenth_get_a_line_each():
    stream = io.StringIO()
    _times(Progress(1.0, 0.0, stream), [0.4, 0.8, 1.0])
    assert len(stream.getvalue().splitlines()) == 3


def test_time_left_counts_what_this_process_computed(monkeypatch):
    now = [100.0]
    monkeypatch.setattr("rollsim.simulation.progress.time.monotonic", lambda: now[0])
    stream = io.StringIO()
    display = Progress(2.0, 1.0, stream)
    now[0] += 8.0
    display.update(1.4, 5.0)
    # 0.4 s took 8 s, 0.6 s are left: 12 s.
    assert stream.getvalue() == ("1.400 of 2 s simulated, about 12 s left, peak pocket force 5 N\n")


@pytest.mark.parametrize("make", [io.StringIO, Terminal])
def test_settling_has_no_peak_yet(make):
    stream = make()
    _times(Progress(1.0, 0.0, stream), [0.5], largest=None)
    assert "settling" in stream.getvalue()
    assert "peak" not in stream.getvalue()


def test_a_terminal_gets_a_bar_even_where_it_knows_no_width(monkeypatch):
    monkeypatch.setenv("COLUMNS", "0")
    stream = Terminal()
    _times(Progress(1.0, 0.25, stream), [0.5, 1.0])
    assert "running:  25%" in stream.getvalue()
    assert "running: 100%" in stream.getvalue()
    assert "1.000/1.000 s simulated" in stream.getvalue()
    assert "peak pocket force 100 N" in stream.getvalue()


def test_a_bar_never_runs_over_its_end():
    stream = Terminal()
    _times(Progress(1.0, 0.0, stream), [0.9, 1.00004])
    assert "1.000/1.000" in stream.getvalue()
    assert "101%" not in stream.getvalue()


def test_a_stream_without_isatty_counts_as_a_log():
    class Plain:
        def __init__(self):
            self.text = ""

        def write(self, text):
            self.text += text

        def flush(self):
            pass

    stream = Plain()
    _times(Progress(1.0, 0.0, stream), [1.0])
    assert stream.text.endswith("\n")


def test_silence_is_silent(capfd):
    _times(Silence(), [0.5, 1.0])
    assert capfd.readouterr() == ("", "")
