"""Numbers for people and for machines: rounding, tables, JSON-ready values."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence

import numpy as np

from rollsim.cautions import CAUTION

__all__ = ["CAUTION", "json_ready", "number", "numbering", "percent", "table", "wrapped"]


def json_ready(value):
    """Return a value that the json module can write as strict JSON.

    Parameters
    ----------
    value : object
        Number, text, array, or nested dicts and sequences of them.

    Returns
    -------
    object
        Arrays become lists; NaN and infinity become None, which JSON writes as null.

    Examples
    --------
    >>> json_ready({"a": np.array([1.0, np.nan]), "b": np.int64(3)})
    {'a': [1.0, None], 'b': 3}
    """
    if isinstance(value, dict):
        return {str(key): json_ready(item) for key, item in value.items()}
    if isinstance(value, np.ndarray):
        return json_ready(value.tolist())
    if isinstance(value, list | tuple):
        return [json_ready(item) for item in value]
    if isinstance(value, np.generic):
        return json_ready(value.item())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value


def number(value: float, digits: int = 3) -> str:
    """Return a number with a few significant digits, "-" for NaN.

    Parameters
    ----------
    value : float
        Any number.
    digits : int
        Significant digits; digits left of the point are never cut.

    Returns
    -------
    str

    Examples
    --------
    >>> number(1234.56), number(0.012345), number(float("nan")), number(0.0)
    ('1235', '0.0123', '-', '0')
    """
    value = float(value)
    if math.isnan(value):
        return "-"
    if value == 0.0 or math.isinf(value):
        return f"{value:g}"
    # The exponent after rounding: 99.96 has three digits as 100, not as 100.0.
    exponent = int(f"{value:.{digits - 1}e}".partition("e")[2])
    places = max(0, digits - 1 - exponent)
    if abs(value) >= 1e7 or places > 7:
        return f"{value:.{digits - 1}e}"
    return f"{value:.{places}f}"


def numbering(count: int) -> str:
    """Return how rollers and bars are counted in everything written for people.

    Parameters
    ----------
    count : int
        Number of rollers.

    Returns
    -------
    str

    Examples
    --------
    >>> numbering(18)
    'rollers 1 to 18, bar 1 lies ahead of roller 1; the arrays of the history file count from 0'
    """
    return (
        f"rollers 1 to {count}, bar 1 lies ahead of roller 1; the arrays of the history file count"
        " from 0"
    )


def percent(share: float, digits: int = 1) -> str:
    """Return a share as per cent, "-" for NaN.

    Parameters
    ----------
    share : float
        1 is 100 %.
    digits : int
        Digits right of the point.

    Returns
    -------
    str

    Examples
    --------
    >>> percent(0.1234), percent(-1e-9)
    ('12.3 %', '0.0 %')
    """
    if math.isnan(share):
        return "-"
    # Adding 0 turns a rounded -0 into 0.
    return f"{round(100.0 * share, digits) + 0.0:.{digits}f} %"


def table(head: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    """Return the lines of a table: first column to the left, the others to the right.

    Parameters
    ----------
    head : sequence of str
        Column titles with units.
    rows : sequence of sequences of str
        Cells.

    Returns
    -------
    list of str

    Examples
    --------
    >>> table(["face", "max N"], [["leading", "12"]])
    ['  face     max N', '  leading     12']
    """
    widths = [max(len(cell) for cell in column) for column in zip(head, *rows, strict=True)]
    lines = []
    for row in (head, *rows):
        cells = [row[0].ljust(widths[0])]
        cells += [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        lines.append("  " + "  ".join(cells).rstrip())
    return lines


def wrapped(text: str) -> list[str]:
    """Return the lines of a paragraph, at most 98 characters each, indented after the first.

    Parameters
    ----------
    text : str
        One paragraph; its own leading blanks are kept on every line.

    Returns
    -------
    list of str

    Examples
    --------
    >>> wrapped("  " + "word " * 20)[1]
    '    word'
    """
    body = text.lstrip(" ")
    lead = " " * (len(text) - len(body))
    return textwrap.wrap(body, 98, initial_indent=lead, subsequent_indent=lead + "  ")
