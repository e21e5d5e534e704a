"""Orbits made by formula, whose class is known before anything is measured.

Every maker takes a random generator and a plain history (1 kHz, cage at 50 rad/s) and puts an orbit
into it. The ranges are wide on purpose: radius, speed, noise and centre are drawn anew each time.
"""

from types import SimpleNamespace

import numpy as np


def lowpass(rng, samples, rate, corner):
    """Complex noise of rms 1 whose power falls off above a corner frequency in Hz."""
    frequency = np.fft.fftfreq(samples, 1.0 / rate)
    noise = rng.normal(size=samples) + 1j * rng.normal(size=samples)
    z = np.fft.ifft(noise / (1.0 + (frequency / corner) ** 2))
    z -= z.mean()
    return z / np.sqrt(np.mean(np.abs(z) ** 2))


def put(plain, history, z):
    """Put a path and its rate, by central differences, into a history."""
    plain.set_orbit(history, z, np.gradient(z, history.time))


def draw(rng, low, high):
    """An even random number."""
    return rng.uniform(low, high)


def turn(rng):
    """A random direction."""
    return np.exp(2j * np.pi * rng.random())


def seated(rng, plain, history):
    """The cage lies at one spot and is thrown about it a little."""
    t = history.time
    shake = draw(rng, 0.02, 0.2) * lowpass(rng, len(t), 1000.0, draw(rng, 5.0, 60.0))
    put(plain, history, draw(rng, 0.7, 1.0) * turn(rng) + shake)


def regular(rng, plain, history):
    """Circle about the centre, either sense, with a wandering phase and a rough radius."""
    t = history.time
    speed = 50.0 * draw(rng, 0.25, 1.5) * rng.choice([-1.0, 1.0])
    wander = np.cumsum(rng.normal(size=len(t))) * draw(rng, 0.0, 0.01)
    radius = draw(rng, 0.3, 0.98) * (
        1.0 + draw(rng, 0.0, 0.12) * lowpass(rng, len(t), 1000.0, 20.0).real
    )
    put(plain, history, radius * np.exp(1j * (speed * t + wander)) + 0.1 * turn(rng))


def forced_round(rng, plain, history):
    """Circle in step with an exciter."""
    frequency = draw(rng, 10.0, 25.0) * rng.choice([-1.0, 1.0])
    history.case.vibration = (SimpleNamespace(kind="exciter", speed_rpm=60.0 * frequency),)
    z = draw(rng, 0.3, 0.9) * np.exp(2j * np.pi * frequency * history.time) * turn(rng)
    put(plain, history, z + 0.05 * lowpass(rng, len(z), 1000.0, 30.0))


def forced_line(rng, plain, history):
    """To and fro with a sine along one axis, off the centre, with noise."""
    frequency = draw(rng, 10.0, 40.0)
    history.case.vibration = (SimpleNamespace(kind="sine", axis="y", frequency_Hz=frequency),)
    z = draw(rng, 0.3, 0.6) * 1j * np.cos(2.0 * np.pi * frequency * history.time + 1.0)
    z = z + 0.3 * turn(rng) * draw(rng, 0.0, 1.0)
    put(plain, history, z + draw(rng, 0.02, 0.15) * lowpass(rng, len(z), 1000.0, 30.0))


def forced_random(rng, plain, history):
    """A damped mass shaken at random in both directions: linear, so coherent."""
    t = history.time
    shaken = lowpass(rng, len(t), 1000.0, 150.0)
    history.channels["base_acceleration"][:, 0] = 5.0 * shaken.real
    history.channels["base_acceleration"][:, 1] = 5.0 * shaken.imag
    history.case.vibration = (SimpleNamespace(kind="psd", axis=("x", "y")),)
    omega = 2.0 * np.pi * np.fft.fftfreq(len(t), 1e-3)
    own = 2.0 * np.pi * draw(rng, 20.0, 60.0)
    z = np.fft.ifft(np.fft.fft(shaken) / (own**2 - omega**2 + 0.6j * own * omega))
    z *= 0.4 / np.sqrt(np.mean(np.abs(z) ** 2))
    put(plain, history, z + draw(rng, 0.0, 0.12) * lowpass(rng, len(t), 1000.0, 40.0))


def disordered(rng, plain, history):
    """Thrown about, by a vibration that it does not follow."""
    t = history.time
    shaken = lowpass(rng, len(t), 1000.0, 150.0)
    history.channels["base_acceleration"][:, 0] = 5.0 * shaken.real
    history.case.vibration = (SimpleNamespace(kind="exciter", speed_rpm=972.0),)
    put(plain, history, draw(rng, 0.2, 0.6) * lowpass(rng, len(t), 1000.0, draw(rng, 4.0, 40.0)))


def begins_to_whirl(rng, plain, history):
    """Seated first, then a circle."""
    t = history.time
    whirls = t > t[-1] * draw(rng, 0.3, 0.7)
    speed = 50.0 * draw(rng, 0.4, 1.2) * rng.choice([-1.0, 1.0])
    z = np.where(whirls, 0.9 * np.exp(1j * speed * t), -0.9j)
    put(plain, history, z + 0.03 * lowpass(rng, len(t), 1000.0, 30.0))


def grows(rng, plain, history):
    """A circle whose radius grows over the record."""
    t = history.time
    radius = np.linspace(draw(rng, 0.1, 0.4), draw(rng, 0.75, 1.0), len(t))
    z = radius * np.exp(1j * 50.0 * draw(rng, 0.4, 1.2) * t)
    put(plain, history, z + 0.02 * lowpass(rng, len(t), 1000.0, 30.0))


#: Class that every orbit must get; "" means: any but a class, because the orbit changes.
MAKERS = {
    seated: "seated",
    regular: "regular circular",
    forced_round: "forced",
    forced_line: "forced",
    forced_random: "forced",
    disordered: "disordered",
    begins_to_whirl: "undecided",
    grows: "undecided",
}
