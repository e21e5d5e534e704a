"""Observations from a site: a TOML file of [site] and [[observation]], read like a case file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from rollsim.case.fields import Section, assumed, conditional, list_of, needed
from rollsim.case.lines import LineTable
from rollsim.case.problems import Book, known_text, nearest, validate
from rollsim.case.text import parse_toml, read_text
from rollsim.errors import CaseError

Part = Literal["closures", "bars"]
_SEEN = "what was seen, in words of your own"


class SiteTable(Section):
    """[site]: what the observations belong to."""

    name: str = needed(
        "name of machine and bearing", example="Screen 4, drive side", max_length=200
    )
    pockets: int | None = conditional(
        "number of pockets of the cage", when="to refuse histories of another cage", example=18,
        ge=3, le=200,
    )  # fmt: skip
    note: str = assumed("", "remark", why="none", max_length=1000)


class Broken(Section):
    """kind = "broken": a part broke, cracked or came loose."""

    kind: Literal["broken"] = needed("kind of observation", example="broken")
    part: Part = needed("part that broke", example="closures")
    seen: str = assumed("", _SEEN, why="none", max_length=500)


class Intact(Section):
    """kind = "intact": a part was looked at and is whole."""

    kind: Literal["intact"] = needed("kind of observation", example="intact")
    part: Part = needed("part that is whole", example="bars")
    seen: str = assumed("", _SEEN, why="none", max_length=500)


class MostWorn(Section):
    """kind = "most_worn": the face of the pockets that is worn or polished most."""

    kind: Literal["most_worn"] = needed("kind of observation", example="most_worn")
    face: Literal["leading", "trailing", "base", "cover"] = needed(
        "face of the pockets, all pockets together", example="leading"
    )
    seen: str = assumed("", _SEEN, why="none", max_length=500)


class WornPockets(Section):
    """kind = "worn_pockets": some pockets are worn clearly more than the others."""

    kind: Literal["worn_pockets"] = needed("kind of observation", example="worn_pockets")
    pockets: list_of(int) = needed(
        "numbers of the pockets, the first is 1", example=(3, 4), form="a list of whole numbers"
    )
    seen: str = assumed("", _SEEN, why="none", max_length=500)


class LandMarks(Section):
    """kind = "land_marks": polish or wear on a guiding land."""

    kind: Literal["land_marks"] = needed("kind of observation", example="land_marks")
    on: Literal["cage", "ring"] = needed("which body carries the marks", example="cage")
    extent: Literal["all_round", "one_side", "none"] = needed(
        "where round the land they are", example="all_round"
    )
    seen: str = assumed("", _SEEN, why="none", max_length=500)


class HeardLine(Section):
    """kind = "line": a frequency that was heard or measured and that the cage may make."""

    kind: Literal["line"] = needed("kind of observation", example="line")
    frequency_Hz: float = needed("frequency", "Hz", example=16.2, gt=0, le=1e5)
    within_percent: float = assumed(
        3.0, "how sure the frequency is", "%", why="3 % to either side", gt=0, le=50
    )
    seen: str = assumed("", _SEEN, why="none", max_length=500)


class LifeOfPart(Section):
    """kind = "life": hours after which a part was found broken."""

    kind: Literal["life"] = needed("kind of observation", example="life")
    part: Part = needed("part that broke", example="closures")
    hours: float = needed("running hours when it was found", "h", example=1800.0, gt=0, le=1e6)
    seen: str = assumed("", _SEEN, why="none", max_length=500)


KINDS: dict[str, type[Section]] = {
    "broken": Broken,
    "intact": Intact,
    "most_worn": MostWorn,
    "worn_pockets": WornPockets,
    "land_marks": LandMarks,
    "line": HeardLine,
    "life": LifeOfPart,
}


@dataclass(frozen=True)
class Observations:
    """A file of observations.

    Fields: file (name as given); site; items (sections of `KINDS`, in the order of the file).
    """

    file: str
    site: SiteTable
    items: tuple[Section, ...]


def read_observations(path: str | Path) -> Observations:
    """Read a file of observations.

    Parameters
    ----------
    path : str or Path
        TOML file.

    Returns
    -------
    Observations

    Raises
    ------
    CaseError
        With every problem, its line and what is allowed.
    """
    text = read_text(path)
    data = parse_toml(text, str(path))
    book = Book(str(path), LineTable(text))
    for key in data:
        if key not in ("site", "observation"):
            book.add(
                (key,),
                f"unknown table or key '{key}': a file of observations holds [site] and tables"
                " [[observation]]",
                suggestion=nearest(key, ("site", "observation")),
            )
    site = _site(book, data.get("site"))
    items = _items(book, data.get("observation"))
    if site is not None and not book.problems:
        _check_pockets(book, site, items)
    if book.problems or site is None:
        raise CaseError(book.problems)
    return Observations(str(path), site, tuple(item for item in items if item is not None))


def _site(book: Book, raw: Any) -> SiteTable | None:
    """The table [site]."""
    if not isinstance(raw, Mapping):
        book.add(("site",), "write a table [site] with the key name")
        return None
    return validate(book, ("site",), SiteTable, raw)[0]


def _items(book: Book, raw: Any) -> list[Section | None]:
    """The tables [[observation]]."""
    if not isinstance(raw, list) or not raw:
        book.add(("observation",), "holds no observation: write tables [[observation]] with kind")
        return []
    found = []
    for number, table in enumerate(raw):
        where = ("observation", number)
        kind = table.get("kind") if isinstance(table, Mapping) else None
        if not isinstance(kind, str) or kind not in KINDS:
            book.add(
                (*where, "kind"),
                f"must be one of {known_text(KINDS)}",
                kind,
                nearest(kind, KINDS),
            )
            continue
        found.append(validate(book, where, KINDS[kind], table)[0])
    return found


def _check_pockets(book: Book, site: SiteTable, items: list[Section | None]) -> None:
    """Numbers of pockets exist."""
    for number, item in enumerate(items):
        if not isinstance(item, WornPockets):
            continue
        where = ("observation", number, "pockets")
        if not item.pockets:
            book.add(where, "names no pocket")
        wrong = [one for one in item.pockets if one < 1 or (site.pockets or one) < one]
        if wrong:
            last = f" to {site.pockets}" if site.pockets else ""
            book.add(where, f"pockets are counted from 1{last}", wrong[0])
