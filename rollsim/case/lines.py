"""Line numbers of the keys of a TOML text: the standard reader keeps none.

The text has been read by `tomllib` before, so it is valid and the scan can be simple. A path is a
tuple of keys and of positions in lists: ("vibration", 0, "psd", 3).
"""

from __future__ import annotations

import tomllib
from bisect import bisect_right

Path = tuple[str | int, ...]
_BLANK = " \t"
_QUOTES = ('"""', "'''", '"', "'")


class LineTable:
    """Where each key, table and list item of a TOML text stands.

    Parameters
    ----------
    text : str
        Valid TOML.
    """

    def __init__(self, text: str) -> None:
        self._text = text
        self._starts = [0] + [spot + 1 for spot, char in enumerate(text) if char == "\n"]
        self._lines: dict[Path, int] = {}
        self._counts: dict[Path, int] = {}
        self._spot = 0
        try:
            self._read_document()
        except RecursionError:  # lists nested absurdly deep: problems go without a line
            self._lines.clear()

    def line(self, path: Path) -> int | None:
        """Line of a key, or of the nearest table around it.

        Parameters
        ----------
        path : tuple
            Keys and positions in lists.

        Returns
        -------
        int or None
            First line is 1; None where nothing on the path stands in the text.
        """
        for length in range(len(path), 0, -1):
            if path[:length] in self._lines:
                return self._lines[path[:length]]
        return None

    def _read_document(self) -> None:
        """Walk over table headers and key-value lines."""
        table: Path = ()
        while self._skip_blank_lines():
            if self._peek() == "[":
                table = self._read_header()
            else:
                self._read_pair(table)

    def _read_header(self) -> Path:
        """Read [a.b] or [[a.b]]; the path of the table that it opens."""
        line = self._line_here()
        is_list = self._text.startswith("[[", self._spot)
        self._spot += 2 if is_list else 1
        path = self._inside_lists(self._read_key())
        self._spot += 2 if is_list else 1
        if is_list:
            self._note(path, line)
            position = self._counts.get(path, 0)
            self._counts[path] = position + 1
            path = (*path, position)
        self._note(path, line)
        return path

    def _inside_lists(self, keys: list[str]) -> Path:
        """Path of a header; below a list of tables it belongs to the last of them."""
        path: Path = ()
        for number, key in enumerate(keys, 1):
            path = (*path, key)
            if number < len(keys) and path in self._counts:
                path = (*path, self._counts[path] - 1)
        return path

    def _read_pair(self, table: Path) -> None:
        """Read key = value, the key maybe dotted."""
        line = self._line_here()
        keys = self._read_key()
        for length in range(1, len(keys) + 1):
            self._note((*table, *keys[:length]), line)
        self._skip(_BLANK + "=")
        self._read_value((*table, *keys))

    def _read_key(self) -> list[str]:
        """Parts of a dotted key, quotes taken off."""
        parts = []
        while True:
            self._skip(_BLANK)
            parts.append(self._read_key_part())
            self._skip(_BLANK)
            if self._peek() != ".":
                return parts
            self._spot += 1

    def _read_key_part(self) -> str:
        """One part of a key, bare or quoted."""
        start = self._spot
        if self._peek() in ("'", '"'):
            self._skip_text()
            return tomllib.loads(f"k = {self._text[start : self._spot]}")["k"]
        while self._peek() not in (*_BLANK, "=", ".", "]", ""):
            self._spot += 1
        return self._text[start : self._spot]

    def _read_value(self, path: Path) -> None:
        """Pass over a value and note the lines of what is inside it."""
        char = self._peek()
        if char == "[":
            self._read_list(path)
        elif char == "{":
            self._read_inline_table(path)
        elif char in ("'", '"'):
            self._skip_text()
        else:
            while self._peek() not in (",", "]", "}", "\n", "#", ""):
                self._spot += 1

    def _read_list(self, path: Path) -> None:
        """Pass over [a, b, ...], also over several lines."""
        self._spot += 1
        position = 0
        while self._skip_blank_lines(also=",") and self._peek() != "]":
            self._note((*path, position), self._line_here())
            self._read_value((*path, position))
            position += 1
        self._spot += 1

    def _read_inline_table(self, path: Path) -> None:
        """Pass over {a = 1, b = 2}."""
        self._spot += 1
        while self._skip_blank_lines(also=",") and self._peek() != "}":
            self._read_pair(path)
        self._spot += 1

    def _skip_text(self) -> None:
        """Pass over a quoted text of any of the four kinds."""
        quote = next(mark for mark in _QUOTES if self._text.startswith(mark, self._spot))
        self._spot += len(quote)
        while not self._text.startswith(quote, self._spot) and self._spot < len(self._text):
            is_escape = quote[0] == '"' and self._peek() == "\\"
            self._spot += 2 if is_escape else 1
        self._spot += len(quote)
        # a long text may end in one or two quotes of its own: """"a""""
        while len(quote) == 3 and self._peek() == quote[0]:
            self._spot += 1

    def _skip_blank_lines(self, also: str = "") -> bool:
        """Pass over white space and comments; whether anything follows."""
        while True:
            self._skip(_BLANK + "\r\n" + also)
            if self._peek() != "#":
                return self._spot < len(self._text)
            end = self._text.find("\n", self._spot)
            self._spot = len(self._text) if end < 0 else end

    def _skip(self, chars: str) -> None:
        """Pass over any of these characters."""
        while self._spot < len(self._text) and self._text[self._spot] in chars:
            self._spot += 1

    def _peek(self) -> str:
        """The next character; empty at the end."""
        return self._text[self._spot : self._spot + 1]

    def _line_here(self) -> int:
        """Number of the line that the scan has reached."""
        return bisect_right(self._starts, self._spot)

    def _note(self, path: Path, line: int) -> None:
        """Remember the first line of a path."""
        self._lines.setdefault(path, line)
