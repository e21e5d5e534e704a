"""Text files: columns of numbers, one sample a line."""

import numpy as np

from rollsim.model.recording.contents import Contents, positions
from rollsim.model.recording.text_layout import HEAD, number_in, text_layout
from rollsim.model.recording.units import TIME_IN_SI

_CHUNK = 1 << 22
_MOST_FAULTS = 1000
_MOST_CONTROLS = 0.02
_TIME_NAMES = ("t", "time", "zeit", "times", "timestamp", "time_s", "sec", "seconds")


def open_text(path, source, findings):
    """Open a text file.

    Parameters
    ----------
    path : Path
        The file.
    source : RecordingSource
        Keys of the case.
    findings : Findings
        Takes the problems.

    Returns
    -------
    Contents
        Channels in the order of the case.
    """
    with open(path, "rb") as file:
        raw = file.read(HEAD)
    coding = _coding(raw, findings)
    if len(raw) == HEAD:
        raw = raw[: raw.rfind(b"\n") + 1]
        if not raw:
            findings.stop(f"a line of more than {HEAD} characters: is it a table?", place="line 1")
    layout = text_layout(raw.decode(coding, errors="replace"), source, findings)
    columns = positions(source.channels, layout.names, "columns", findings)
    time = _time_column(source, layout, findings)
    if findings.problems and layout.unlike is not None:
        findings.problem(
            f"the line before the numbers has {layout.unlike} cells, the rows have "
            f"{len(layout.names)}: it is not taken as their titles, and columns go by number",
            place=f"line {layout.header}",
        )
    findings.go_on_only_if_sound()
    units = {layout.names[place]: layout.units[place] for place in columns}
    if time is not None:
        _check_time_unit(layout, time, source, findings)
    reader = _Reader(path, layout, columns, time, findings)
    return Contents(
        blocks=reader.blocks(TIME_IN_SI[source.time_unit]),
        units=units,
        word="line",
        first=layout.header + 1,
        found={
            "delimiter": {"\t": "tab", " ": "space"}.get(layout.delimiter, layout.delimiter),
            "decimal": layout.decimal,
            "header_lines": layout.header,
        },
    )


def _coding(raw, findings):
    """Encoding of the text; binary files are refused."""
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        findings.stop("is text in UTF-16: save it as UTF-8")
    controls = sum(byte < 32 and byte not in b"\t\n\r\f" for byte in raw)
    if b"\0" in raw or controls > _MOST_CONTROLS * max(len(raw), 1):
        findings.stop("is no text but binary data: give its format, or export it as text")
    try:
        raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return "latin-1"
    return "utf-8-sig"


def _time_column(source, layout, findings):
    """Position of the time column, None where the case names none."""
    like = [name for name in layout.names if name.lower() in _TIME_NAMES]
    if source.time_channel is None:
        for name in source.channels:
            if name in like:
                findings.problem("is a column of times, no acceleration", name)
        return None
    same = layout.names.count(source.time_channel)
    if same > 1:
        findings.problem(
            f"{same} columns have this name: give time_channel as the number of the right one",
            source.time_channel,
        )
        return None
    found = positions([source.time_channel], layout.names, "columns", findings)
    if found and layout.names[found[0]] in source.channels:
        findings.problem("is both time_channel and a channel to replay", source.time_channel)
    return found[0] if found else None


def _check_time_unit(layout, column, source, findings):
    """The header does not contradict the unit of the times."""
    unit = layout.units[column]
    if unit in TIME_IN_SI and unit != source.time_unit:
        findings.problem(
            f"the header says {unit}, the case says time_unit = '{source.time_unit}': correct the "
            "one that is wrong",
            layout.names[column],
        )


class _Reader:
    """Reads the rows of a text file in chunks."""

    def __init__(self, path, layout, columns, time, findings):
        """Take over the layout; nothing is read yet."""
        self.path = path
        self.layout = layout
        self.columns = columns
        self.time = time
        self.findings = findings
        self.line = layout.header + 1

    def blocks(self, time_unit):
        """Times in s (or None) and values of every chunk; times in the given unit in s."""
        wanted = self.columns if self.time is None else [*self.columns, self.time]
        for lines in self._chunks():
            rows = self._rows(lines, wanted)
            if not len(rows):
                continue
            if self.time is None:
                yield None, rows
            else:
                yield time_unit * rows[:, -1], rows[:, :-1]

    def _chunks(self):
        """Lines of numbers, many at a time."""
        decimal, delimiter = self.layout.decimal, self.layout.delimiter
        with open(self.path, "rb") as file:
            for _ in range(self.layout.header):
                file.readline()
            rest = b""
            while True:
                raw = file.read(_CHUNK)
                if not raw:
                    break
                end = raw.rfind(b"\n") + 1
                whole, rest = (rest + raw[:end], raw[end:]) if end else (b"", rest + raw)
                if len(rest) > _CHUNK:
                    self.findings.stop(
                        f"a line of more than {_CHUNK} characters: is it a table?",
                        place=f"line {self.line}",
                    )
                if whole:
                    yield self._lines(whole, decimal, delimiter)
            if rest.strip():
                yield self._lines(rest, decimal, delimiter)

    def _lines(self, raw, decimal, delimiter):
        """Lines of a chunk with points as decimal signs."""
        text = raw.decode("latin-1").removeprefix("\xef\xbb\xbf")
        if '"' in text:
            text = text.replace('"', "")
        if decimal == "," and "." not in text:
            text = text.replace(",", ".")
        return text.splitlines()

    def _rows(self, lines, wanted):
        """Numbers of the wanted columns; faulty cells are reported and become NaN."""
        delimiter = None if self.layout.delimiter == " " else self.layout.delimiter
        first = self.line
        self.line += len(lines)
        # Blank lines at the end are common; elsewhere they would shift the numbers of lines.
        while lines and not lines[-1].strip():
            lines.pop()
        if not lines:
            return np.zeros((0, len(wanted)))
        try:
            rows = np.loadtxt(
                lines, delimiter=delimiter, usecols=wanted, comments=None, ndmin=2, dtype=float
            )
            if len(rows) == len(lines):
                return rows
        except ValueError:
            pass
        return self._slow_rows(lines, wanted, first)

    def _slow_rows(self, lines, wanted, first):
        """Like `_rows`, cell by cell, to name every fault."""
        rows = []
        for number, line in enumerate(lines, first):
            cells = self.layout.cells(line)
            place = f"line {number}"
            if not line.strip():
                self.findings.problem(
                    "an empty line between the numbers: take it out",
                    place=place,
                    sort="empty lines",
                )
                continue
            if max(wanted) >= len(cells):
                self.findings.problem(
                    f"{len(cells)} columns, {len(self.layout.names)} expected: the line is cut off",
                    place=place,
                    sort="lines cut off",
                )
                continue
            rows.append([self._cell(cells[column], column, place) for column in wanted])
            if self.findings.count("cells without a number") > _MOST_FAULTS:
                self.findings.stop("more than a thousand faulty cells: it is read no further")
        return np.array(rows, dtype=float).reshape(-1, len(wanted))

    def _cell(self, cell, column, place):
        """Number in a cell; NaN and a problem where there is none."""
        value = number_in(cell, ".")
        if value is None and self.layout.decimal == ",":
            value = number_in(cell, ",")
        if value is None:
            what = f"'{cell[:40]}' is no number" if cell else "an empty cell"
            name = self.layout.names[column]
            advice = "repair it, or leave that part out with start_s and end_s"
            if column == self.time:
                advice = "times are read as numbers; with stamps give rate_Hz in their place"
            self.findings.problem(
                f"{what}: {advice}",
                name,
                place,
                "cells without a number",
            )
            return float("nan")
        return value
