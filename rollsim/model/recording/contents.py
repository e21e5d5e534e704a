"""What every format of file hands over: channels in blocks, and what the file says of them."""

from collections.abc import Iterator
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Contents:
    """Channels of a file, to be read once.

    blocks: iterator over (times in s or None, values (n, channels) as they stand in the file);
    rate: Hz, as the file states it, or None; units: channel -> declared unit or None; word: what
    a row is called in the file; first: number of the first row; scale: factor from the numbers in
    the file to the unit of the case; found: keys of the case that the file answered -> value.
    """

    blocks: Iterator
    rate: float | None = None
    units: dict = field(default_factory=dict)
    word: str = "sample"
    first: int = 1
    scale: float = 1.0
    found: dict = field(default_factory=dict)

    def place(self, row):
        """Where a row stands.

        Parameters
        ----------
        row : int
            Number from 0.

        Returns
        -------
        str
            "line 12" or "sample 12".
        """
        return f"{self.word} {self.first + int(row)}"


def positions(wanted, names, what, findings):
    """Columns of wanted channels, by name or by number from 1; unknown ones are problems.

    Parameters
    ----------
    wanted : iterable of str
        Names or numbers as the user gave them.
    names : list of str
        Names in the order of the file.
    what : str
        What the names are, in the plural.
    findings : Findings
        Takes the problems.

    Returns
    -------
    list of int
        Positions from 0; unknown channels are left out.
    """
    found = []
    for name in wanted:
        same = [place for place, known in enumerate(names) if known == name]
        if not same:
            same = [place for place, known in enumerate(names) if known.lower() == name.lower()]
        if len(same) > 1:
            findings.problem(f"{len(same)} {what} have this name: name it by its number", name)
        elif same:
            found.append(same[0])
        elif name.isdigit() and 1 <= int(name) <= len(names):
            found.append(int(name) - 1)
        else:
            shown = ", ".join(f"'{known}'" for known in names[:20])
            more = f" and {len(names) - 20} more" if len(names) > 20 else ""
            findings.problem(f"no such channel; {what}: {shown}{more}", name)
    return found
