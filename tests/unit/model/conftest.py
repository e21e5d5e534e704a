"""A small valid case that the tests of this folder change where they need to."""

import pytest

from rollsim.case.read import parse_case

TEXT = """
[case]
name = "bearing of the model tests"
seed = 11
[bearing]
bore_mm = 130
outside_diameter_mm = 240
width_mm = 64
pitch_diameter_mm = 182
[roller]
count = 18
diameter_mm = 26
length_mm = 44
[cage]
outer_diameter_mm = 198
inner_diameter_mm = 178
base_ring_thickness_mm = 5
cover_thickness_mm = 4.5
guidance = "outer_ring"
[cage.closure]
kind = "steel_rivet"
diameter_mm = 3
[clearance]
radial_um = 60
pocket_um = 300
guidance_um = 400
[duty]
speed_rpm = 1200
duration_s = 2
radial_load_kN = 20
[solver]
motion = "spatial"
"""


@pytest.fixture
def model_case():
    """Function that parses the case after text replacements and with tables appended."""

    def make(*replacements, extra=""):
        """Parse the changed text."""
        text = TEXT
        for old, new in replacements:
            assert old in text
            text = text.replace(old, new)
        return parse_case(text + extra, "model test")

    return make
