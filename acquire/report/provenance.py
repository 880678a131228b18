"""Where the numbers come from: program, devices, files and their hashes."""

from __future__ import annotations

import hashlib
from pathlib import PurePath

from acquire.journal import GENESIS, chained_hash
from acquire.record import RunRecord
from acquire.report import text
from acquire.report.language import said, tr

INTEGRITY = {
    "sealed": said("sealed when the run was closed; nothing has changed since"),
    "open": said("not closed when this page was made"),
    "unsealed": said("not sealed: the run ended without being closed"),
}

#: States that `verify` finds a file in.
STATES = {
    "intact": said("intact"), "incomplete": said("incomplete"), "damaged": said("damaged"),
    "altered": said("altered"), "unreadable": said("unreadable"), "being recorded": said("being recorded"),
}  # fmt: skip
CHANNELS = {"temperature": said("temperature"), "pressure": said("pressure")}


def provenance_rows(record: RunRecord) -> tuple[tuple[str, str], ...]:
    """What, and its value; hashes are 64 hex digits of SHA-256."""
    rows = [
        (tr("Program"), record.program),
        (tr("Run file"), PurePath(record.path).name or tr("not from a file")),
        (tr("State of the file"), tr(INTEGRITY.get(record.integrity, record.integrity)) or tr("not checked")),
        (tr("Started"), text.date_and_time(record.start_time)),
        (tr("Ended"), text.date_and_time(record.end_time) if record.end_time else tr("not closed")),
        (tr("Seal of the run file"), record.seal or tr("none")),
        (tr("Last hash of the journal"), journal_hash(record)),
        (tr("Hash of the plan"), sha256(record.plan_text)),
    ]
    for device, identity in record.devices.items():
        rows.append((tr("Device {0}").format(device), identity))
        if device in record.profile_texts:
            rows.append((tr("Hash of the profile of {0}").format(device), sha256(record.profile_texts[device])))
    for name, trace in record.traces.items():
        bad = int((trace.quality != 0).sum())
        said_of = tr("{0}, {1} of them marked as not good") if bad else tr("{0}, all good") if len(trace) else "{0}"
        named = tr(CHANNELS.get(name, name.replace("_", " ")))
        rows.append((tr("Readings of {0}").format(named), said_of.format(text.count(len(trace)), text.count(bad))))
    for name, version in record.versions.items():
        rows.append((tr("Operating system") if name == "system" else tr("Version of {0}").format(name), version))
    return tuple(rows)


def sha256(content: str) -> str:
    return hashlib.sha256(content.encode("utf-8")).hexdigest()


def journal_hash(record: RunRecord) -> str:
    """The hash that stands for the whole journal: each entry's is made over the one before it."""
    last = GENESIS
    for entry in record.journal:
        last = chained_hash(last, entry.canonical())
    return last
