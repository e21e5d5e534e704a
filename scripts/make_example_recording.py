"""Writes the recording of the example case dewatering_screen_recording.

    python scripts/make_example_recording.py [FILE]

The recording is invented: the circular motion of a screen box at 970 rpm, hits of panels and
lumps that ring down, and random vibration, as a three-axis sensor turned by 30 degrees against
the bearing would record them at 1000 samples a second. Running it again gives the same file.
"""

import sys
from pathlib import Path

import numpy as np

FILE = Path(__file__).resolve().parents[1] / "cases" / "dewatering_screen_recording.csv"
RATE = 1000.0
LENGTH = 3.2
EXCITER_RPM = 970.0
THROW = 4.3e-3
SENSOR_ANGLE = np.radians(30.0)
OFFSET = (0.031, -0.012, 0.008)
G0 = 9.80665
HITS_PER_SECOND = 9.0


def acceleration():
    """Acceleration of the screen box on the axes of the bearing, in g, one row a sample."""
    generator = np.random.Generator(np.random.PCG64(20))
    time = np.arange(round(LENGTH * RATE)) / RATE
    omega = EXCITER_RPM * np.pi / 30.0
    size = THROW * omega**2 / G0
    total = np.zeros((len(time), 3))
    total[:, 0] = -size * np.cos(omega * time)
    total[:, 1] = -size * np.sin(omega * time)
    total += _random(generator, len(time))
    for _ in range(round(HITS_PER_SECOND * LENGTH)):
        since = time - generator.uniform(0.0, LENGTH)
        ring = 2.0 * np.pi * generator.uniform(90.0, 260.0)
        shape = np.where(since >= 0.0, np.exp(-np.maximum(since, 0.0) / 0.012), 0.0)
        total += np.outer(shape * np.sin(ring * since), generator.normal(0.0, 2.5, 3))
    return total


def _random(generator, count):
    """Random vibration of 0.5 g rms with components up to 350 Hz, then falling off."""
    frequency = np.fft.rfftfreq(count, 1.0 / RATE)
    filtered = 1.0 / (1.0 + (frequency / 350.0) ** 12)
    filtered[frequency < 5.0] = 0.0
    noise = np.fft.irfft(
        filtered[:, None] * np.fft.rfft(generator.normal(size=(count, 3)), axis=0), count, axis=0
    )
    return 0.5 * noise / noise.std(axis=0)


def recording_text():
    """The file: times in s and three channels in g."""
    c, s = np.cos(SENSOR_ANGLE), np.sin(SENSOR_ANGLE)
    a = acceleration()
    channels = np.column_stack([c * a[:, 0] + s * a[:, 1], c * a[:, 1] - s * a[:, 0], a[:, 2]])
    rows = ["time [s];acc_1 [g];acc_2 [g];acc_3 [g]"]
    for number, row in enumerate(channels + OFFSET):
        rows.append(f"{number / RATE:.3f};" + ";".join(f"{value:.3f}" for value in row))
    return "\n".join(rows) + "\n"


if __name__ == "__main__":
    target = Path(sys.argv[1]) if len(sys.argv) > 1 else FILE
    target.write_text(recording_text(), encoding="utf-8", newline="\n")
    print(f"wrote {target}")
