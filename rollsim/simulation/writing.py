"""Writing beside the march: a block is packed and written while the next one is computed."""

from concurrent.futures import ThreadPoolExecutor


class WriteBehind:
    """Hands blocks to a writer in a thread of its own, one at a time and in order.

    The march runs in compiled code that lets other threads run, so that packing costs no time of
    the run where there is a second core. At most one block is on its way: memory does not grow,
    and a stop loses no more than that block and the one being computed. Leaving a `with`
    statement waits for it.

    Parameters
    ----------
    writer : BlockKeeper or SegmentWriter
        Where the blocks go.
    """

    def __init__(self, writer):
        self._writer = writer
        self._thread = ThreadPoolExecutor(1, thread_name_prefix="rollsim-writing")
        self._pending = None

    def append(self, block):
        """Hand over a block, after the one before is safe on the disk.

        Parameters
        ----------
        block : Stretch or Block
            Next stretch of simulated time; not to be changed afterwards.

        Raises
        ------
        RunError
            When the block before could not be written.
        """
        self.wait()
        self._pending = self._thread.submit(self._writer.append, block)

    def wait(self):
        """Return when every block handed over is safe on the disk.

        Raises
        ------
        RunError
            When one could not be written.
        """
        pending, self._pending = self._pending, None
        if pending is not None:
            pending.result()

    def __enter__(self):
        """Return itself."""
        return self

    def __exit__(self, *_):
        """Let the last block be written and end the thread; an error under way stays the error."""
        self._thread.shutdown(wait=True)
