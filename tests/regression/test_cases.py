"""The example cases: they load, say what they assume, and run."""

import tomllib

import numpy as np
import pytest

from rollsim.analysis.quality import run_quality
from rollsim.case.change import changed_case
from rollsim.case.environments import ENVIRONMENTS
from rollsim.case.read import load_case
from rollsim.case.template import example_names
from rollsim.history.reader import open_history
from rollsim.sweep.launch import run
from rollsim.units import G0, RPM_TO_RAD_S

CASES = (
    "bench_random_5g",
    "dewatering_screen_recording",
    "dewatering_screen_riveted",
    "dewatering_screen_tenon",
    "planer_spindle_dry_land",
    "planer_spindle_wet_land",
    "rail_maintenance_axle_box",
    "tidal_turbine_planet",
)
RIVETED, TENON = CASES[2], CASES[3]
SHORT = {"duty.duration_s": 0.05, "duty.preview_s": 0.05, "duty.settle_s": 0.02}
FORCES = ("raceway_force", "flange_force", "pocket_force", "land_force")
POCKET_CLEARANCE_SHARE = 0.1


@pytest.fixture(scope="module")
def example(request):
    """Function that loads an example case by name."""
    folder = request.config.rootpath / "cases"
    return lambda name: load_case(folder / f"{name}.toml")


@pytest.fixture(scope="module")
def short_run(example, tmp_path_factory):
    """Function that runs an example case for 0.05 s, once, and returns its history file."""
    folder = tmp_path_factory.mktemp("short")
    done = {}

    def make(name):
        """Run the case unless that was done."""
        if name not in done:
            case = changed_case(example(name), {**SHORT, "duty.ramp_s": 0.01})
            done[name] = run(case, folder / f"{name}.h5")
        return done[name]

    return make


def _sections(case):
    """Loaded tables of a case by name, the closure apart from its cage."""
    names = (
        "bearing", "roller", "lubricant", "clearance", "contact", "duty", "solver", "output",
        "fatigue", "vibration",
    )  # fmt: skip
    sections = {name: getattr(case, name) for name in names}
    cage = case.cage.model_dump()
    sections["closure"] = cage.pop("closure")
    sections["cage"] = cage
    return sections


def test_all_examples_are_offered():
    assert example_names() == CASES


@pytest.mark.parametrize("name", CASES)
def test_example_names_its_assumptions(example, name):
    case = example(name)
    assert case.case.name and case.case.note
    assert case.assumptions
    assert all(item.key and item.why for item in case.assumptions)


@pytest.mark.parametrize("name", CASES)
def test_example_explains_its_numbers(example, name):
    # the header tells what the machine is; the numbers carry remarks
    text = example(name).text
    assert text.startswith("# ")
    keys = sum(1 for line in text.splitlines() if "=" in line and not line.startswith("#"))
    remarks = sum(1 for line in text.splitlines() if "#" in line)
    assert remarks > 0.4 * keys


def test_twins_differ_in_the_closure_alone(example):
    riveted, tenon = _sections(example(RIVETED)), _sections(example(TENON))
    differing = [name for name in riveted if riveted[name] != tenon[name]]
    assert differing == ["closure"]
    assert riveted["closure"]["kind"] == "steel_rivet"
    assert tenon["closure"]["kind"] == "integral_tenon"
    same = ("circle_diameter_mm", "preload_N")
    assert all(riveted["closure"][key] == tenon["closure"][key] for key in same)
    assert example(RIVETED).case.seed == example(TENON).case.seed


def test_twins_differ_in_name_and_closure_in_the_file_too(example):
    riveted, tenon = (tomllib.loads(example(name).text) for name in (RIVETED, TENON))
    assert riveted["case"].pop("name") != tenon["case"].pop("name")
    assert riveted["cage"].pop("closure") != tenon["cage"].pop("closure")
    assert riveted == tenon


def test_planer_spindles_differ_in_the_film_of_the_land_alone(example):
    """Whether its cage whirls is a test of its own, in tests/published."""
    dry, wet = (tomllib.loads(example(name).text) for name in CASES[4:6])
    for text in (dry, wet):
        del text["case"]["name"], text["case"]["note"]
    assert (dry["lubricant"].pop("land_film"), wet["lubricant"].pop("land_film")) == (
        "none",
        "short_bearing",
    )
    assert dry == wet


def test_screen_throw_gives_the_acceleration_of_its_remark(example):
    exciter = example(RIVETED).vibration[0]
    level = 1e-3 * exciter.throw_mm * (RPM_TO_RAD_S * exciter.speed_rpm) ** 2 / G0
    assert level == pytest.approx(4.5, abs=0.05)
    assert exciter.speed_rpm == example(RIVETED).duty.speed_rpm


def test_axle_box_levels_stand_on_their_axes(example):
    found = {source.axis: source.environment for source in example(CASES[6]).vibration}
    assert found == {
        ("y",): "railway_axle_vertical",
        ("z",): "railway_axle_transverse",
        ("x",): "railway_axle_longitudinal",
    }
    assert set(found.values()) <= set(ENVIRONMENTS)


def test_planet_speeds_fit_the_gears(example):
    duty = example(CASES[7]).duty
    assert duty.speed_rpm == 0.0
    assert duty.outer_speed_rpm == pytest.approx(-duty.carrier_speed_rpm * 91 / 35, rel=1e-3)


@pytest.mark.parametrize("name", CASES)
def test_short_run_has_finite_forces(short_run, name):
    with open_history(short_run(name)) as history:
        assert history.status == "finished"
        assert history.time[-1] == pytest.approx(0.05, abs=2.1e-4)
        for channel in FORCES:
            assert np.isfinite(history.channel(channel)).all(), channel
            assert np.isfinite(history.peak(channel)).all(), channel
        # the load reaches the raceways and the cage is touched
        assert history.channel("raceway_force")[-1].max() > 100.0
        assert history.peak("pocket_force").max() > 1.0


@pytest.mark.parametrize("name", CASES)
def test_rollers_stay_in_their_pockets_and_cages_in_their_lands(short_run, name):
    with open_history(short_run(name)) as history:
        facts = history.attributes
        count = facts["roller_count"]
        pockets = history.channel("cage_angle")[:, None] + 2 * np.pi * np.arange(count) / count
        turned = history.channel("roller_azimuth") - pockets
        along = (turned + np.pi) % (2 * np.pi) - np.pi
        travel = facts["pitch_radius_m"] * along
        centre = history.channel("cage_position")[:, :2]
        # seen from the cage centre, which leaves the bearing axis
        travel -= np.cos(pockets) * centre[:, 1, None] - np.sin(pockets) * centre[:, 0, None]
        room = 0.5 * facts["pocket_clearance_m"]
        assert np.abs(travel).max() < (1 + POCKET_CLEARANCE_SHARE) * room
        eccentricity = np.hypot(*centre.T)
        assert eccentricity.max() < (1 + POCKET_CLEARANCE_SHARE) * facts["guidance_clearance_m"]


@pytest.mark.parametrize("name", CASES)
def test_inner_rings_stay_on_their_rollers(short_run, example, name):
    """Held by flanges against an axial load, or floating about under vibration along the axis."""
    with open_history(short_run(name)) as history:
        off = np.abs(history.channel("inner_position")[:, 2])
    assert off.max() < (1e-3 if example(name).solver.motion == "spatial" else 1e-12)


@pytest.mark.parametrize("name", CASES)
def test_a_short_run_is_fit_for_use(short_run, name):
    """Energy balance, refused steps and finite values, by the rules of `rollsim quality`."""
    with open_history(short_run(name)) as history:
        found = {line.name: line for line in run_quality(history).lines}
    for name in ("end of the run", "finite values", "energy balance", "steps"):
        assert found[name].state == "fit", found[name].text
