"""Conversion factors between the units of case files and SI.

Multiply a value in the named unit by the factor to get SI; divide to go back.

>>> round(1800 * RPM_TO_RAD_S, 3)
188.496
>>> round(0.16 * G2_PER_HZ, 4)
15.3873
"""

from __future__ import annotations

import math

#: mm -> m
MM = 1e-3
#: um -> m
UM = 1e-6
#: m -> m, to make a conversion visible where a key is in metres
M = 1.0

#: kN -> N
KN = 1e3
#: MPa (N/mm2) -> Pa
MPA = 1e6
#: GPa -> Pa
GPA = 1e9
#: mPa s -> Pa s
MPA_S = 1e-3
#: N/um -> N/m
N_PER_UM = 1e6
#: N s/mm -> N s/m
NS_PER_MM = 1e3

#: rev/min -> rad/s
RPM_TO_RAD_S = 2.0 * math.pi / 60.0
#: Hz -> rad/s
HZ_TO_RAD_S = 2.0 * math.pi
#: degree -> rad
DEG = math.pi / 180.0
#: mrad -> rad
MRAD = 1e-3

#: us -> s
US = 1e-6
#: ms -> s
MS = 1e-3
#: h -> s
HOUR = 3600.0

#: Standard acceleration of free fall in m/s2 (ISO 80000-3, exact by definition).
G0 = 9.80665
#: g2/Hz -> (m/s2)2/Hz
G2_PER_HZ = G0 * G0
