"""Progress of long work: a bar with time left on a terminal, quiet lines in a log."""

import shutil
import sys
import time

_LOG_SHARE = 0.1
_WIDEST_BAR = 120


class Progress:
    """Progress over simulated time.

    Parameters
    ----------
    total : float, s
        Simulated time to reach.
    start : float, s
        Simulated time already reached.
    stream : file or None
        Where to write; standard error when None.
    """

    def __init__(self, total, start=0.0, stream=None):
        self._total = total
        self._start = start
        self._stream = stream or sys.stderr
        self._began = time.monotonic()
        self._bar = None
        self._next_line = start + _LOG_SHARE * total
        if getattr(self._stream, "isatty", lambda: False)():
            from tqdm import tqdm

            shape = "{l_bar}{bar}| {n:.3f}/{total:.3f} s simulated [{elapsed}<{remaining}]{postfix}"
            # A terminal may not know its size; tqdm would then draw nothing.
            size = shutil.get_terminal_size()
            self._bar = tqdm(
                total=total,
                initial=start,
                file=self._stream,
                bar_format=shape,
                desc="running",
                ncols=min(size.columns - 1, _WIDEST_BAR),
                nrows=size.lines,
            )

    def update(self, reached, largest, note=""):
        """Tell how far the run is.

        Parameters
        ----------
        reached : float, s
            Simulated time reached.
        largest : float or None, N
            Largest pocket force so far; None before the settling time is over.
        note : str
            What is going on, in a few words; "running" when empty.
        """
        words = "settling" if largest is None else f"peak pocket force {largest:.0f} N"
        if self._bar is not None:
            if note:  # in front, where a narrow terminal does not cut it off
                self._bar.set_description_str(f"{note}: ", refresh=False)
            self._bar.set_postfix_str(words, refresh=False)
            self._bar.update(max(0.0, min(reached, self._total) - self._bar.n))
        elif reached >= self._next_line:
            spent = time.monotonic() - self._began
            done = max(reached - self._start, 1e-12)
            words = f"{words}, {note}" if note else words
            left = spent * max(self._total - reached, 0.0) / done
            self._stream.write(
                f"{reached:.3f} of {self._total:g} s simulated, about {left:.0f} s left, {words}\n"
            )
            self._stream.flush()
            while self._next_line <= reached:
                self._next_line += _LOG_SHARE * self._total

    def extend(self, total):
        """Take up more work.

        Parameters
        ----------
        total : float, s
            Simulated time to reach from now on.
        """
        self._total = total
        if self._bar is not None:
            self._bar.total = total

    def line(self, text):
        """Say something on a line of its own without tearing the bar.

        Parameters
        ----------
        text : str
            One line.
        """
        if self._bar is not None:
            self._bar.clear()
        self._stream.write(f"{text}\n")
        self._stream.flush()
        if self._bar is not None:
            self._bar.refresh()

    def close(self):
        """Leave the terminal tidy."""
        if self._bar is not None:
            self._bar.close()


class Silence:
    """Progress that says nothing."""

    def update(self, reached, largest, note=""):
        """Say nothing.

        Parameters
        ----------
        reached : float, s
            Simulated time reached.
        largest : float or None, N
            Largest pocket force so far.
        note : str
            What else.
        """

    def extend(self, total):
        """Say nothing.

        Parameters
        ----------
        total : float, s
            Simulated time to reach from now on.
        """

    def line(self, text):
        """Say nothing.

        Parameters
        ----------
        text : str
            One line.
        """

    def close(self):
        """Say nothing."""
