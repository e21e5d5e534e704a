"""Levels of vibration environments, shocks, shock response and random response."""

import math
from functools import cache, partial

import numpy as np
from scipy.integrate import quad

from rollsim.case.environments import ENVIRONMENTS, READ, SHOCKS
from rollsim.model.random_response import (
    gaussian_share_within,
    miles_response,
    peak_exceedance,
    peak_factor,
    white_noise_response,
)
from rollsim.model.shaking import imposed_acceleration, make_shaking
from rollsim.signals.shock_response import shock_response
from rollsim.verification.check import Basis, Check, Source, Topic

#: Table id, environment, published overall level, tolerance, level of the same breakpoints by an
#: independent integration, source.
LEVELS = (
    ("V01", "component_qualification", 14.1, 0.004, 14.1356, "GSFC-STD-7000A table 2.4-3"),
    ("V02", "component_acceptance", 10.0, 0.002, 9.99539, "GSFC-STD-7000A, 3 dB below that"),
    ("V03", "minimum_workmanship", 6.8, 0.005, 6.78424, "NASA-STD-7001 table 1"),
    ("V04", "rideshare_payload", 5.57, 0.005, 5.56782, "rideshare guide of a launch provider"),
    ("V05", "computer_board", 2.2, 0.01, 2.20755, "thermal and mechanical design guide"),
    ("V06", "highway_truck_vertical", 1.04, 0.005, 1.04292, "MIL-STD-810G"),
    ("V07", "highway_truck_transverse", 0.2, 0.04, 0.20351, "MIL-STD-810G"),
    ("V08", "highway_truck_longitudinal", 0.74, 0.03, 0.740153, "MIL-STD-810G"),
    ("V10", "stress_screening", 6.06, 0.01, 6.05818, "NAVMAT P-9492"),
    ("V11a", "railway_axle_vertical", 38.0, 0.012, 37.939, "IEC 61373:2010"),
    ("V11b", "railway_axle_transverse", 34.0, 0.012, 33.9531, "IEC 61373:2010"),
    ("V11c", "railway_axle_longitudinal", 17.0, 0.012, 16.9814, "IEC 61373:2010"),
    ("V12a", "railway_bogie_vertical", 5.4, 0.015, 5.3815, "IEC 61373:2010"),
    ("V12b", "railway_bogie_transverse", 4.7, 0.015, 4.68537, "IEC 61373:2010"),
    ("V12c", "railway_bogie_longitudinal", 2.5, 0.015, 2.51138, "IEC 61373:2010"),
)
#: The overall level was read, the breakpoints come from memory.
PARTLY_READ = ("minimum_workmanship", "highway_truck_transverse")

INTEGRATED = Source("breakpoints of the environment by an independent integration", Basis.WORKED)
SHOCK = Source("IEC 61373 category 3, 1000 m/s2, 6 ms; 2 A T/pi", Basis.MEMORY)
UNDAMPED = Source("test of a shock module (1.766 near f T = 0.8)", Basis.READ)
UNDAMPED_CLOSED = Source("closed form of the undamped resonator", Basis.CLOSED)
TEN_G = Source("worked example of a shock response spectrum, Q = 10", Basis.READ)
TEN_G_AGAIN = Source("that worked example by an independent integration", Basis.WORKED)
MILES = Source("Miles 1954, as by Simmons 2001", Basis.WORKED)
CRANDALL = Source("Crandall and Mark 1963, exact response", Basis.CLOSED)
QUADRATURE = Source("quadrature of the squared transmissibility", Basis.ROUTE)
POISSON = Source("mean largest value of Poisson crossings (Davenport 1964)", Basis.WORKED)
DAVENPORT = Source("Davenport 1964, peak factor", Basis.WORKED)
SHARES = Source("Gaussian and Rayleigh shares, text and closed form", Basis.READ)
RICE = Source("Rice 1945: maxima of a wide band are Gaussian", Basis.CLOSED)


def _basis(name):
    """Basis of the published level of an environment."""
    if name in PARTLY_READ:
        return Basis.PARTLY
    return Basis.READ if ENVIRONMENTS[name].basis == READ else Basis.MEMORY


def _level(name):
    """Overall level of a shipped environment."""
    return ENVIRONMENTS[name].rms()


def _half_sine(duration, amplitude, samples=1000):
    """Sampled half-sine pulse and its sampling rate."""
    time = np.linspace(0.0, duration, samples + 1)
    return amplitude * np.sin(np.pi * time / duration), samples / duration


@cache
def _spectrum(duration, amplitude, quality, low, high, step):
    """Largest response to a half-sine and the frequency in Hz at which it stands."""
    frequencies = np.arange(low, high, step)
    found = shock_response(*_half_sine(duration, amplitude), frequencies, quality)
    return found.max(), frequencies[found.argmax()]


def _undamped(place):
    """Undamped, f T from 0.6 to 1.1: largest amplification, f T at it."""
    return (_spectrum(0.01, 1.0, math.inf, 60.0, 110.0, 1.0)[place]) * (1.0, 0.01)[place]


def _ten_g(place):
    """10 g, 10 ms, Q = 10: largest response in g, its frequency in Hz."""
    return _spectrum(0.01, 10.0, 10.0, 40.0, 160.0, 1.0)[place]


def _soft_end():
    """Response at 1 Hz over omega times the velocity change, 1000 m/s2, 6 ms."""
    (low,) = shock_response(*_half_sine(0.006, 1000.0, 2000), [1.0], math.inf)
    return low / (2.0 * math.pi)


def _imposed_change():
    """Velocity change of the imposed acceleration by Simpson's rule, m/s."""
    pulse = [[0.1, 6e-3, 0, 0.1, 0.1, 0.0, 1000.0, 0.0]]
    values = imposed_acceleration(make_shaking(pulse=pulse), np.linspace(0.1, 0.106, 601))[:, 1]
    return np.r_[1.0, np.tile([4.0, 2.0], 299), 4.0, 1.0] @ values * 1e-5 / 3.0


def _by_quadrature():
    """Response of 100 Hz, Q = 10 to 0.04 g2/Hz, in g rms."""

    def squared(r):
        """Squared transmissibility at r times the natural frequency."""
        return (1.0 + (r / 10.0) ** 2) / ((1.0 - r**2) ** 2 + (r / 10.0) ** 2)

    area = quad(squared, 0.0, 2.0, points=[1.0], limit=200)[0] + quad(squared, 2.0, math.inf)[0]
    return math.sqrt(0.04 * 100.0 * area)


def _levels():
    """Rows of shipped environments."""
    for key, name, level, tolerance, _, source in LEVELS:
        unit = ENVIRONMENTS[name].overall_unit
        where = Source(source, _basis(name))
        yield Check(key, name, where, level, tolerance, partial(_level, name), unit)
    for number, (_, name, _, _, again, _) in enumerate(LEVELS, 51):
        yield Check(f"V{number}", f"{name}, more digits", INTEGRATED, again, 1e-4,
                    partial(_level, name), ENVIRONMENTS[name].overall_unit)  # fmt: skip


def _shocks():
    """Rows of shocks and shock response."""
    yield Check("V14a", "velocity change of the axle-box shock", SHOCK, 3.8197, 1e-4,
                lambda: SHOCKS["railway_axle_box_shock"].velocity_change, "m/s")  # fmt: skip
    yield Check("V14b", "velocity change of the imposed acceleration", SHOCK, 3.8197, 1e-4,
                _imposed_change, "m/s", absolute=True)  # fmt: skip
    yield Check("V14c", "velocity change by a soft resonator's response", SHOCK, 3.8197, 2e-3,
                _soft_end, "m/s")  # fmt: skip
    yield Check("V15a", "largest amplification of a half-sine, undamped", UNDAMPED, 1.766, 0.02,
                partial(_undamped, 0))  # fmt: skip
    yield Check("V15b", "largest amplification, undamped, more digits", UNDAMPED_CLOSED, 1.76841,
                2e-4, partial(_undamped, 0))  # fmt: skip
    yield Check("V15c", "f T of the largest amplification, in 0.01", UNDAMPED_CLOSED, 0.81, 0.011,
                partial(_undamped, 1), absolute=True)  # fmt: skip
    yield Check("V16a", "largest response to 10 g, 10 ms", TEN_G, 16.5, 0.01, partial(_ten_g, 0),
                "g")  # fmt: skip
    yield Check("V16b", "frequency of the largest response to 10 g, 10 ms", TEN_G, 80.0, 0.026,
                partial(_ten_g, 1), "Hz")  # fmt: skip
    yield Check("V16c", "largest response to 10 g, 10 ms, more digits", TEN_G_AGAIN, 16.5149, 1e-3,
                partial(_ten_g, 0), "g")  # fmt: skip


def _random():
    """Rows of random response and its peaks."""
    case = (100.0, 10.0, 0.04)
    yield Check("V18a", "rms response, 100 Hz, Q = 10, 0.04 g2/Hz", MILES, 7.93, 0.005,
                partial(miles_response, *case), "g", absolute=True)  # fmt: skip
    yield Check("V18b", "three sigma, 100 Hz, Q = 10, 0.04 g2/Hz", MILES, 23.8, 0.05,
                lambda: 3.0 * miles_response(*case), "g", absolute=True)  # fmt: skip
    yield Check("V19a", "rms of absolute acceleration, 100 Hz, Q = 10", CRANDALL, 7.96619, 1e-5,
                partial(white_noise_response, *case), "g", absolute=True)  # fmt: skip
    yield Check("V19b", "rms of absolute acceleration, all digits", QUADRATURE, _by_quadrature,
                1e-6, partial(white_noise_response, *case), "g")  # fmt: skip
    rows = (("a", 1e3, 3.85576, 3.872), ("b", 1e5, 4.91074, 4.919))
    for part, crossings, mean, _ in rows:
        yield Check(f"V21{part}", f"largest of {crossings:g} crossings over sigma", POISSON, mean,
                    0.006, partial(peak_factor, crossings))  # fmt: skip
    for part, crossings, _, value in rows:
        yield Check(f"V21{'cd'['ab'.index(part)]}", f"peak factor of {crossings:g} crossings",
                    DAVENPORT, value, 0.001, partial(peak_factor, crossings),
                    absolute=True)  # fmt: skip
    yield Check("V22a", "share of a Gaussian signal within three sigma", SHARES, 0.9973, 5e-5,
                lambda: gaussian_share_within(3.0), absolute=True)  # fmt: skip
    yield Check("V22b", "share of narrow-band peaks above three sigma", SHARES, 0.0111, 5e-5,
                lambda: peak_exceedance(3.0, 1.0), absolute=True)  # fmt: skip
    yield Check("V22c", "share of wide-band maxima above three sigma", RICE,
                0.5 * math.erfc(3.0 / math.sqrt(2.0)), 1e-9,
                lambda: peak_exceedance(3.0, 0.0))  # fmt: skip


TOPICS = (
    Topic("Vibration levels", tuple(_levels())),
    Topic("Shocks and shock response", tuple(_shocks())),
    Topic("Random vibration", tuple(_random())),
)
