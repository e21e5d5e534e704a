"""The only door to the compiler.

The on-disk cache of the compiler looks at the file that holds a function, not at the files of the
functions it calls, so an edited contact law could leave a stale right-hand side behind. The cache
folder is therefore keyed by a hash of every kernel source together with the versions that matter.
"""

import hashlib
import os
import sys
from pathlib import Path

import llvmlite
import numba
import numpy as np
from llvmlite import ir
from numba import njit, types
from numba.extending import intrinsic, lower_builtin, type_callable
from numba.np.arrayobj import make_array, populate_array
from platformdirs import user_cache_dir

#: Reordering and fused multiply-add are allowed, the assumption "no NaN, no infinity" is not:
#: a non-finite state has to stay visible to the step control.
FAST = {"reassoc", "nsz", "arcp", "contract", "afn"}
#: Kernels allocate nothing, so arrays need no reference counts: counting them at every call of a
#: merged function cost a third of the time of the spatial model.
OPTIONS = {"fastmath": FAST, "error_model": "numpy", "_nrt": False}


def kernel_hash() -> str:
    """Hash of all kernel sources, of their place, and of interpreter and compiler versions.

    The compiler keeps apart what was compiled for sources in different folders; with the place in
    the hash, a second installation is not taken for warm because the first one is.

    Returns
    -------
    str
        Sixteen hexadecimal digits.
    """
    digest = hashlib.sha256()
    folder = Path(__file__).resolve().parent
    versions = f"{sys.version_info[:3]} {numba.__version__} {llvmlite.__version__}"
    digest.update(f"{folder} {versions}".encode())
    for path in sorted(folder.glob("*.py")):
        digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()[:16]


def cache_folder() -> Path:
    """Folder of compiled kernels of this very source; ROLLSIM_CACHE moves it.

    Returns
    -------
    pathlib.Path
        The folder; it may not exist yet.
    """
    root = os.environ.get("ROLLSIM_CACHE") or user_cache_dir("rollsim", appauthor=False)
    return Path(root) / "kernels" / kernel_hash()


def _usable_cache() -> bool:
    """Point the compiler's cache at our folder; False when that folder cannot be written."""
    folder = cache_folder()
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return False
    numba.config.CACHE_DIR = str(folder)
    return os.access(folder, os.W_OK)


_CACHE = _usable_cache()


def kernel(function):
    """Compile a function at its first call and keep the machine code on disk.

    Parameters
    ----------
    function : callable
        Plain Python function over scalars, tuples and arrays. The original stays reachable
        as `.py_func`.

    Returns
    -------
    callable
        The compiled dispatcher.
    """
    return njit(cache=_CACHE, nogil=True, **OPTIONS)(function)


def allocating_kernel(function):
    """Compile a function as `kernel` does, but one that may make arrays of its own.

    For work on whole histories. Nothing that a step calls may be compiled like this.

    Parameters
    ----------
    function : callable
        As for `kernel`.

    Returns
    -------
    callable
        The compiled dispatcher.
    """
    return njit(cache=_CACHE, nogil=True, **{**OPTIONS, "_nrt": True})(function)


def inline_kernel(function):
    """Compile a small function which is to be merged into its callers by the optimiser.

    Parameters
    ----------
    function : callable
        As for `kernel`.

    Returns
    -------
    callable
        The compiled dispatcher.
    """
    return njit(cache=_CACHE, nogil=True, forceinline=True, **OPTIONS)(function)


#: Index that is never negative. A signed one makes every access ask whether it counts from the end,
#: and keeps loops that read several places of one array from vectorising.
index = np.uint64


@intrinsic
def _bits_of(typing_context, value):
    """Reinterpret a double as a 64-bit integer."""

    def generate(context, builder, signature, arguments):
        return builder.bitcast(arguments[0], ir.IntType(64))

    return types.int64(types.float64), generate


@intrinsic
def _double_of(typing_context, bits):
    """Reinterpret a 64-bit integer as a double."""

    def generate(context, builder, signature, arguments):
        return builder.bitcast(arguments[0], ir.DoubleType())

    return types.float64(types.int64), generate


@inline_kernel
def float_bits(value):
    """Bit pattern of a double.

    Parameters
    ----------
    value : float
        Any double.

    Returns
    -------
    int
        The same 64 bits as a signed integer.
    """
    return _bits_of(value)


@inline_kernel
def float_from_bits(bits):
    """Double with the given bit pattern.

    Parameters
    ----------
    bits : int
        64 bits.

    Returns
    -------
    float
        The double.
    """
    return _double_of(bits)


def stack_array(rows, columns):
    """Make a function that hands out working space of a fixed size in the frame of its caller.

    Compiled, the space costs nothing, holds anything at first and is gone when the function that
    asked for it returns. The compiler knows that it overlaps with no other array, so that loops
    which write to it vectorise.

    Parameters
    ----------
    rows : int
        Rows.
    columns : int
        Columns.

    Returns
    -------
    callable
        Without arguments; returns a float array (rows, columns).
    """

    def space():
        return np.empty((rows, columns))

    kind = types.Array(types.float64, 2, "C")

    @type_callable(space)
    def typed(context):
        return lambda: kind

    @lower_builtin(space)
    def generate(context, builder, signature, arguments):
        with builder.goto_entry_block():
            place = builder.alloca(ir.ArrayType(ir.DoubleType(), rows * columns))
            place.align = 64
        zero, size = ir.Constant(ir.IntType(64), 0), context.get_constant(types.intp, 8)
        array = make_array(kind)(context, builder)
        populate_array(
            array,
            data=builder.gep(place, [zero, zero], inbounds=True),
            shape=[context.get_constant(types.intp, n) for n in (rows, columns)],
            strides=[context.get_constant(types.intp, 8 * columns), size],
            itemsize=size,
            meminfo=None,
        )
        return array._getvalue()

    return space
