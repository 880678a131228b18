"""Appends journal entries as rows and lines, each chained to the one before."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import h5py
import numpy as np

from acquire.journal import Entry, chained_hash
from acquire.runfile import layout
from acquire.runfile.columns import append_rows


def append_entries(journal: h5py.Group, entries: Sequence[Entry], previous: str, lines_end: int) -> tuple[str, int]:
    """Write entries behind those that are there; gives the last hash and the new end of the lines.

    The order matters: lines first, `end` last, so that a row that has its `end` is complete.
    """
    rows: dict[str, list[Any]] = {name: [] for name in layout.JOURNAL_COLUMNS}
    lines = bytearray()
    for entry in entries:
        line = entry.canonical()
        previous = chained_hash(previous, line)
        lines += line.encode("utf-8") + b"\n"
        rows["time"].append(entry.time)
        rows["block"].append(entry.block)
        rows["given"].append(entry.given)
        for name, text in (("kind", entry.kind), ("actor", entry.actor), ("text", entry.text)):
            rows[name].append(layout.clipped(text, int(layout.JOURNAL_COLUMNS[name][1:])))
        rows["sha256"].append(previous.encode("ascii"))
        rows["end"].append(lines_end + len(lines))
    append_rows(journal["lines"], np.frombuffer(bytes(lines), np.uint8))
    for name in layout.JOURNAL_COLUMNS:
        append_rows(journal[name], np.array(rows[name], dtype=layout.column_dtype(layout.JOURNAL_COLUMNS[name])))
    return previous, lines_end + len(lines)
