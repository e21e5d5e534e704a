"""Bytes of a history as HDF5 stores them: turned by place in the number, and their check sum."""

from rollsim.kernels.jit import kernel

#: Words that are summed before the sums are folded: they stay far below 63 bits.
_BETWEEN_FOLDS = 1 << 20


@kernel
def shuffle_bytes(values, target):
    """Put first bytes of all numbers first, then all second bytes, as the shuffle filter does.

    Parameters
    ----------
    values : ndarray (n, width) of uint8
        Bytes of n numbers.
    target : ndarray (width, n) of uint8
        Written.

    Returns
    -------
    None
    """
    for place in range(values.shape[1]):
        for i in range(values.shape[0]):
            target[place, i] = values[i, place]


@kernel
def fletcher32(data):
    """Check sum that HDF5 keeps behind every packed chunk.

    With the words w of 16 bits, high byte first (a last single byte is a high byte), a = sum w and
    b = sum of all partial sums of a, both taken modulo 65535 with 65535 in place of 0 (0 only where
    every word is 0): the sum is 65536 b + a. After Fletcher, An arithmetic checksum for serial
    transmissions, IEEE Transactions on Communications 30 (1982), in the form of the HDF5 library.

    Parameters
    ----------
    data : ndarray (n,) of uint8
        Bytes.

    Returns
    -------
    int
        The sum, 32 bits.

    >>> import numpy as np
    >>> fletcher32(np.frombuffer(b"badcfe", dtype=np.uint8)) == 0x56502D2A
    True
    """
    a = 0
    b = 0
    words = data.shape[0] // 2
    begin = 0
    while begin < words:
        end = min(words, begin + _BETWEEN_FOLDS)
        for i in range(begin, end):
            a += (int(data[2 * i]) << 8) + int(data[2 * i + 1])
            b += a
        a = fold(a)
        b = fold(b)
        begin = end
    if data.shape[0] % 2:
        a = fold(a + (int(data[data.shape[0] - 1]) << 8))
        b = fold(b + a)
    return (b << 16) + a


@kernel
def fold(value):
    """Remainder modulo 65535, with 65535 in place of 0.

    Parameters
    ----------
    value : int
        Not negative.

    Returns
    -------
    int
        0 for 0, else 1 to 65535.

    >>> fold(0), fold(65535), fold(65536), fold(3 * 65535)
    (0, 65535, 1, 65535)
    """
    if value == 0:
        return 0
    return (value - 1) % 65535 + 1
