"""What a recorder says of the place where it writes: sentences with places, by which a screen knows them again.

They travel as plain text, through snapshots and other processes; a screen in another language takes them apart by
`recognised` and puts them together in its own words.
"""

from __future__ import annotations

import re

from acquire.sentences import facts_in

NETWORK = (
    "{folder} is on a network drive ({kind}). Readings may be lost when the network stalls, and nobody can follow the "
    "run while it is recorded. Record on a local disk and copy the file there afterwards."
)
NO_RESERVE = "no room for a reserve beside {path}"
SHORT_OF_ROOM = "only {size} are free on the disk of {folder}. Free some, or record to a folder on another disk."
TOO_SHORT = (
    "only {size} are free on the disk of {folder}; this run will need about {needed}. Free some, or record to a folder "
    "on another disk."
)
LAST_RESERVE = (
    "the disk of {folder} is full ({reason}). The last reserve is in use: free some room now, or end the run."
)
WAS_FULL = "the disk of {folder} was full ({reason}) while this run was recorded. Everything was kept all the same."
JOURNAL_ONLY = "{reason} Recording goes on in the raw journal; the run file is made from it when the run is closed."
NOT_WRITTEN = (
    "{doing} {path} failed: {reason}. What was flushed before is still in the file. Free space or reconnect the drive; "
    "record to another folder meanwhile."
)
GONE = "its folder was removed or the drive was pulled"
# What matters first: a narrow card may show no more of it.
MOVED = (
    "Recording goes on in {folder}; nothing was lost. The run file will be made there when the run is closed. {old} "
    "cannot be written any more: {reason}."
)
MOVED_FROM_MEMORY = (
    "Recording goes on in {folder}; what was recorded before was written again from memory. The run file will be made "
    "there when the run is closed. {old} cannot be written any more: {reason}."
)
MOVED_WITHOUT = (
    "Recording goes on in {folder}; what was recorded before is on the lost drive only. The run file will be made "
    "there when the run is closed. {old} cannot be written any more: {reason}."
)
MEMORY_ONLY = (
    "{path} cannot be written ({reason}) and no other folder is left. Readings wait in memory only: free some room on "
    "the disk or reconnect it now."
)
NO_RUN_FILE = (
    "the run file could not be made: {reason}. Everything is in {raw}; once there is room, 'satline verify {path} "
    "--repair' makes the run file from it."
)
MADE = "The run file was made from the raw journal and is complete."
MADE_ELSEWHERE = "The run file was made from the raw journal and is complete; it is in {folder}."

#: What was being done when a write failed.
DOINGS = (
    "creating", "opening", "writing", "writing to", "writing readings to", "writing the journal of", "syncing",
    "continuing", "recording to", "adding to", "closing",
)  # fmt: skip
#: All of them; where one sentence fits two, the first is meant.
SENTENCES = (
    NETWORK, TOO_SHORT, SHORT_OF_ROOM, NO_RESERVE, JOURNAL_ONLY, LAST_RESERVE, WAS_FULL, NOT_WRITTEN, GONE, MOVED,
    MOVED_FROM_MEMORY, MOVED_WITHOUT, MEMORY_ONLY, NO_RUN_FILE, MADE, MADE_ELSEWHERE, *DOINGS,
)  # fmt: skip

HELD = {"doing": "|".join(re.escape(one) for one in sorted(DOINGS, key=len, reverse=True))}
Parts = list[tuple[str, dict[str, str]]]


def recognised(text: str) -> Parts:
    """The sentences that a text is made of, with what stands in their places; nothing where one is not of these."""
    for last in (MADE, MADE_ELSEWHERE):  # said behind what went before
        facts = facts_in(text, "{before} " + last)
        if facts is not None:
            before = recognised(facts.pop("before"))
            return [*before, (last, facts)] if before else []
    for sentence in SENTENCES:
        facts = facts_in(text, sentence, HELD)
        if facts is not None:
            return [(sentence, facts)]
    return []
