"""Layout of a text file with columns: delimiter, decimal sign, header lines, names and units."""

from dataclasses import dataclass

from rollsim.model.recording.units import is_unit, name_and_unit, plain_unit

HEAD = 1 << 16
"""Bytes at the start of a file in which its layout must show."""

_TRIED = tuple((mark, sign) for mark in (";", "\t", "|", ",", " ") for sign in (".", ",")
               if (mark, sign) != (",", ","))  # fmt: skip
_LOOKED_AT = 20
_FEWEST_ALIKE = 5
_SPELLED = {"tab": "\t", "space": " "}


@dataclass(frozen=True)
class TextLayout:
    """delimiter and decimal sign; header: lines before the numbers; names; units (or None).

    unlike: number of cells of the line before the numbers, where it cannot hold their titles; else
    None.
    """

    delimiter: str
    decimal: str
    header: int
    names: list
    units: list
    unlike: int | None = None

    def cells(self, line):
        """Cells of a line.

        Parameters
        ----------
        line : str
            One line.

        Returns
        -------
        list of str
            Without blanks around; what stands behind a last delimiter is no cell where it is one
            too many.
        """
        cells = split_line(line, self.delimiter)
        missing = len(cells) == len(self.names) - 1 and line.rstrip().endswith(self.delimiter)
        return [*cells, ""] if missing else cells


def split_line(line, delimiter):
    """Cells of a line.

    Parameters
    ----------
    line : str
        One line.
    delimiter : str
        One character; a blank stands for any white space.

    Returns
    -------
    list of str
        Without blanks and quotes around; an empty cell behind a last delimiter is dropped.

    >>> split_line('1; "2" ;', ";"), split_line(" 1   2", " ")
    (['1', '2'], ['1', '2'])
    """
    cells = line.split() if delimiter == " " else line.strip("\r\n").split(delimiter)
    cells = [cell.strip().strip('"').strip() for cell in cells]
    if len(cells) > 1 and not cells[-1]:
        cells.pop()
    return cells


def number_in(cell, decimal):
    """Number in a cell, None where there is none.

    Parameters
    ----------
    cell : str
        Text of the cell.
    decimal : str
        Decimal sign.

    Returns
    -------
    float or None
        The value; "nan" and "inf" are numbers too.

    >>> number_in("1,5", ","), number_in("1,5", "."), number_in("1.5", ",")
    (1.5, None, None)
    """
    if decimal == ",":
        if "." in cell:
            return None
        cell = cell.replace(",", ".")
    try:
        return float(cell) if "_" not in cell else None
    except ValueError:
        return None


def text_layout(head, source, findings):
    """Find the layout in the first lines; what the case gives is taken from there.

    Parameters
    ----------
    head : str
        Start of the file, whole lines.
    source : RecordingSource
        delimiter, decimal and header_lines of the case.
    findings : Findings
        Takes the problem where there is no table of numbers.

    Returns
    -------
    TextLayout
        The layout.
    """
    lines = head.splitlines()
    # Stamps and words among the columns are common in the files of loggers.
    best = _best_layout(lines, source, _first_row) or _best_layout(lines, source, _first_mixed_row)
    if best is None:
        findings.stop(_no_numbers(lines))
    _, delimiter, decimal, start, columns = best
    names, units, unlike = _titles(lines[:start], delimiter, columns, findings)
    return TextLayout(delimiter, decimal, start, names, units, unlike)


def _best_layout(lines, source, first_row):
    """Rank, delimiter, decimal, first row, columns: rows that begin first, then most columns."""
    best = None
    for delimiter, decimal in _candidates(source):
        start = first_row(lines, delimiter, decimal, source.header_lines)
        if start is None:
            continue
        columns = len(split_line(lines[start], delimiter))
        rank = (-start, columns)
        if best is None or rank > best[0]:
            best = (rank, delimiter, decimal, start, columns)
    return best


def _first_mixed_row(lines, delimiter, decimal, header):
    """Line from which on the same columns hold numbers, others may hold words; None without."""
    pattern, start, seen = None, None, 0
    for place in range(header or 0, len(lines)):
        if not lines[place].strip():
            continue
        cells = split_line(lines[place], delimiter)
        numbers = [number_in(cell, decimal) is not None for cell in cells]
        if numbers == pattern:
            seen += 1
        else:
            pattern, start, seen = (numbers, place, 1) if any(numbers) else (None, None, 0)
        if seen >= _LOOKED_AT:
            return start
    return start if seen >= _FEWEST_ALIKE else None


def _candidates(source):
    """Pairs of delimiter and decimal sign to try."""
    mark = _SPELLED.get(source.delimiter, source.delimiter)
    return [
        pair for pair in _TRIED if mark in (None, pair[0]) and source.decimal in (None, pair[1])
    ]


def _no_numbers(lines):
    """Words for a file without a table."""
    filled = [line for line in lines if line.strip()]
    if not filled:
        return "the file is empty"
    return (
        f"no rows of numbers follow its {len(filled)} first lines; the last of them reads "
        f"'{filled[-1][:60]}'. Text files hold one sample a line; delimiter, decimal and "
        "header_lines can be given"
    )


def _first_row(lines, delimiter, decimal, header):
    """Line from which on all lines looked at are rows of numbers; None where there is none."""
    wanted = None
    start = None
    for place in range(header or 0, len(lines)):
        if not lines[place].strip():
            continue
        cells = split_line(lines[place], delimiter)
        numbers = [number_in(cell, decimal) is not None for cell in cells]
        # A faulty cell among good ones is reported with its line later.
        is_row = any(numbers) and all(
            good or not cell or start is not None for good, cell in zip(numbers, cells, strict=True)
        )
        if not is_row or (wanted is not None and len(cells) != wanted):
            if start is not None and place - start >= 2:
                return start  # broken further down: a faulty row, not the header
            start, wanted = (place, len(cells)) if is_row else (None, None)
            if header is not None and not is_row:
                return None
        elif start is None:
            start, wanted = place, len(cells)
        elif place - start >= _LOOKED_AT:
            return start
    return start


def _titles(header, delimiter, columns, findings):
    """Names and units of the columns, from the last lines of the header, and its unlike cells."""
    rows = [split_line(line.lstrip("#%"), delimiter) for line in header if line.strip()]
    units = [None] * columns
    if len(rows) > 1 and len(rows[-1]) == columns and all(map(_unit_or_empty, rows[-1])):
        units = [plain_unit(cell) or None for cell in rows.pop()]
    numbers = [str(number + 1) for number in range(columns)]
    if not rows:
        return numbers, units, None
    if len(rows[-1]) != columns:
        _check_titles(rows[-1], delimiter, columns, findings)
        return numbers, units, len(rows[-1])
    pairs = [name_and_unit(cell) for cell in rows[-1]]
    found = [unit or below for (_, unit), below in zip(pairs, units, strict=True)]
    return [name for name, _ in pairs], found, None


def _unit_or_empty(cell):
    """Whether a cell of a line of units is one."""
    return not cell or is_unit(cell)


def _check_titles(titles, delimiter, columns, findings):
    """Twice as many numbers as titles between commas: decimal commas between commas."""
    if delimiter == "," and len(titles) > 1 and columns % len(titles) == 0:
        findings.stop(
            f"the header has {len(titles)} columns, the rows have {columns}: commas seem to "
            "separate both columns and decimals. Export with ';' or tabs between the columns"
        )
