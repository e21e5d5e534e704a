"""What is wrong or worth knowing about a recording: collected in one pass, told in plain words."""

from rollsim.errors import RollsimError

MOST_OF_A_SORT = 3
"""Places named of one sort of problem; the rest is counted."""


class RecordingError(RollsimError):
    """A recording cannot be replayed; every problem found is named (exit code 2).

    Parameters
    ----------
    problems : iterable of str
        One sentence each, file first.
    """

    exit_code = 2

    def __init__(self, problems):
        self.problems = tuple(problems)
        super().__init__(self.problems)

    def __str__(self):
        """All problems, one a line, below their count."""
        count = len(self.problems)
        head = f"recordings: {count} problem{'' if count == 1 else 's'} found"
        return "\n".join([head, *(f"  {problem}" for problem in self.problems)])


class Unusable(Exception):
    """Reading cannot go on; the reason stands among the findings already."""


class Findings:
    """Problems and warnings of one file.

    Parameters
    ----------
    file : str
        Name of the file as the user gave it.
    """

    def __init__(self, file):
        self.file = file
        self.problems = []
        self.warnings = []
        self._counts = {}
        self._places = set()

    def problem(self, text, channel=None, place=None, sort=None):
        """Note something that keeps the recording from being replayed; one a place of a channel.

        Parameters
        ----------
        text : str
            Value, what is wrong, what to do.
        channel : str or None
            Name of the channel.
        place : str or None
            Where in the file, as "line 7".
        sort : str or None
            Problems of one sort are named a few times and counted after that.
        """
        if sort is not None:
            if (channel, place) in self._places:
                return
            self._places.add((channel, place))
            self._counts[sort] = self._counts.get(sort, 0) + 1
            if self._counts[sort] > MOST_OF_A_SORT:
                return
        self.problems.append(self._words(text, channel, place))

    def stop(self, text, channel=None, place=None):
        """Note a problem after which the file cannot be read on.

        Parameters
        ----------
        text : str
            Value, what is wrong, what to do.
        channel : str or None
            Name of the channel.
        place : str or None
            Where in the file.

        Raises
        ------
        Unusable
            Always.
        """
        self.problem(text, channel, place)
        raise Unusable

    def go_on_only_if_sound(self):
        """Stop here where problems were found that make further reading pointless.

        Raises
        ------
        Unusable
            Where there are problems.
        """
        if self.problems:
            raise Unusable

    def warn(self, text, channel=None, place=None):
        """Note something that the user should know.

        Parameters
        ----------
        text : str
            What was found and what it means.
        channel : str or None
            Name of the channel.
        place : str or None
            Where in the file.
        """
        self.warnings.append(self._words(text, channel, place))

    def count(self, sort):
        """Number of problems of one sort.

        Parameters
        ----------
        sort : str
            The sort.

        Returns
        -------
        int
            All of them, named or not.
        """
        return self._counts.get(sort, 0)

    def all_problems(self):
        """Every problem, and how many more of each sort there are.

        Returns
        -------
        list of str
            Sentences.
        """
        more = [
            f"{self.file}: {count - MOST_OF_A_SORT} more of this kind: {sort}"
            for sort, count in self._counts.items()
            if count > MOST_OF_A_SORT
        ]
        return [*self.problems, *more]

    def _words(self, text, channel, place):
        """One sentence with the place in front."""
        where = [self.file]
        if channel is not None:
            where.append(f"channel '{channel}'")
        if place is not None:
            where.append(place)
        return f"{', '.join(where)}: {text}"
