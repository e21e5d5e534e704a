"""Reading a case file: every problem in one pass, with file, line, key, value and what is allowed.

Decision: the sections are pydantic models, and the line numbers come from a small scan of our own
over the raw text (`lines.py`). Pydantic finds all wrong values of a table at once, converts
nothing in strict mode and freezes the result; a validator of our own would repeat that in about
as many lines as the whole schema. Its wording and its paths never reach the user: every message
is written here from the declarations in the schema. What pydantic cannot give, lines and
relations between fields of tables that are partly wrong, would be our own work in either case.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

from rollsim.case import (
    checks_boss,
    checks_closure,
    checks_duty,
    checks_fatigue,
    checks_geometry,
    checks_lubricant,
    checks_material,
    checks_pockets,
    checks_preload,
    checks_profile,
    checks_recording,
    checks_run,
    checks_sources,
    checks_vibration,
)
from rollsim.case.assumptions import ledger
from rollsim.case.checks import Block, Values, run_checks
from rollsim.case.environment_file import read_environment_file
from rollsim.case.environments import ENVIRONMENTS, Environment
from rollsim.case.lines import LineTable, Path
from rollsim.case.materials import SHIPPED, Material, MaterialTable, resolve_material
from rollsim.case.places import named_path
from rollsim.case.problems import Book, header, known_text, nearest, validate
from rollsim.case.schema import TABLES, Case
from rollsim.case.schema_closures import BESIDE, CLOSURES, THROUGH
from rollsim.case.schema_parts import Cage
from rollsim.case.text import parse_toml, read_text
from rollsim.case.vibration import SOURCES
from rollsim.errors import CaseError

OTHER_TABLES = ("material", "vibration")
CHECKS = (
    *checks_geometry.CHECKS,
    *checks_profile.CHECKS,
    *checks_pockets.CHECKS,
    *checks_closure.CHECKS,
    *checks_boss.CHECKS,
    *checks_preload.CHECKS,
    *checks_duty.CHECKS,
    *checks_lubricant.CHECKS,
    *checks_material.CHECKS,
    *checks_fatigue.CHECKS,
    *checks_run.CHECKS,
    *checks_vibration.CHECKS,
    *checks_recording.CHECKS,
    *checks_sources.CHECKS,
)
CLOSURE = ("cage", "closure")
RINGS_MADE_OF = "bearing_steel"
NEEDED_TABLES = ("case", "bearing", "roller", "cage", "clearance", "duty")


def load_case(path: str | FilePath) -> Case:
    """Read and validate a case file.

    Parameters
    ----------
    path : str or pathlib.Path
        TOML file, UTF-8, at most 1 MB.

    Returns
    -------
    Case
        The valid case.

    Raises
    ------
    CaseError
        With every problem of the file.
    """
    return parse_case(read_text(path), str(path))


def parse_case(
    text: str, name: str = "<text>", environments: Mapping[str, Environment] | None = None
) -> Case:
    """Validate the text of a case file.

    Parameters
    ----------
    text : str
        TOML text.
    name : str
        Name for messages; a file of environments is looked for beside a file of this name.
    environments : mapping or None
        Environments by name; None reads those of `case.environments_file` beside the shipped.

    Returns
    -------
    Case
        The valid case.

    Raises
    ------
    CaseError
        With every problem of the text.
    """
    data = parse_toml(text, name)
    book = Book(name, LineTable(text))
    blocks = _split(book, data)
    sections: dict[Path, Any] = {}
    for path, block in blocks.items():
        sections[path], block.bad = validate(book, path, block.model, block.raw)
    known = environments or _known_environments(book, data)
    run_checks(book, Values(blocks, known), CHECKS)
    if book.problems:
        raise CaseError(book.problems)
    return replace(_build(text, name, blocks, sections), environments=dict(known))


def _known_environments(book: Book, data: Mapping[str, Any]) -> Mapping[str, Any] | None:
    """Environments by name: the shipped ones and those of the user's file."""
    table = data.get("case")
    file = table.get("environments_file") if isinstance(table, Mapping) else None
    if not isinstance(file, str):
        return ENVIRONMENTS
    path = named_path(book.file, file)
    if not path.is_file():
        text = f"no such file: {path} (it is looked for beside the case file)"
        book.add(("case", "environments_file"), text, file)
        return None
    found, problems = read_environment_file(path)
    book.problems += problems
    return found


def _split(book: Book, data: Mapping[str, Any]) -> dict[Path, Block]:
    """The tables of the file, each with the section that it must be."""
    blocks: dict[Path, Block] = {}
    for name, model in TABLES.items():
        raw = _table(book, (name,), data.get(name, {}))
        if name in NEEDED_TABLES and name not in data:
            _add_missing_table(book, (name,))
        elif raw is not None:
            rings = {key: value for key, value in raw.items() if (name, key) != CLOSURE}
            blocks[(name,)] = Block(model, rings, set())
            if name == "cage":
                _split_closure(book, raw, blocks)
    _split_vibration(book, data.get("vibration", []), blocks)
    _split_materials(book, data.get("material", {}), blocks)
    for name in data:
        if name not in TABLES and name not in OTHER_TABLES:
            _add_unknown_table(book, name)
    return blocks


def _table(book: Book, path: Path, raw: Any) -> Mapping[str, Any] | None:
    """A table as read, or None with a problem where it is something else."""
    if isinstance(raw, Mapping):
        return raw
    title = ".".join(str(part) for part in path)
    if isinstance(raw, list) and raw and all(isinstance(item, Mapping) for item in raw):
        book.add(path, f"write [{title}] in single brackets, once")
    else:
        book.add(path, f"must be a table: write [{title}] on a line of its own", raw)
    return None


def _split_closure(book: Book, cage: Mapping[str, Any], blocks: dict[Path, Block]) -> None:
    """[cage.closure], by its kind."""
    if "closure" not in cage:
        kinds = known_text(CLOSURES)
        book.add(("cage",), f"the table [cage.closure] is missing; it needs kind = one of {kinds}")
        return
    raw = _table(book, CLOSURE, cage["closure"])
    if raw is not None:
        _split_kind(book, CLOSURE, raw, CLOSURES, blocks)


def _split_vibration(book: Book, raw: Any, blocks: dict[Path, Block]) -> None:
    """[[vibration]], each source by its kind."""
    if not isinstance(raw, list) or not all(isinstance(item, Mapping) for item in raw):
        book.add(("vibration",), "write [[vibration]] in double brackets, once for each source")
        return
    for number, source in enumerate(raw):
        _split_kind(book, ("vibration", number), source, SOURCES, blocks)


def _split_kind(
    book: Book,
    path: Path,
    raw: Mapping[str, Any],
    kinds: Mapping[str, Any],
    blocks: dict[Path, Block],
) -> None:
    """A table whose keys depend on its kind."""
    kind = raw.get("kind")
    if isinstance(kind, str) and kind in kinds:
        blocks[path] = Block(kinds[kind], raw, set())
    elif "kind" in raw:
        text = f"must be one of {known_text(kinds)}"
        book.add((*path, "kind"), text, kind, nearest(kind, kinds))
    else:
        book.add(path, f"{header(path)} needs 'kind': one of {known_text(kinds)}")


def _split_materials(book: Book, raw: Any, blocks: dict[Path, Block]) -> None:
    """[material.NAME]."""
    tables = _table(book, ("material",), raw) or {}
    for name, values in tables.items():
        path = ("material", name)
        if not isinstance(values, Mapping) and name in MaterialTable.model_fields:
            book.add(path, "a material has a name of its own: write [material.NAME]", values)
            continue
        table = _table(book, path, values)
        if table is not None:
            blocks[path] = Block(MaterialTable, table, set())


def _add_missing_table(book: Book, path: Path) -> None:
    """A needed table is not there: say which keys it must have."""
    fields = TABLES[str(path[0])].model_fields.items()
    keys = [name for name, field in fields if field.is_required()]
    book.add(path, f"the table [{path[0]}] is missing; it needs {known_text(keys)}")


def _add_unknown_table(book: Book, name: str) -> None:
    """A table or a key in front of all tables that nobody knows."""
    known = (*TABLES, *OTHER_TABLES)
    suggestion = nearest(name, known)
    homes = [table for table, model in TABLES.items() if name in model.model_fields]
    if suggestion is None and homes:
        suggestion = f"{homes[0]}.{name}"
    text = f"unknown table or key '{name}'"
    if suggestion is None:
        text += f"; known tables: {', '.join(known)}"
    book.add((name,), text, suggestion=suggestion)


def _build(text: str, name: str, blocks: dict[Path, Block], sections: dict[Path, Any]) -> Case:
    """The case, from sections without problems."""
    used = _materials_in_use(sections)
    materials = _materials(sections)
    closure = sections[CLOSURE]
    for key in ("material", "boss_material"):
        if used.get(f"cage.closure.{key}"):
            closure = closure.model_copy(update={key: used[f"cage.closure.{key}"]})
    cage = Cage.model_construct(**dict(sections[("cage",)]), closure=closure)
    single = {table: sections[(table,)] for table in TABLES if table != "cage"}
    sources = tuple(section for path, section in sections.items() if path[0] == "vibration")
    return Case(
        **single,
        cage=cage,
        vibration=sources,
        materials=materials,
        environments=dict(ENVIRONMENTS),
        assumptions=ledger(blocks, materials, used),
        text=text,
        name=name,
    )


def _materials_in_use(sections: dict[Path, Any]) -> dict[str, str]:
    """Key that names a material -> the name in force."""
    cage, closure = sections[("cage",)], sections[CLOSURE]
    used = {"roller.material": sections[("roller",)].material, "cage.material": cage.material}
    used[""] = RINGS_MADE_OF  # no key names it
    if closure.kind != "one_piece":
        used["cage.closure.material"] = closure.material or cage.material
    if getattr(closure, "position", THROUGH) == BESIDE and closure.boss_joint == "separate":
        used["cage.closure.boss_material"] = closure.boss_material or cage.material
    return used


def _materials(sections: dict[Path, Any]) -> dict[str, Material]:
    """All materials of the case: the shipped ones and those of the user."""
    given = {
        str(path[1]): {key: getattr(section, key) for key in section.model_fields_set}
        for path, section in sections.items()
        if path[0] == "material"
    }
    return {name: resolve_material(name, given.get(name, {})) for name in (*SHIPPED, *given)}
