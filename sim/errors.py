"""The simulator's own errors; each says what was found, what was expected and the way out."""

from __future__ import annotations

import difflib
from collections.abc import Iterable


class SimError(Exception):
    """Root of the errors of the simulator; never raised itself."""


class UnknownNameError(SimError):
    """A liquid, scenario or mishap of this name is not shipped."""

    def __init__(self, what: str, name: str, known: Iterable[str]) -> None:
        names = sorted(known)
        near = difflib.get_close_matches(name, names, n=1, cutoff=0.5)
        meant = f" Did you mean {near[0]!r}?" if near else ""
        super().__init__(f"found no {what} called {name!r}; expected one of {', '.join(names)}.{meant}")
        self.what, self.name, self.known = what, name, tuple(names)


class ScenarioError(SimError):
    """A scenario that cannot be run; the message lists every fault found."""


class BenchActError(SimError):
    """An act that the simulated bench cannot do in its present state."""


class PortUnavailableError(SimError):
    """The machine has no virtual port of the kind asked for, or it cannot be opened."""
