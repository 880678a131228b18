from __future__ import annotations

import math

import numpy as np
import pytest

from acquire.journal import GENESIS, Entry, Journal, chained_hash


def append(journal: Journal, **data) -> Entry:
    return journal.append(time=1.5, block=1, kind="act", actor="person", given=True, text="µ → ok", data=data)


def test_an_entry_comes_back_from_its_canonical_line() -> None:
    entry = append(Journal(), act="note", text="warmer", nested={"a": (1, 2.5)})
    assert Entry.from_canonical(entry.canonical()) == entry


def test_numpy_numbers_and_not_a_number_become_what_json_gives_back() -> None:
    entry = append(Journal(), a=np.float64(1.25), b=np.int64(3), c=math.nan, d=np.bool_(True))
    assert entry.data == {"a": 1.25, "b": 3, "c": None, "d": True}
    assert Entry.from_canonical(entry.canonical()) == entry


def test_what_json_cannot_hold_is_refused() -> None:
    with pytest.raises(TypeError, match="cannot hold object"):
        append(Journal(), thing=object())


def test_numbers_count_up_and_since_gives_the_rest() -> None:
    journal = Journal()
    for _ in range(4):
        append(journal)
    assert [entry.number for entry in journal] == [0, 1, 2, 3]
    assert [entry.number for entry in journal.since(2)] == [2, 3]


def test_the_hash_chain_is_sha256_over_hash_and_line() -> None:
    # FIPS 180-4's own example: SHA-256("abc"), here with "ab" as the previous hash and "c" as the line.
    assert chained_hash("ab", "c") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert len(GENESIS) == 64
