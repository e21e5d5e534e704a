"""Progress of many runs on one line."""


class SetDisplay:
    """Adds up what the replicates of a set report; closes the display at the end of a `with`.

    Parameters
    ----------
    make : callable
        Makes a progress display from (total s, start s), as `rollsim.simulation.progress.Progress`.
    duration : float, s
        Simulated time of one run.
    noun : str
        What the runs are called.
    """

    def __init__(self, make, duration, noun="replicate"):
        self._noun = noun
        self._make = make
        self._duration = duration
        self._reached = {}
        self._largest = None
        self._finished = self._failed = 0
        self._said = set()
        self._shown = None

    def plan(self, reached):
        """Take up runs, or more of them.

        Parameters
        ----------
        reached : dict of int to float, s
            Simulated time that is there already, of every replicate of the set.
        """
        self._reached = dict(reached)
        total = len(reached) * self._duration
        self._finished = sum(time >= self._duration for time in reached.values())
        if self._shown is None:
            self._shown = self._make(total, sum(reached.values()))
        else:
            self._shown.extend(total)

    def reached(self, number, time, largest):
        """Show that a replicate has come to a time.

        Parameters
        ----------
        number : int
            Of the replicate.
        time : float, s
            Simulated time.
        largest : float or None, N
            Largest pocket force of the replicate; None before it has settled.
        """
        self._reached[number] = time
        if largest is not None:
            self._largest = max(largest, self._largest or 0.0)
        self._show()

    def said(self, number, text):
        """Show a line of a replicate; a line that all of them say is shown once.

        Parameters
        ----------
        number : int
            Of the replicate.
        text : str
            One line.
        """
        if text not in self._said:
            self._said.add(text)
            self._shown.line(f"{self._noun} {number}: {text}")

    def ended(self, number, reason=""):
        """Show that a replicate has ended.

        Parameters
        ----------
        number : int
            Of the replicate.
        reason : str
            Why it failed; empty when it is finished.
        """
        if reason:
            self._failed += 1
            self._shown.line(f"{self._noun} {number} failed: {reason}")
        else:
            self._finished += 1
            self._reached[number] = self._duration
        self._show()

    def _show(self):
        """Bring the line up to date."""
        note = f"{self._finished} of {len(self._reached)} finished"
        if self._failed:
            note += f", {self._failed} failed"
        self._shown.update(sum(self._reached.values()), self._largest, note)

    def __enter__(self):
        """Return the display itself."""
        return self

    def __exit__(self, *_):
        """Leave the terminal tidy."""
        if self._shown is not None:
            self._shown.close()
