"""Where the numbers come from: program, devices, files and their hashes."""

from __future__ import annotations

import hashlib
from pathlib import PurePath

from acquire.journal import GENESIS, chained_hash
from acquire.record import RunRecord
from acquire.report import text

INTEGRITY = {
    "sealed": "sealed when the run was closed; nothing has changed since",
    "open": "not closed when this page was made",
    "unsealed": "not sealed: the run ended without being closed",
}


def provenance_rows(record: RunRecord) -> tuple[tuple[str, str], ...]:
    """What, and its value; hashes are 64 hex digits of SHA-256."""
    rows = [
        ("Program", record.program),
        ("Run file", PurePath(record.path).name or "not from a file"),
        ("State of the file", INTEGRITY.get(record.integrity, record.integrity or "not checked")),
        ("Started", text.date_and_time(record.start_time)),
        ("Ended", text.date_and_time(record.end_time) if record.end_time else "not closed"),
        ("Seal of the run file", record.seal or "none"),
        ("Last hash of the journal", journal_hash(record)),
        ("Hash of the plan", sha256(record.plan_text)),
    ]
    for device, identity in record.devices.items():
        rows.append((f"Device {device}", identity))
        if device in record.profile_texts:
            rows.append((f"Hash of the profile of {device}", sha256(record.profile_texts[device])))
    for name, trace in record.traces.items():
        bad = int((trace.quality != 0).sum())
        marked = f", {bad} of them marked as not good" if bad else ", all good"
        rows.append((f"Readings of {name.replace('_', ' ')}", f"{len(trace.time)}{marked if len(trace.time) else ''}"))
    rows.extend((f"Version of {name}", version) for name, version in record.versions.items())
    return tuple(rows)


def sha256(content: str) -> str:
    return hashlib.sha256(content.encode("utf-8")).hexdigest()


def journal_hash(record: RunRecord) -> str:
    """The hash that stands for the whole journal: each entry's is made over the one before it."""
    last = GENESIS
    for entry in record.journal:
        last = chained_hash(last, entry.canonical())
    return last
