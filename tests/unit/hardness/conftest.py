"""Gives the tests of this folder the modules beside them."""

import sys
from pathlib import Path

FOLDER = Path(__file__).resolve().parent
for _folder in (FOLDER, FOLDER.parents[1] / "support"):
    if str(_folder) not in sys.path:
        sys.path.insert(0, str(_folder))
