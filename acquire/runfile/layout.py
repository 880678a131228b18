"""Names, types and version of the run file: the one place that writer, reader and integrity check agree on.

The tree follows the NeXus base classes (definitions v2026.01), so that general viewers find their way::

    /entry                       NXentry
      title, start_time, end_time (once closed), collection_time, entry_identifier_uuid, program_name
      satline                    NXparameters   schema_version, plan, devices, versions as JSON
      plan_text, profile_N       NXnote         the TOML texts as given, with SHA-256
      instrument                 NXinstrument
        thermometer ...          NXsensor, one per channel
          value_log              NXlog          time, value, raw_value, value_mask   append-only, SI
          recording              NXcollection   devices; row, u_time where the uncertainty of time changed
        received                 NXcollection   first and last bytes from the line
      trace_temperature ...      NXdata         links to the columns above
      overview_temperature ...   NXcollection   min, max and mean of 64, 512, ... rows
      journal                    NXcollection   readable columns, canonical lines, hash chain
      points, baselines          NXdata, NXcollection   once closed
      result_1, result_2 ...     NXprocess      once closed; never overwritten
      truth                      NXnote         of a simulated run
      seal                       NXcollection   SHA-256 of every object; once closed
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from acquire.runfile.strings import fixed
from drivers.readings import BAROMETER, CHANNELS, PRESSURE, ROOM_TEMPERATURE, TEMPERATURE

#: 2.0: raw values of a closed file may be whole numbers, and channels with the same times share them.
SCHEMA_VERSION = "2.0"
#: A reader accepts every file up to its own major version; a higher number is refused with the way out.
SCHEMA_MAJOR = 2
NEXUS_RELEASE = "v2026.01"
#: Never "latest": files of HDF5 2.0 without a bound cannot be read by the 1.10 and 1.12 libraries in use.
LIBVER = ("v110", "v110")
#: Rows per chunk while recording.  Appends and flushes cost the same from 512 to 16384 rows (measured); a power cut
#: in the middle of writing a chunk makes its checksum fail and costs the whole of it, so they are small.  The raw
#: journal, whose frames are checked one by one, loses nothing then.
CHUNK_ROWS = 512
#: Of the columns of a closed file.  Values fit so into 0.73 to 0.87 bytes each; times, which never repeat, gain by
#: longer chunks: 0.66 bytes each with 16384 rows, 0.56 with 32768 (measured).  Longer still would be smaller, but a
#: close look at a trace would wait for more of it to be inflated.
CLOSED_CHUNK_ROWS = 16384
CLOSED_CHUNK_TIMES = 32768
#: Of deflate.  Level 1 takes a quarter of the time for 1.1 bytes a value instead of 0.8 (measured); a run of two hours
#: at 10 Hz is closed in a second either way.
CLOSED_LEVEL = 6
TIMES_LEVEL = 9
QUICK_LEVEL = 1  # of a file that is made again from a raw journal of a day, while a person waits
JOURNAL_CHUNK = 128  # rows of the journal: a run has some hundred
BYTE_CHUNK = 16384  # bytes per chunk of the byte streams (journal lines, received bytes)
SLICE_ROWS = 1 << 18  # rows read, hashed or copied at a time: 2 MB, so that a day at 1 kHz needs no memory

ENTRY = "/entry"
JOURNAL = "/entry/journal"
SEAL = "/entry/seal"
BASELINES = "/entry/baselines"
POINTS = "/entry/points"
RECEIVED = "/entry/instrument/received"

#: channel -> (group under /entry/instrument, NXsensor measurement, words for an axis)
SENSORS: Mapping[str, tuple[str, str, str]] = {
    TEMPERATURE: ("thermometer", "temperature", "Temperature of the probe"),
    PRESSURE: ("manometer", "pressure", "Pressure in the cell"),
    BAROMETER: ("barometer", "pressure", "Pressure in the room"),
    ROOM_TEMPERATURE: ("room_thermometer", "temperature", "Temperature in the room"),
}
assert set(SENSORS) == set(CHANNELS)

#: columns of a value_log: name -> (dtype, fill value, description)
COLUMNS: Mapping[str, tuple[str, float, str]] = {
    "time": ("f8", np.nan, "Time since the start of the run"),
    "raw_value": ("f8", np.nan, "As received, before conversion"),
    "value": ("f8", np.nan, ""),
    "value_mask": ("u1", 255, "Quality bits; 0 is good"),
}

#: columns of the journal: name -> dtype; `end` closes each row: it is written last.
JOURNAL_COLUMNS: Mapping[str, str] = {
    "time": "f8",
    "block": "i8",
    "given": "u1",
    "kind": "S32",
    "actor": "S32",
    "text": "S400",
    "sha256": "S64",
    "end": "i8",
}

DEVICE_LENGTH = 128  # bytes of the names of the devices that fed one channel


@dataclass(frozen=True)
class RunHeader:
    """Everything that is known of a run before its first reading; written once, never changed."""

    title: str
    start_time: str  # ISO 8601 with offset
    program: str  # "satline 0.1.0"
    plan: Mapping[str, Any] = field(default_factory=dict)  # RunPlan.model_dump(), SI numbers
    plan_text: str = ""  # the TOML as given
    profile_texts: Mapping[str, str] = field(default_factory=dict)  # device name -> profile TOML
    devices: Mapping[str, str] = field(default_factory=dict)  # device name -> URL and identity
    versions: Mapping[str, str] = field(default_factory=dict)  # libraries, Python, system
    liquid: str = ""
    operator: str = ""

    @classmethod
    def from_dict(cls, data: Mapping[str, Any]) -> RunHeader:
        return cls(**data)


def column_dtype(name: str) -> Any:
    """Numpy dtype for a code such as "f8" or "S32" (UTF-8)."""
    return fixed(int(name[1:])) if name.startswith("S") else np.dtype(name)


def clipped(text: str, length: int) -> bytes:
    """UTF-8 of the text, cut at a character boundary so that it fits into `length` bytes."""
    data = text.encode("utf-8")
    return data if len(data) <= length else data[:length].decode("utf-8", errors="ignore").encode("utf-8")


def sensor_path(channel: str) -> str:
    return f"/entry/instrument/{SENSORS[channel][0]}"


def log_path(channel: str) -> str:
    return f"{sensor_path(channel)}/value_log"


def recording_path(channel: str) -> str:
    return f"{sensor_path(channel)}/recording"


def overview_path(channel: str) -> str:
    return f"/entry/overview_{channel}"
