"""The case file as a whole: which table is read into which section, and the Case object."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from rollsim.case.environments import Environment
from rollsim.case.fields import Section
from rollsim.case.materials import Material
from rollsim.case.schema_duty import Duty
from rollsim.case.schema_lubricant import Lubricant
from rollsim.case.schema_parts import Bearing, Cage, CagePart, CaseInfo, Clearance, Roller
from rollsim.case.schema_run import Contact, Fatigue, Output, Solver
from rollsim.case.vibration import ExciterSource, PsdSource, SineSource

#: Tables that stand once in a case file, in the order of the template.
TABLES: dict[str, type[Section]] = {
    "case": CaseInfo,
    "bearing": Bearing,
    "roller": Roller,
    "cage": CagePart,
    "lubricant": Lubricant,
    "clearance": Clearance,
    "contact": Contact,
    "duty": Duty,
    "solver": Solver,
    "output": Output,
    "fatigue": Fatigue,
}


@dataclass(frozen=True)
class Assumption:
    """One value that the user did not give.

    Fields: key (dotted path), value (None where the model computes it), unit (empty for none),
    why (reason for the value), effect (what it does to the results, empty where not known).
    """

    key: str
    value: Any
    unit: str
    why: str
    effect: str = ""


@dataclass(frozen=True)
class Case:
    """A valid case: the tables of the file as frozen sections, in the units of their keys.

    Fields: the sections by the name of their table; vibration (tuple of sources, maybe empty);
    materials (name -> Material, shipped and user's own); environments (name -> Environment,
    likewise); assumptions (every value not given);
    text (the file as read); name (file name, for messages).
    """

    case: CaseInfo
    bearing: Bearing
    roller: Roller
    cage: Cage
    lubricant: Lubricant
    clearance: Clearance
    contact: Contact
    duty: Duty
    solver: Solver
    output: Output
    fatigue: Fatigue
    vibration: tuple[PsdSource | SineSource | ExciterSource, ...]
    materials: dict[str, Material]
    environments: dict[str, Environment]
    assumptions: tuple[Assumption, ...]
    text: str
    name: str = "<text>"
