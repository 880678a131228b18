"""Why a file is refused that was to be read as a run: sentences with places, by which a page knows them again."""

from __future__ import annotations

import re

MISSING = "{path} does not exist; expected a run file. Check the name and the folder."
FOLDER = "{path} is a folder; expected a run file. Name a file inside it."
UNREADABLE = "{path} cannot be read: {reason}. Expected a run file that this account may read."
OTHER_FILE = (
    "{path} {fault}; expected a run file (HDF5) as written by satline. "
    "Check that it is the right file and was copied completely."
)
UNOPENED = (
    "{path} is an HDF5 file but cannot be opened: {reason}. "
    "Expected a run file as written by satline. Try 'satline verify {path} --repair'."
)
FOREIGN = (
    "{path} is an HDF5 file without our schema version; expected a run file as written by satline. "
    "Open it with a general HDF5 viewer to see what it is."
)
NEWER = "{path} has schema version {version}; this program reads versions up to {known}. Update satline to open it."
HARMFUL = (
    "{path} {fault}; it is damaged, or was made to do that. Expected a run file as written by satline. "
    "Look for an untouched copy, and do not open this one with other programs either."
)
HARMFUL_APART = "{path} {fault}; it is damaged, or was made to do that. Do not open it with other programs either."
PART = (
    "{path} is a run file but a part of it cannot be read: {reason}. "
    "'satline verify {path}' says which part, and with --repair makes a copy of what can be read."
)
PART_READ = (
    "{path} is a run file but a part of it cannot be read: {reason}. "
    "'satline verify {path}' says which part; work on a copy."
)

EMPTY = "is empty"
NO_HDF5 = "is not an HDF5 file"
CUT = "is cut off after {count} bytes"
ADDRESSES = "has addresses of {count} bytes"
BUSY = "kept the HDF5 library busy without an end"
BROKE = "made the HDF5 library break off ({how})"

#: What is wrong, where a sentence has a place for that.
FAULTS = (EMPTY, NO_HDF5, CUT, ADDRESSES, BUSY, BROKE)
SENTENCES = (
    MISSING, FOLDER, UNREADABLE, OTHER_FILE, UNOPENED, FOREIGN, NEWER, HARMFUL, HARMFUL_APART, PART, PART_READ,
)  # fmt: skip
#: A path may have any words in it: what follows it is one of these.
HELD = {"fault": "|".join(re.sub(r"\\{\w+\\}", ".+?", re.escape(one)) for one in FAULTS)}
