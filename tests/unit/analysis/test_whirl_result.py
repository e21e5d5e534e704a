"""The whole evaluation of whirl on histories of known content."""

from types import SimpleNamespace

import numpy as np
import pytest

from rollsim.analysis.orbit import cage_orbit
from rollsim.analysis.whirl import whirl
from rollsim.errors import RollsimError


def circle(history, ratio, radius=0.8, centre=0.0):
    speed = ratio * history.channels["cage_speed"][0]
    z = radius * np.exp(1j * speed * history.time)
    return z + centre, 1j * speed * z


@pytest.mark.parametrize("ratio", [0.5, -0.25, 1.0, -1.3])
@pytest.mark.parametrize("cage_speed", [60.0, -60.0])
def test_a_known_whirl_ratio_is_recovered_with_its_sign(plain, ratio, cage_speed):
    history = plain.plain_history(cage_speed=cage_speed)
    plain.set_orbit(history, *circle(history, ratio))
    result = whirl(history)
    assert result.whirl_ratio == pytest.approx(ratio, abs=1e-6)
    assert result.whirl_speed == pytest.approx(ratio * cage_speed, rel=1e-6)
    assert result.verdict.name == "regular circular"
    assert result.eccentricity.mean == pytest.approx(0.8)
    assert result.mean_radius == pytest.approx(0.8 * 2e-4)
    assert np.sign(result.roundness.circulation) == np.sign(ratio * cage_speed)


@pytest.mark.parametrize(
    ("turns", "words"),
    [(100.0, None), (200.0, "a turn has 5.0 samples: the drawn"),
     (-700.0, "a turn has 1.4 samples: spectrum and circulation show a wrong frequency")],
)  # fmt: skip
def test_a_whirl_too_quick_for_the_samples_is_told_and_keeps_its_speed(plain, turns, words):
    """1000 samples a second."""
    history = plain.plain_history()
    speed = 2.0 * np.pi * turns
    z = 0.8 * np.exp(1j * speed * history.time)
    plain.set_orbit(history, z, 1j * speed * z)
    result = whirl(history)
    assert result.whirl_speed == pytest.approx(speed, rel=1e-6)
    if words is None:
        assert result.notes == ()
    else:
        assert words in result.notes[-1]
        assert "output.rate_Hz" in result.notes[-1]


def test_guided_by_an_outer_ring_that_moves_the_orbit_is_relative_to_it(plain):
    history = plain.plain_history()
    orbit = 0.4 * np.exp(30j * history.time)
    plain.set_orbit(history, orbit, 30j * orbit)
    alone = cage_orbit(history)
    clearance = history.attributes["guidance_clearance_m"]
    for name, value in (("position", 0.1), ("velocity", 0.2)):
        channel = np.zeros_like(history.channels["cage_position"])
        channel[:, 1] = clearance * value
        history.channels[f"outer_{name}"] = channel
    moved = cage_orbit(history)
    assert moved.position == pytest.approx(alone.position - 0.1j)
    assert moved.velocity == pytest.approx(alone.velocity - 0.2j)


def test_guided_by_the_inner_ring_the_orbit_is_relative_to_that_ring(plain):
    history = plain.plain_history(guidance="inner_ring")
    z, rate = circle(history, 0.4, radius=0.6)
    plain.set_orbit(history, z, rate)
    ring, ring_rate = 3.0 * np.sin(90.0 * history.time), 270.0 * np.cos(90.0 * history.time)
    for name, values in (("position", ring), ("velocity", ring_rate)):
        history.channels[f"cage_{name}"][:, 0] += 2e-4 * values
        history.channels[f"inner_{name}"][:, 0] += 2e-4 * values
    result = whirl(history)
    assert result.guide == "inner ring"
    assert result.whirl_ratio == pytest.approx(0.4, abs=1e-6)
    assert result.eccentricity.maximum == pytest.approx(0.6)


def test_guided_by_rollers_without_a_play_half_the_pocket_clearance_scales_the_orbit(plain):
    history = plain.plain_history(guidance="roller")
    history.attributes["guidance_clearance_m"] = float("nan")
    history.attributes["pocket_clearance_m"] = 5e-4
    history.channels["cage_position"][:, 0] = 1e-4
    result = whirl(history)
    assert result.clearance == 2.5e-4
    assert result.eccentricity.mean == pytest.approx(0.4)
    assert "half pocket clearance" in result.notes[0]


def test_guided_by_rollers_the_play_of_the_cage_scales_the_orbit(plain):
    history = plain.plain_history(guidance="roller")
    history.attributes["guidance_clearance_m"] = 8e-4
    history.attributes["pocket_clearance_m"] = 5e-4
    history.channels["cage_position"][:, 0] = 1e-4
    result = whirl(history)
    assert result.clearance == 8e-4
    assert "play of the cage" in result.notes[0]


def test_without_a_clearance_the_reason_is_told(plain):
    history = plain.plain_history()
    history.attributes["guidance_clearance_m"] = 0.0
    with pytest.raises(RollsimError, match="no guidance clearance above 0"):
        whirl(history)


def test_share_of_time_in_land_contact(plain):
    history = plain.plain_history(samples=1000)
    history.channels["land_force"][:250, 0, 1] = 30.0
    history.channels["land_force"][200:300, 1, 0] = -30.0
    history.channels["land_force"][500:, 1, 0] = 0.5  # below the threshold of 1 N
    assert whirl(history).land_contact_share == pytest.approx(0.3)


def test_a_cage_that_stays_on_one_side_is_seated(plain):
    history = plain.plain_history()
    plain.set_orbit(history, *circle(history, 0.5, radius=0.05, centre=-0.9j))
    result = whirl(history)
    assert result.verdict.name == "seated"
    assert abs(result.whirl_ratio) < 0.01


def test_a_cage_thrown_about_is_disordered(plain):
    history = plain.plain_history(samples=20_001)
    rng = np.random.default_rng(3)
    frequency = np.fft.fftfreq(20_001, 1e-3)
    noise = rng.normal(size=20_001) + 1j * rng.normal(size=20_001)
    spectrum = noise / (1.0 + (frequency / 15.0) ** 2)
    z = np.fft.ifft(spectrum)
    z *= 0.5 / np.sqrt(np.mean(np.abs(z) ** 2))
    plain.set_orbit(history, z, np.fft.ifft(2j * np.pi * frequency * np.fft.fft(z)))
    result = whirl(history)
    assert result.verdict.name == "disordered"
    assert abs(result.roundness.circulation) < 0.3


def test_a_cage_at_rest_in_the_middle_is_undecided_and_nothing_fails(plain):
    result = whirl(plain.plain_history())
    assert np.isnan(result.whirl_ratio)
    assert result.verdict.name == "undecided"
    assert result.spectrum.power == 0.0


def test_a_standing_cage_has_no_whirl_ratio(plain):
    history = plain.plain_history()
    plain.set_orbit(history, *circle(history, 0.4))
    history.channels["cage_speed"][:] = 0.0
    result = whirl(history)
    assert np.isnan(result.whirl_ratio) and result.whirl_speed == pytest.approx(20.0)
    assert result.verdict.name == "undecided"


def test_a_short_run_is_undecided_with_the_reason(plain):
    history = plain.plain_history(samples=301)
    plain.set_orbit(history, *circle(history, 0.5))
    result = whirl(history)
    assert result.verdict.name == "undecided"
    assert "only 1.2 whirl turns" in result.verdict.reason


@pytest.mark.parametrize(
    ("source", "name"),
    [
        ({"kind": "exciter", "speed_rpm": 972.0}, "forced"),
        ({"kind": "exciter", "speed_rpm": -972.0}, "regular circular"),
        ({"kind": "exciter", "speed_rpm": 900.0}, "regular circular"),
        ({"kind": "sine", "axis": "y", "frequency_Hz": 16.2}, "forced"),
        ({"kind": "psd", "axis": ("x",)}, "regular circular"),
    ],
)
def test_a_whirl_at_an_imposed_frequency_is_forced(plain, source, name):
    # Quick whirl of a slow cage: fewer than 5 cage turns, more than 5 whirl turns.
    history = plain.plain_history(samples=601, cage_speed=43.0)
    history.case.vibration = (SimpleNamespace(**source),)
    plain.set_orbit(history, *circle(history, 101.8 / 43.0))
    result = whirl(history)
    assert result.verdict.name == name
    imposed = [line for line in result.lines if line.imposed]
    assert len(imposed) == (source["kind"] != "psd")
    if name == "forced":
        assert imposed[0].name in result.verdict.reason


def test_imposed_lines_of_equal_name_are_numbered(plain):
    history = plain.plain_history()
    history.case.vibration = tuple(
        SimpleNamespace(kind="exciter", speed_rpm=speed) for speed in (600.0, -900.0)
    )
    lines = [line for line in whirl(history).lines if line.imposed]
    assert [(line.name, line.frequency) for line in lines] == [
        ("exciter, no. 1", pytest.approx(10.0)),
        ("exciter, no. 2", pytest.approx(-15.0)),
    ]


def test_bad_numbers_at_the_end_are_left_out(plain):
    history = plain.plain_history()
    plain.set_orbit(history, *circle(history, 0.5))
    history.channels["cage_velocity"][3000:, 1] = np.nan
    result = whirl(history)
    assert result.end == pytest.approx(2.999)
    assert result.whirl_ratio == pytest.approx(0.5, abs=1e-6)
    assert "not numbers" in result.notes[0]


def test_the_spectrum_of_a_circle_stands_at_the_whirl_frequency(plain):
    history = plain.plain_history(samples=16_001)
    plain.set_orbit(history, *circle(history, -0.5))
    result = whirl(history)
    top = result.spectrum.frequency[result.spectrum.density.argmax()]
    assert top == pytest.approx(-25.0 / (2.0 * np.pi), abs=result.spectrum.step)
    assert result.spectrum.power == pytest.approx(0.64, rel=0.02)
