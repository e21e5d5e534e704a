"""What was worked out from a history, so that several readers of it work it out once.

Off unless a history is told to keep it (`History.keep_results`): evaluations then look there first.
"""

from __future__ import annotations

import functools
import inspect
from collections.abc import Callable, Hashable, Iterator
from typing import Any


class WorkedOut:
    """Results by the name of what gave them and its arguments.

    Parameters
    ----------
    known : dict or None
        Results that are known already, from `plain` of another one.
    """

    def __init__(self, known: dict[Hashable, Any] | None = None):
        self._known = dict(known or {})
        #: Whether something was added since it was made.
        self.grew = False

    def once(self, name: Hashable, make: Callable[[], Any]) -> Any:
        """A result: the known one, or worked out now.

        Parameters
        ----------
        name : hashable
            Equal names stand for equal results.
        make : callable
            Works it out. Nobody may change what it gives.

        Returns
        -------
        object
        """
        if name not in self._known:
            self._known[name] = make()
            self.grew = True
        return self._known[name]

    def plain(self) -> dict[Hashable, Any]:
        """All results by name.

        Returns
        -------
        dict
            A copy of its own.
        """
        return dict(self._known)


def once_a_history(function: Callable | None = None, *, apart: tuple[str, ...] = ()) -> Callable:
    """Make a function of a history and plain arguments give the kept result where there is one.

    Parameters
    ----------
    function : callable
        Takes a history first. Other arguments are numbers, texts or named functions; with any
        other it is simply called.
    apart : tuple of str
        Arguments that help with the work and do not change the result.

    Returns
    -------
    callable
        Of the same signature.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> @once_a_history
    ... def doubled(history, number=2):
    ...     print("at work")
    ...     return 2 * number
    >>> doubled(SimpleNamespace(results=WorkedOut()))
    at work
    4
    >>> kept = SimpleNamespace(results=WorkedOut())
    >>> [doubled(kept, 2), doubled(kept)]
    at work
    [4, 4]
    """
    if function is None:
        return functools.partial(once_a_history, apart=apart)
    signature, own = inspect.signature(function), _name(function)

    @functools.wraps(function)
    def wrapped(history, *given, **named):
        results = getattr(history, "results", None)
        if results is None:
            return function(history, *given, **named)
        bound = signature.bind(history, *given, **named)
        bound.apply_defaults()
        try:
            given_values = [v for key, v in bound.arguments.items() if key not in apart]
            name = own, *_plain(given_values[1:])
        except TypeError:
            return function(history, *given, **named)
        return results.once(name, lambda: function(history, *given, **named))

    return wrapped


def _name(function: Callable) -> str:
    """Place of a function; those inside others have none that stands for what they do."""
    if "<" in function.__qualname__:
        raise TypeError(f"{function.__qualname__} is not a function of a module")
    return f"{function.__module__}.{function.__qualname__}"


def _plain(values: list[Any]) -> Iterator[Any]:
    """Arguments as parts of a name."""
    for value in values:
        if value is None or isinstance(value, bool | int | float | str):
            yield value
        elif inspect.isfunction(value):
            yield _name(value)
        else:
            raise TypeError(f"{type(value).__name__} does not go into a name")
