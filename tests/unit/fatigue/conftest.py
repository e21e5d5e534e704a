"""Make cage cases, the synthetic history writer and the plain history importable."""

import sys
from pathlib import Path

UNIT = Path(__file__).resolve().parents[1]
for folder in (UNIT / "structure", UNIT.parent / "support", UNIT / "fatigue"):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))
