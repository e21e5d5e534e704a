"""Rollers in blocks of equal length, so that every loop over them fills the vectors.

A loop over Z rollers leaves a scalar remainder unless Z fits the vectors, and each remaining
roller costs as much as a whole vector. Here all rollers are worked on in blocks of WIDTH: the last
block is moved back so that it ends with the last roller, and the lanes that a block before has
done already do not count in sums. A bearing with fewer rollers than one block has fills it with
copies of its last one. The data of a block stand in an array on the stack, row by row.
"""

from rollsim.kernels.jit import index, inline_kernel

#: Rollers of a block: one 512-bit vector of doubles, or two of 256 bit.
WIDTH = 8


@inline_kernel
def block_count(count):
    """Blocks that a number of rollers needs.

    Parameters
    ----------
    count : int
        Rollers Z.

    Returns
    -------
    int
        Count.
    """
    return (count + WIDTH - 1) // WIDTH


@inline_kernel
def block_start(block, count):
    """First roller of a block.

    Parameters
    ----------
    block : int
        Number of the block from 0.
    count : int
        Rollers Z.

    Returns
    -------
    int
        Roller.
    """
    return max(min(block * WIDTH, count - WIDTH), 0)


@inline_kernel
def load_row(lanes, row, source, start, first, count):
    """Fill a row with the numbers of the rollers of a block.

    Parameters
    ----------
    lanes : ndarray (rows, WIDTH)
        Block, written.
    row : int
        Row.
    source : ndarray
        Where the numbers stand, one a roller.
    start : int
        Place of that of roller 0.
    first : int
        First roller of the block.
    count : int
        Rollers Z.

    Returns
    -------
    None
    """
    if count >= WIDTH:
        for k in range(WIDTH):
            lanes[index(row), index(k)] = source[index(start + first + k)]
    else:
        for k in range(WIDTH):
            lanes[index(row), index(k)] = source[index(start + min(k, count - 1))]


@inline_kernel
def store_row(lanes, row, target, start, first, count):
    """Write a row to the places of the rollers of a block.

    Parameters
    ----------
    lanes : ndarray (rows, WIDTH)
        Block.
    row : int
        Row.
    target : ndarray
        Where the numbers go, one a roller.
    start : int
        Place of that of roller 0.
    first : int
        First roller of the block.
    count : int
        Rollers Z.

    Returns
    -------
    None
    """
    if count >= WIDTH:
        for k in range(WIDTH):
            target[index(start + first + k)] = lanes[index(row), index(k)]
    else:
        for k in range(count):
            target[index(start + k)] = lanes[index(row), index(k)]


@inline_kernel
def row_sum(lanes, row):
    """Sum of a row.

    Parameters
    ----------
    lanes : ndarray (rows, WIDTH)
        Block.
    row : int
        Row.

    Returns
    -------
    float
        In the unit of the row.
    """
    total = 0.0
    for k in range(WIDTH):
        total += lanes[index(row), index(k)]
    return total
