"""Vibration, duty, output and material that do not fit together."""

import pytest

# passage of the good file, what stands there instead, every problem word for word
WRONG_RUN = [
    (
        "    [80.0, 0.04],\n",
        "    [10.0, 0.04],\n",
        [
            "screen.toml, line 42: row [10, 0.04] of the spectrum: frequencies must rise; "
            "the row before stands at 20 Hz",
        ],
    ),
    (
        "    [20.0, 0.01],\n",
        "    [0.0, 0.01],\n",
        [
            "screen.toml, line 41: row [0, 0.01] of the spectrum: frequency must be greater "
            "than 0, at most 100000 Hz",
        ],
    ),
    (
        "    [80.0, 0.04],\n",
        "    [80.0, -0.04],\n",
        [
            "screen.toml, line 42: row [80, -0.04] of the spectrum: density must be greater "
            "than 0, at most 1e+09",
        ],
    ),
    (
        "    [80.0, 0.04],\n    [500.0, 0.04],\n    [2000.0, 0.01],\n",
        "",
        [
            "screen.toml, line 40: vibration[1].psd = [[20.0, 0.01]]: needs at least two "
            "points [frequency in Hz, density]",
        ],
    ),
    (
        'psd_unit = "g2/Hz"\n',
        "",
        [
            "screen.toml, line 40: vibration[1].psd = [[20.0, 0.01], [80.0, 0.04], [500.0, "
            "0.04], [2000.0, 0.01]]: unit of the density is missing: give psd_unit = 'g2/Hz' "
            "or psd_unit = '(m/s2)2/Hz'",
        ],
    ),
    (
        'psd_unit = "g2/Hz"\n',
        'psd_unit = "g2/Hz"\nenvironment = "minimum_workmanship"\n',
        [
            "screen.toml, line 47: vibration[1].environment = 'minimum_workmanship': give "
            "either psd or environment, not both in one source",
        ],
    ),
    (
        'psd_unit = "g2/Hz"\n',
        'psd_unit = "g^2/Hz"\n',
        [
            "screen.toml, line 46: vibration[1].psd_unit = 'g^2/Hz': must be one of 'g2/Hz', "
            "'(m/s2)2/Hz'; did you mean 'g2/Hz'?",
        ],
    ),
    (
        'axis = "y"',
        'axis = ["y", "y"]',
        [
            "screen.toml, line 39: vibration[1].axis = ['y', 'y']: names an axis twice",
        ],
    ),
    (
        'axis = "y"',
        "axis = []",
        [
            "screen.toml, line 39: vibration[1].axis = []: must name at least one of 'x', 'y', 'z'",
        ],
    ),
    (
        'axis = "y"',
        'axis = ["x", "z"]',
        [
            "screen.toml, line 39: vibration[1].axis = ['x', 'z']: planar motion takes no "
            "vibration along z: give solver.motion = 'spatial' or leave 'z' out",
        ],
    ),
    (
        "duration_s = 2.0",
        "duration_s = 0.15",
        [
            "screen.toml, line 34: duty.duration_s = 0.15: settling takes 0.2 s where "
            "settle_s is not given: run longer or give a smaller settle_s",
        ],
    ),
    (
        "duration_s = 2.0",
        "duration_s = 2.0\nramp_s = 2.0",
        [
            "screen.toml, line 35: duty.ramp_s = 2.0: fading in the vibration must be "
            "shorter than the run: less than duration_s = 2 s",
        ],
    ),
    (
        "duration_s = 2.0",
        "duration_s = 2.0\npreview_s = 3.0",
        [
            "screen.toml, line 35: duty.preview_s = 3.0: must be at most duration_s = 2 s",
        ],
    ),
    (
        "duration_s = 2.0",
        "duration_s = 2.0\naxial_load_kN = 3.0",
        [
            "screen.toml, line 35: duty.axial_load_kN = 3.0: planar motion takes no axial "
            "load: give solver.motion = 'spatial' or leave this out",
        ],
    ),
    (
        "[duty]",
        "[output]\nrate_Hz = 1000\n[duty]",
        [
            "screen.toml, line 33: output.rate_Hz = 1000: 1000 samples a second cannot show "
            "vibration up to 2000 Hz ([[vibration]] number 1, psd): give output.rate_Hz of at "
            "least 4000 Hz",
        ],
    ),
    (
        "[duty]",
        "[output]\nsegment_s = 0.001\n[duty]",
        [
            "screen.toml, line 33: output.segment_s = 0.001: a segment would hold 5 samples: "
            "segment_s times rate_Hz must be at least 10",
        ],
    ),
    (
        "[duty]",
        '[lubricant]\nraceway_traction = "four_parameter"\n[duty]',
        [
            "screen.toml, line 32: [lubricant] needs 'four_parameter' = [A, B, C, D] (-, "
            "s/m, s/m, -) with raceway_traction = 'four_parameter'",
        ],
    ),
    (
        "[duty]",
        '[lubricant]\nraceway_traction = "four_parameter"\nfour_parameter = [1, 2, 3, 4]\n[duty]',
        [
            "screen.toml, line 34: lubricant.four_parameter = [1, 2, 3, 4]: A + D is the "
            "friction without slip and must be 0, but is 5",
        ],
    ),
    (
        "length_mm = 44.0",
        'length_mm = 44.0\nmaterial = "bearing_stel"',
        [
            "screen.toml, line 14: roller.material = 'bearing_stel': unknown material; "
            "known: 'bearing_steel', 'CuZn40Pb2', 'CuZn37Mn3Al2PbSi', 'C86300', 'CuSn8', "
            "'C90500', 'C95400', 'rivet_steel', '34CrMo4', or describe it in a table "
            "[material.NAME]; did you mean 'bearing_steel'?",
        ],
    ),
    (
        "[duty]",
        "[material.my_brass]\nyoungs_modulus_GPa = 100\n[duty]",
        [
            "screen.toml, line 32: [material.my_brass] needs 'poisson', 'density_kg_per_m3': "
            "it is not a shipped material",
        ],
    ),
    (
        "[duty]",
        "[material.CuZn40Pb2]\nyield_MPa = 500\n[duty]",
        [
            "screen.toml, line 33: material.CuZn40Pb2.yield_MPa = 500: yield strength of 500 "
            "MPa is above the ultimate strength of 430 MPa",
        ],
    ),
    (
        'psd_unit = "g2/Hz"',
        'environment = "minimum_workmanshp"',
        [
            (
                "screen.toml, line 40: vibration[1].psd = [[20.0, 0.01], [80.0, 0.04], "
                "[500.0, 0.04], [2000.0, 0.01]]: unit of the density is missing: give "
                "psd_unit = 'g2/Hz' or psd_unit = '(m/s2)2/Hz'"
            ),
            (
                "screen.toml, line 46: vibration[1].environment = 'minimum_workmanshp': give "
                "either psd or environment, not both in one source"
            ),
            (
                "screen.toml, line 46: vibration[1].environment = 'minimum_workmanshp': "
                "unknown environment; known: 'component_qualification', "
                "'component_acceptance', 'minimum_workmanship', 'rideshare_payload', "
                "'computer_board', 'highway_truck_vertical', 'highway_truck_transverse', "
                "'highway_truck_longitudinal', 'stress_screening', 'railway_axle_vertical', "
                "'railway_axle_transverse', 'railway_axle_longitudinal', 'railway_bogie_vertical', "
                "'railway_bogie_transverse', 'railway_bogie_longitudinal'; did you mean "
                "'minimum_workmanship'?"
            ),
        ],
    ),
    (
        "[[vibration]]",
        '[[vibration]]\nkind = "sine"\naxis = "x"\nfrequency_Hz = 50\n[[vibration]]',
        [
            "screen.toml, line 37: [[vibration]] number 1 needs 'amplitude_g' or "
            "'amplitude_m_per_s2'",
        ],
    ),
    (
        "[[vibration]]",
        '[[vibration]]\nkind = "sine"\naxis = "z"\nfrequency_Hz = 50\namplitude_g = 1\n'
        "amplitude_m_per_s2 = 10\n[[vibration]]",
        [
            (
                "screen.toml, line 39: vibration[1].axis = 'z': planar motion takes no "
                "vibration along z: give solver.motion = 'spatial' or leave 'z' out"
            ),
            (
                "screen.toml, line 42: vibration[1].amplitude_m_per_s2 = 10: give either "
                "amplitude_g or amplitude_m_per_s2, not both"
            ),
        ],
    ),
    (
        "[[vibration]]",
        '[[vibration]]\nkind = "exciter"\nthrow_mm = 5\nspeed_rpm = 0\n[[vibration]]',
        [
            (
                "screen.toml, line 37: [[vibration]] number 1 needs 'throw_is' (whether "
                "throws are measured from the middle (radius) or from end to end (diameter)): "
                "one of 'amplitude', 'peak_to_peak'"
            ),
            (
                "screen.toml, line 40: vibration[1].speed_rpm = 0: must not be 0: an exciter "
                "at rest shakes nothing"
            ),
        ],
    ),
    (
        'guidance = "outer_ring"',
        'guidance = "inner_ring"\nmaterial = "my_brass"\n[material.my_brass]\n'
        "youngs_modulus_GPa = 100\npoisson = 0.3\ndensity_kg_per_m3 = 8400",
        [
            "screen.toml, line 22: [material.my_brass] needs 'yield_MPa', 'ultimate_MPa', "
            "'fatigue_strength_MPa', 'knee_cycles': it is not a shipped material and the "
            "cage or its closures are made of it",
        ],
    ),
    (
        "[duty]",
        "[material.rivet_steel]\nfatigue_strength_MPa = 390\n[duty]",
        [
            "screen.toml, line 33: material.rivet_steel.fatigue_strength_MPa = 390: fatigue "
            "strength of 390 MPa must be less than 0.9 of the ultimate strength of 400 MPa",
        ],
    ),
    (
        "[duty]",
        '[solver]\nmotion = "spatial"\n[duty]\ntilting_moment_Nm = [1e9, 0]',
        [
            "screen.toml, line 35: duty.tilting_moment_Nm = [1000000000.0, 0]: each part "
            "must be from -1e+08 to 1e+08 N m",
        ],
    ),
    (
        "    [2000.0, 0.01],\n",
        "    [2000.0, 1e12],\n",
        [
            "screen.toml, line 44: row [2000, 1e+12] of the spectrum: density must be "
            "greater than 0, at most 1e+09",
        ],
    ),
]


@pytest.mark.parametrize(("old", "new", "expected"), WRONG_RUN)
def test_impossible_run_is_named_in_plain_words(problems_after, old, new, expected):
    assert problems_after(old, new) == expected
