"""The journal: the append-only list of everything that happened in a run; knows no file and no clock."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

#: Who caused an entry.
PERSON, PROGRAM, DEVICE, OPERATOR = "person", "program", "device", "simulated operator"


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing that happened.

    `block` is the number of one-second blocks that were closed when it happened: together with the readings it
    fixes the order in which a replay must apply acts.  `given` is true for what came from outside (acts, device
    notices) and false for what the run concluded itself: a replay feeds the first and must reproduce the second.
    """

    number: int
    time: float  # [s] run start = 0
    block: int
    kind: str
    actor: str
    given: bool
    text: str
    data: Mapping[str, Any] = field(default_factory=dict)

    def canonical(self) -> str:
        """One line of JSON with sorted keys, the form that is hashed and compared."""
        return json.dumps(
            {
                "number": self.number,
                "time": self.time,
                "block": self.block,
                "kind": self.kind,
                "actor": self.actor,
                "given": self.given,
                "text": self.text,
                "data": self.data,
            },
            sort_keys=True,
            ensure_ascii=False,
            separators=(",", ":"),
        )

    @classmethod
    def from_canonical(cls, line: str) -> Entry:
        """The entry that `canonical` wrote."""
        return cls(**json.loads(line))


def chained_hash(previous: str, line: str) -> str:
    """SHA-256 over the previous hash and this canonical line, as 64 hex digits."""
    return hashlib.sha256((previous + line).encode("utf-8")).hexdigest()


GENESIS = "0" * 64  # what the first entry is chained to


class Journal:
    """Entries in the order they happened; grows, never changes."""

    def __init__(self, entries: list[Entry] | None = None) -> None:
        self._entries: list[Entry] = list(entries or [])

    def __len__(self) -> int:
        return len(self._entries)

    def __iter__(self) -> Iterator[Entry]:
        return iter(self._entries)

    def __getitem__(self, index: int) -> Entry:
        return self._entries[index]

    def append(
        self,
        *,
        time: float,
        block: int,
        kind: str,
        actor: str,
        given: bool,
        text: str,
        data: Mapping[str, Any],
    ) -> Entry:
        entry = Entry(len(self._entries), time, block, kind, actor, given, text, _plain(data))
        self._entries.append(entry)
        return entry

    def since(self, number: int) -> list[Entry]:
        """Entries with this number and above."""
        return self._entries[number:]

    def of_kind(self, *kinds: str) -> list[Entry]:
        return [entry for entry in self._entries if entry.kind in kinds]


def _plain(value: Any) -> Any:
    """Numpy scalars, tuples and enums as what JSON gives back, so that live and reread entries are equal."""
    if isinstance(value, Mapping):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, bool | str) or value is None:
        return str(value) if isinstance(value, str) else value
    if isinstance(value, int):
        return int(value)
    if hasattr(value, "item"):
        return _plain(value.item())
    if isinstance(value, float):
        # JSON has no NaN: an absent number is null, in the file as in memory.
        return value if value - value == 0 else None
    raise TypeError(f"a journal entry cannot hold {type(value).__name__}")
