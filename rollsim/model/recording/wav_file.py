"""WAV files: samples as shares of a full scale."""

import warnings

import numpy as np

from rollsim.model.recording.contents import Contents, positions
from rollsim.model.recording.store import BLOCK

LARGEST_UNMAPPED = 200e6
"""Bytes of a file with 24-bit samples, which has to be read as a whole."""


def open_wav(path, source, findings):
    """Open a WAV file.

    Parameters
    ----------
    path : Path
        The file.
    source : RecordingSource
        Keys of the case.
    findings : Findings
        Takes the problems.

    Returns
    -------
    Contents
        Channels in the order of the case, numbers as shares of the full scale.
    """
    rate, data = _read(path, findings)
    if not data.size:
        findings.stop("it holds no samples")
    data = data.reshape(len(data), -1)
    names = [str(number + 1) for number in range(data.shape[1])]
    columns = positions(source.channels, names, "channels of this file", findings)
    findings.go_on_only_if_sound()
    blocks = _blocks(path, data, columns, *_zero_and_scale(data.dtype))
    return Contents(blocks=blocks, rate=float(rate), scale=source.full_scale)


def _read(path, findings):
    """Rate and samples, mapped from the file where its format allows."""
    from scipy.io import wavfile

    with warnings.catch_warnings():
        # Unknown chunks are common (calibration notes) and of no use here.
        warnings.simplefilter("ignore", wavfile.WavFileWarning)
        try:
            return wavfile.read(path, mmap=True)
        except Exception as problem:
            first = problem
        if path.stat().st_size > LARGEST_UNMAPPED:
            findings.stop(
                f"cannot be read in parts ({first}), and is larger than "
                f"{LARGEST_UNMAPPED / 1e6:.0f} MB: convert it to 16 or 32 bits"
            )
        try:
            return wavfile.read(path)
        except Exception as problem:  # the reader raises what its parsing trips over
            findings.stop(f"cannot be read as WAV ({problem}): it is damaged or of another format")


def _zero_and_scale(kind):
    """Number that stands for zero, and number of the full scale above it."""
    if kind == np.uint8:
        return 128.0, 128.0
    if np.issubdtype(kind, np.integer):
        return 0.0, float(2 ** (8 * np.dtype(kind).itemsize - 1))
    return 0.0, 1.0


def _blocks(path, data, columns, zero, scale):
    """Values as shares of the full scale, block by block."""
    offset, shape, kind = getattr(data, "offset", None), data.shape, data.dtype
    if offset is None:
        for first in range(0, len(data), BLOCK):
            yield None, _shares(data[first : first + BLOCK, columns], zero, scale)
        return
    # Read as a file: pages of a mapped one would count as memory of the run.
    del data
    with open(path, "rb") as file:
        file.seek(offset)
        left = shape[0]
        while left > 0:
            part = np.fromfile(file, dtype=kind, count=min(left, BLOCK) * shape[1])
            part = part.reshape(-1, shape[1])
            if not len(part):
                return
            left -= len(part)
            yield None, _shares(part[:, columns], zero, scale)


def _shares(part, zero, scale):
    """Samples as shares of the full scale."""
    with np.errstate(invalid="ignore"):  # what is no number is refused with its place later
        return (part.astype(float) - zero) / scale
