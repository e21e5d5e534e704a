"""Case texts of one cage with its three sorts of closure."""

CASE = """\
[case]
name = "cage of bars and cover"
[bearing]
bore_mm = 130.0
outside_diameter_mm = 230.0
width_mm = 64.0
pitch_diameter_mm = 182.0
[roller]
count = 18
diameter_mm = 26.0
length_mm = 44.0
[cage]
outer_diameter_mm = {outer}
inner_diameter_mm = 178.0
base_ring_thickness_mm = 5.0
cover_thickness_mm = 4.5
guidance = "outer_ring"
cover_load_diameter_mm = {load}
[cage.closure]
{closure}
[clearance]
radial_um = 100.0
pocket_um = 300.0
guidance_um = 400.0
[duty]
speed_rpm = 1800.0
duration_s = 1.0
radial_load_kN = 10.0
settle_s = {settle}
[fatigue]
target_life_h = {target}
"""

CLOSURES = {
    "rivet": 'kind = "steel_rivet"\ndiameter_mm = 5.0\nhole_fit = "{fit}"\n{more}',
    "tenon": 'kind = "integral_tenon"\ntangential_width_mm = 5.6\nradial_height_mm = 4.8\n{more}',
    "round": 'kind = "integral_tenon"\ntenon_shape = "round"\ndiameter_mm = 5.5\n{more}',
    "one_piece": 'kind = "one_piece"',
}


def cage_text(closure="rivet", load=181.0, more="", fit="free", **values):
    """Case text; `closure` as in CLOSURES (round: a tenon); `more` goes into [cage.closure]."""
    chosen = CLOSURES[closure].format(fit=fit, more=more)
    if closure != "one_piece" and "circle_diameter_mm" not in more:
        chosen += "\ncircle_diameter_mm = 190.0"
    values = {"outer": 198.0, "settle": 0.05, "target": 20000.0} | values
    return CASE.format(closure=chosen, load=load, **values)


def cage_case(closure="rivet", **values):
    """The same as a parsed case."""
    from rollsim.case.read import parse_case

    return parse_case(cage_text(closure, **values), "cage.toml")
