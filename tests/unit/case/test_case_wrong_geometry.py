"""Parts that do not fit into each other: the words that a person reads."""

import pytest

from rollsim.case.read import parse_case

# passage of the good file, what stands there instead, every problem word for word
WRONG_GEOMETRY = [
    (
        "pocket_um = 300.0",
        "pocket_um = -20",
        [
            "screen.toml, line 29: clearance.pocket_um = -20: must be a number in um, "
            "greater than 0, at most 20000; otherwise the pocket is smaller than the roller",
        ],
    ),
    (
        "bore_mm = 130.0",
        "bore_mm = 157",
        [
            "screen.toml, line 5: bearing.bore_mm = 157: must be less than the inner raceway "
            "of 156 mm (pitch diameter minus roller diameter)",
        ],
    ),
    (
        "outside_diameter_mm = 230.0",
        "outside_diameter_mm = 207",
        [
            "screen.toml, line 6: bearing.outside_diameter_mm = 207: must be greater than "
            "the outer raceway of 208 mm (pitch diameter plus roller diameter)",
        ],
    ),
    (
        "count = 18",
        "count = 24",
        [
            "screen.toml, line 11: roller.count = 24: 24 rollers of 26 mm do not fit on a "
            "pitch circle of 182 mm: no bar is left between the pockets, at least 0.52 mm "
            "are needed; at most 21 fit",
        ],
    ),
    (
        "length_mm = 44.0",
        "length_mm = 64.0",
        [
            (
                "screen.toml, line 7: bearing.width_mm = 64.0: cage is wider than the "
                "bearing: roller, axial play, base ring and cover take 73.9 mm"
            ),
            (
                "screen.toml, line 13: roller.length_mm = 64.0: roller is too long: the "
                "bearing is 64 mm wide and the play between the flanges takes 100 um of it"
            ),
        ],
    ),
    (
        "base_ring_thickness_mm = 5.0",
        "base_ring_thickness_mm = 0.01",
        [
            "screen.toml, line 18: cage.base_ring_thickness_mm = 0.01: a ring 10 mm wide and so "
            "thin is foil: at least 0.1 mm are needed",
        ],
    ),
    (
        "length_mm = 44.0",
        "length_mm = 55.0",
        [
            "screen.toml, line 7: bearing.width_mm = 64.0: cage is wider than the bearing: "
            "roller, axial play, base ring and cover take 64.9 mm",
        ],
    ),
    (
        "length_mm = 44.0",
        "length_mm = 44.0\neffective_length_mm = 45",
        [
            "screen.toml, line 14: roller.effective_length_mm = 45: must be at most the "
            "roller length of 44 mm",
        ],
    ),
    (
        "outer_diameter_mm = 198.0",
        "outer_diameter_mm = 209",
        [
            "screen.toml, line 16: cage.outer_diameter_mm = 209: cage touches the outer "
            "ring: must be less than the outer raceway of 208 mm (pitch diameter plus roller "
            "diameter)",
        ],
    ),
    (
        "inner_diameter_mm = 178.0",
        "inner_diameter_mm = 150",
        [
            "screen.toml, line 17: cage.inner_diameter_mm = 150: cage touches the inner "
            "ring: must be greater than the inner raceway of 156 mm (pitch diameter minus "
            "roller diameter)",
        ],
    ),
    (
        "inner_diameter_mm = 178.0",
        "inner_diameter_mm = 198",
        [
            "screen.toml, line 17: cage.inner_diameter_mm = 198: must be less than the "
            "outside diameter of the cage, 198 mm",
        ],
    ),
    (
        "guidance_um = 400.0\n",
        "",
        [
            "screen.toml, line 27: [clearance] needs 'guidance_um' (diametral, in um) with "
            "cage.guidance = 'outer_ring'; only a roller guided cage goes without",
        ],
    ),
    (
        'guidance = "outer_ring"',
        'guidance = "roller"\npocket_side_angle_deg = 1',
        [
            "screen.toml, line 21: cage.pocket_side_angle_deg = 1: a cage guided by its rollers "
            "needs a pocket_side_angle_deg of at least 3 degrees, or a pocket_contour_radius_mm: "
            "between parallel flat sides nothing holds it in the middle",
        ],
    ),
    (
        'guidance = "outer_ring"',
        'guidance = "roller"\npocket_contour_radius_mm = 13.1',
        [
            "screen.toml, line 21: cage.pocket_contour_radius_mm = 13.1: must be greater than "
            "13.15 mm, half of roller diameter plus pocket clearance: a tighter contour would "
            "touch the roller with its edges alone",
        ],
    ),
    (
        'guidance = "outer_ring"',
        'guidance = "outer_ring"\npocket_contour_radius_mm = 14\npocket_side_angle_deg = 2',
        [
            "screen.toml, line 22: cage.pocket_side_angle_deg = 2: must be 0 with a "
            "pocket_contour_radius_mm: one or other",
        ],
    ),
    (
        "guidance_um = 400.0\n",
        "guidance_um = 12000\n",
        [
            "screen.toml, line 30: clearance.guidance_um = 12000: land of the outer ring "
            "would lie at 210 mm, outside its raceway of 208 mm",
        ],
    ),
    (
        'guidance = "outer_ring"',
        'guidance = "outer_ring"\nland_width_mm = 6',
        [
            "screen.toml, line 21: cage.land_width_mm = 6: must be at most the thickness of "
            "the cage rings, 5 mm",
        ],
    ),
    (
        'guidance = "outer_ring"',
        'guidance = "outer_ring"\ncover_load_diameter_mm = 200',
        [
            "screen.toml, line 21: cage.cover_load_diameter_mm = 200: must lie on the cover "
            "ring, from 178 to 198 mm",
        ],
    ),
    (
        "diameter_mm = 5.0\n",
        "diameter_mm = 8.5\n",
        [
            (
                "screen.toml, line 24: cage.closure.diameter_mm = 8.5: rivet is wider than "
                "the bar: the bar is 6.78 mm wide on the circle of 190 mm"
            ),
            (
                "screen.toml, line 25: cage.closure.circle_diameter_mm = 190.0: rivet of 8.5 "
                "mm on a circle of 190 mm comes too close to the edge of the cage ring (178 "
                "to 198 mm): no metal is left, at least 1.7 mm are needed"
            ),
        ],
    ),
    (
        "circle_diameter_mm = 190.0\n",
        "circle_diameter_mm = 190.0\npreload_N = 100000\n",
        [
            "screen.toml, line 26: cage.closure.preload_N = 100000: pulls a rivet of 5 mm with "
            "5.09e+03 MPa, more than the yield strength of rivet_steel, 280 MPa: at most 5498 N",
        ],
    ),
    (
        'kind = "steel_rivet"\ndiameter_mm = 5.0\n',
        'kind = "integral_tenon"\ntangential_width_mm = 5.0\nradial_height_mm = 5.0\n'
        "preload_N = 6000\n",
        [
            "screen.toml, line 26: cage.closure.preload_N = 6000: pulls a tenon of 5 x 5 mm with "
            "240 MPa, more than the yield strength of CuZn40Pb2, 220 MPa: at most 5500 N",
        ],
    ),
    (
        "circle_diameter_mm = 190.0",
        "circle_diameter_mm = 194.0",
        [
            "screen.toml, line 25: cage.closure.circle_diameter_mm = 194.0: rivet of 5 mm on "
            "a circle of 194 mm comes too close to the edge of the cage ring (178 to 198 "
            "mm): no metal is left, at least 1 mm are needed",
        ],
    ),
    (
        "circle_diameter_mm = 190.0",
        "circle_diameter_mm = 190.0\ncount = 12",
        [
            "screen.toml, line 26: cage.closure.count = 12: rivets sit on the bars, evenly "
            "spaced: must divide the 18 bars without rest",
        ],
    ),
    (
        'kind = "steel_rivet"\ndiameter_mm = 5.0',
        'kind = "steel_rivet"\ndiameter_mm = 6.0\nposition = "beside_bars"\ncount = 20\n'
        'boss_diameter_mm = 8\nboss_joint = "separate"\nhole_fit = "tight"\nfirst_gap = 19\n'
        'boss_material = "tin"',
        [
            "screen.toml, line 26: cage.closure.count = 20: each rivet needs a gap between two "
            "rollers of its own: at most 18",
            "screen.toml, line 27: cage.closure.boss_diameter_mm = 8: boss of 8 mm is too narrow "
            "for a rivet of 6 mm: a wall of 1 mm is left, at least 1.2 mm are needed",
            "screen.toml, line 27: cage.closure.boss_diameter_mm = 8: boss of 8 mm reaches into "
            "the pockets: between two rollers on the circle of 190 mm at most 7.09 mm fit",
            "screen.toml, line 29: cage.closure.hole_fit = 'tight': a separate distance piece "
            "slides over the shank: only 'free' can be computed with boss_joint = 'separate'",
            "screen.toml, line 30: cage.closure.first_gap = 19: gaps between rollers are numbered "
            "from 1 to 18",
            "screen.toml, line 31: cage.closure.boss_material = 'tin': unknown material; known: "
            "'bearing_steel', 'CuZn40Pb2', 'CuZn37Mn3Al2PbSi', 'C86300', 'CuSn8', 'C90500', "
            "'C95400', 'rivet_steel', '34CrMo4', or describe it in a table "
            "[material.NAME]",
            "screen.toml, line 32: cage.closure.circle_diameter_mm = 190.0: rivet of 6 mm on a "
            "circle of 190 mm comes too close to the edge of the cage ring (178 to 198 mm): 1 mm "
            "of metal are left, at least 1.2 mm are needed",
        ],
    ),
    (
        'kind = "steel_rivet"\ndiameter_mm = 5.0\ncircle_diameter_mm = 190.0',
        'kind = "steel_rivet"\ndiameter_mm = 4.0\nposition = "beside_bars"\n'
        'circle_diameter_mm = 192.2\nboss_material = "rivet_steel"\nboss_diameter_mm = 6.0',
        [
            "screen.toml, line 22: [cage.closure] needs 'count' with position = 'beside_bars'",
            "screen.toml, line 26: cage.closure.circle_diameter_mm = 192.2: boss of 6 mm on a "
            "circle of 192.2 mm does not stand on the cage ring (178 to 198 mm) with its whole "
            "face",
            "screen.toml, line 27: cage.closure.boss_material = 'rivet_steel': is only used with "
            "boss_joint = 'separate'",
        ],
    ),
    (
        'kind = "steel_rivet"\ndiameter_mm = 5.0',
        'kind = "steel_rivet"\ndiameter_mm = 5.0\nboss_diameter_mm = 6.4\nfirst_gap = 2',
        [
            "screen.toml, line 25: cage.closure.boss_diameter_mm = 6.4: is only used with "
            "position = 'beside_bars'",
            "screen.toml, line 26: cage.closure.first_gap = 2: is only used with "
            "position = 'beside_bars'",
        ],
    ),
    (
        'kind = "steel_rivet"\ndiameter_mm = 5.0',
        'kind = "integral_tenon"\ntangential_width_mm = 8.6\nradial_height_mm = 4.8',
        [
            "screen.toml, line 24: cage.closure.tangential_width_mm = 8.6: tenon is wider "
            "than the bar: the bar is 6.78 mm wide on the circle of 190 mm",
        ],
    ),
    (
        'kind = "steel_rivet"\ndiameter_mm = 5.0',
        'kind = "integral_tenon"\ntangential_width_mm = 6\nradial_height_mm = 4.8\n'
        "root_fillet_mm = 1",
        [
            "screen.toml, line 26: cage.closure.root_fillet_mm = 1: fillet is wider than the "
            "shoulder of 0.388 mm that the bar has beside the tenon",
        ],
    ),
    (
        'kind = "steel_rivet"\ndiameter_mm = 5.0',
        'kind = "integral_tenon"\ntangential_width_mm = 5.6\nradial_height_mm = 9.0',
        [
            "screen.toml, line 26: cage.closure.circle_diameter_mm = 190.0: tenon of 9 mm on "
            "a circle of 190 mm comes too close to the edge of the cage ring (178 to 198 "
            "mm): no metal is left, at least 1.8 mm are needed",
        ],
    ),
    (
        'kind = "steel_rivet"\ndiameter_mm = 5.0',
        'kind = "integral_tenon"\ntenon_shape = "round"\ntangential_width_mm = 5.6',
        [
            "screen.toml, line 22: [cage.closure] needs 'diameter_mm' with tenon_shape = 'round'",
            "screen.toml, line 25: cage.closure.tangential_width_mm = 5.6: is only used with "
            "tenon_shape = 'rectangular'",
        ],
    ),
    (
        'kind = "steel_rivet"\ndiameter_mm = 5.0',
        'kind = "integral_tenon"\ntenon_shape = "round"\ndiameter_mm = 8.2\nroot_fillet_mm = 1',
        [
            "screen.toml, line 25: cage.closure.diameter_mm = 8.2: tenon is wider than the bar: "
            "the bar is 6.78 mm wide on the circle of 190 mm",
            "screen.toml, line 27: cage.closure.circle_diameter_mm = 190.0: tenon of 8.2 mm on "
            "a circle of 190 mm comes too close to the edge of the cage ring (178 to 198 mm): "
            "no metal is left, at least 1.64 mm are needed",
        ],
    ),
    (
        "[duty]",
        '[solver]\nlocked = ["cage_x", "cage_y", "cage_x"]\n[duty]',
        [
            "screen.toml, line 33: solver.locked = ['cage_x', 'cage_y', 'cage_x']: 'cage_x' "
            "is named twice",
        ],
    ),
    (
        "[duty]",
        '[solver]\nlocked = ["cage_q"]\n[duty]',
        [
            "screen.toml, line 33: solver.locked = ['cage_q']: must be a list of any of "
            "'roller_x', 'roller_y', 'roller_z', 'roller_tilt_x', 'roller_tilt_y', "
            "'roller_spin', 'cage_x', 'cage_y', 'cage_z', 'cage_tilt_x', 'cage_tilt_y', "
            "'cage_angle', 'inner_x', 'inner_y', 'inner_z', 'inner_tilt_x', 'inner_tilt_y'; "
            "did you mean 'cage_z'?",
        ],
    ),
    (
        "pocket_um = 300.0",
        "pocket_um = 6000.0",
        [
            (
                "screen.toml, line 11: roller.count = 18: 18 rollers of 26 mm do not fit on "
                "a pitch circle of 182 mm: no bar is left between the pockets, at least 0.52 "
                "mm are needed; at most 17 fit"
            ),
            (
                "screen.toml, line 24: cage.closure.diameter_mm = 5.0: rivet is wider than "
                "the bar: the bar is 1.01 mm wide on the circle of 190 mm"
            ),
        ],
    ),
    (
        "guidance_um = 400.0",
        "guidance_um = 30000.0",
        [
            "screen.toml, line 30: clearance.guidance_um = 30000.0: land of the outer ring "
            "would lie at 228 mm, outside its raceway of 208 mm",
        ],
    ),
    (
        "pitch_diameter_mm = 182.0",
        'pitch_diameter_mm = 182.0\nmisalignment_mrad = [0, 80]\nflanges = ["outer_base", '
        '"outer_base"]\nflange_height_mm = 14',
        [
            (
                "screen.toml, line 9: bearing.misalignment_mrad = [0, 80]: each tilt must be "
                "from -50 to 50 mrad (small angles)"
            ),
            (
                "screen.toml, line 9: bearing.misalignment_mrad = [0, 80]: planar motion "
                "takes no misalignment: give solver.motion = 'spatial' or leave this out"
            ),
            (
                "screen.toml, line 10: bearing.flanges = ['outer_base', 'outer_base']: "
                "'outer_base' is named twice"
            ),
            (
                "screen.toml, line 11: bearing.flange_height_mm = 14: must be less than half "
                "the roller diameter, 13 mm"
            ),
        ],
    ),
    (
        "pitch_diameter_mm = 182.0",
        "pitch_diameter_mm = 25.0",
        [
            (
                "screen.toml, line 11: roller.count = 18: 18 rollers of 26 mm do not fit on "
                "a pitch circle of 25 mm: no bar is left between the pockets, at least 0.52 "
                "mm are needed; none fit"
            ),
            (
                "screen.toml, line 16: cage.outer_diameter_mm = 198.0: cage touches the "
                "outer ring: must be less than the outer raceway of 51 mm (pitch diameter "
                "plus roller diameter)"
            ),
        ],
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), WRONG_GEOMETRY)
def test_impossible_geometry_is_named_in_plain_words(problems_after, old, new, expected):
    assert problems_after(old, new) == expected


def test_a_contour_of_the_pocket_leaves_more_of_the_bar(problems_after, good_text):
    # Flat sides leave 6.78 mm at the closures, sides nearly as round as the roller 7.53 mm.
    rivet = 'kind = "steel_rivet"\ndiameter_mm = 5.0'
    tenon = 'kind = "integral_tenon"\ntangential_width_mm = 6.9\nradial_height_mm = 4.8'
    assert "the bar is 6.78 mm wide" in problems_after(rivet, tenon)[0]
    ring = "outer_diameter_mm = 198.0"
    text = good_text.replace(rivet, tenon).replace(ring, f"{ring}\npocket_contour_radius_mm = 13.3")
    assert parse_case(text, name="screen.toml").cage.closure.tangential_width_mm == 6.9
