"""Creates the whole empty tree of a run file; everything that will ever grow exists before the first reading.

While a file is followed by a reader or after a kill, objects made late may be missing or may break the file
(measured: 2 of 100 kills), so nothing is created once it is live.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Iterable, Mapping

import h5py
import numpy as np

from acquire.runfile import codes, layout
from acquire.runfile.columns import create_column
from acquire.runfile.layout import RunHeader
from acquire.runfile.overview import FACTORS, create_levels, level_names
from acquire.runfile.strings import fixed, set_attr, write_text
from acquire.runfile.written import create_written
from drivers.readings import CHANNEL_UNIT, CHANNELS, PRESSURE, Quality

MASK_WORDS = "sum of: " + ", ".join(
    f"{flag.value} {(flag.name or '').lower().replace('_', ' ')}" for flag in Quality if flag.value
)


def make_group(parent: h5py.Group, name: str, nx_class: str) -> h5py.Group:
    group = parent.create_group(name)
    set_attr(group, "NX_class", nx_class)
    return group


def write_note(parent: h5py.Group, name: str, text: str, *, kind: str, file_name: str) -> h5py.Group:
    """A text as given, with its checksum."""
    note = make_group(parent, name, "NXnote")
    write_text(note, "type", kind)
    write_text(note, "file_name", file_name)
    write_text(note, "data", text)
    write_text(note, "checksum", hashlib.sha256(text.encode("utf-8")).hexdigest())
    write_text(note, "algorithm", "SHA-256")
    return note


def create_tree(
    file: h5py.File,
    header: RunHeader,
    *,
    channels: Iterable[str] = CHANNELS,
    compress: bool = False,
    identifier: str | None = None,
    shared_times: Mapping[str, str] | None = None,
    divisors: Mapping[str, float] | None = None,
    quick: bool = False,
) -> None:
    """The whole tree, empty but for the header.

    Parameters
    ----------
    shared_times
        Channel -> channel whose times it has, bit for bit, as two channels of one line do: they are stored once.
    divisors
        Channel -> divisor of its raw values where these are stored as whole numbers.
    quick
        Readings are to be compressed fast, for a third more room.
    """
    set_attr(file, "NX_class", "NXroot")
    set_attr(file, "default", "entry")
    set_attr(file, "creator", "satline")
    set_attr(file, "creator_version", header.program)
    set_attr(file, "NeXus_release", layout.NEXUS_RELEASE)
    set_attr(file, "HDF5_Version", h5py.version.hdf5_version)
    set_attr(file, "h5py_version", h5py.version.version)
    set_attr(file, "file_time", header.start_time)
    entry = make_group(file, "entry", "NXentry")
    set_attr(entry, "default", f"trace_{PRESSURE}")
    _write_header(entry, header, identifier or str(uuid.uuid4()))
    instrument = make_group(entry, "instrument", "NXinstrument")
    set_attr(write_text(instrument, "name", "vapour-pressure bench"), "short_name", "bench")
    for channel in channels:
        _create_channel(entry, instrument, channel, header.start_time, compress=compress, quick=quick)
        if channel in (shared_times or {}):
            _share_times(file, (shared_times or {})[channel], channel)
        if channel in (divisors or {}):
            _count_raw_values(file[layout.log_path(channel)], (divisors or {})[channel], quick=quick)
    received = make_group(instrument, "received", "NXcollection")
    for name, dtype in (("arrival", "f8"), ("end", "i8")):
        create_column(received, name, dtype, chunk=layout.CHUNK_ROWS, compress=compress)
    set_attr(received["arrival"], "units", "s")
    create_column(received, "bytes", "u1", chunk=layout.BYTE_CHUNK, compress=compress)
    _create_journal(entry, compress=compress)


def _write_header(entry: h5py.Group, header: RunHeader, identifier: str) -> None:
    write_text(entry, "title", header.title)
    write_text(entry, "experiment_description", "Vapour pressure against temperature of a liquid in a closed cell")
    write_text(entry, "start_time", header.start_time)
    set_attr(entry.create_dataset("collection_time", data=0.0), "units", "s")
    set_attr(write_text(entry, "entry_identifier_uuid", identifier), "version", "4")
    name, _, version = header.program.partition(" ")
    set_attr(write_text(entry, "program_name", name or "satline"), "version", version)
    own = make_group(entry, "satline", "NXparameters")
    write_text(own, "schema_version", layout.SCHEMA_VERSION)
    for key in ("plan", "devices", "versions"):
        write_text(own, key, json.dumps(dict(getattr(header, key)), sort_keys=True, ensure_ascii=False))
    write_text(own, "profile_devices", json.dumps(list(header.profile_texts), ensure_ascii=False))
    write_note(entry, "plan_text", header.plan_text, kind="application/toml", file_name="plan.toml")
    for number, (device, text) in enumerate(header.profile_texts.items(), 1):
        write_note(entry, f"profile_{number}", text, kind="application/toml", file_name=f"{device}.toml")
    if header.operator:
        write_text(make_group(entry, "user", "NXuser"), "name", header.operator)
    if header.liquid:
        sample = make_group(entry, "sample", "NXsample")
        write_text(sample, "name", header.liquid)
        write_text(sample, "type", "sample+can")
        write_text(sample, "situation", "sealed can")


def _create_channel(
    entry: h5py.Group, instrument: h5py.Group, channel: str, start_time: str, *, compress: bool, quick: bool
) -> None:
    group, measurement, words = layout.SENSORS[channel]
    unit = CHANNEL_UNIT[channel]
    sensor = make_group(instrument, group, "NXsensor")
    write_text(sensor, "name", channel)
    write_text(sensor, "measurement", measurement)
    log = make_group(sensor, "value_log", "NXlog")
    write_text(log, "description", f"{words}; every reading, none left out")
    for name, (dtype, fill, description) in layout.COLUMNS.items():
        column = _value_column(log, name, dtype, fill, compress=compress, quick=quick)
        set_attr(column, "long_name", description or f"{words} ({unit})")
    set_attr(log["time"], "units", "s")
    set_attr(log["time"], "start", start_time)
    set_attr(log["time"], "long_name", "Time (s)")
    set_attr(log["value"], "units", unit)
    set_attr(log["value_mask"], "description", MASK_WORDS)
    log["time"].make_scale("time")
    for name in ("raw_value", "value", "value_mask"):
        log[name].dims[0].attach_scale(log["time"])
    set_attr(log["raw_value"], "units", "")  # whatever the device speaks: its profile says, and is in the file
    steps = make_group(sensor, "recording", "NXcollection")
    steps.create_dataset("devices", data=b"", dtype=fixed(layout.DEVICE_LENGTH))
    if not compress:
        create_written(steps)
    create_column(steps, "row", "i8", chunk=layout.CHUNK_ROWS, compress=compress)
    u_time = create_column(steps, "u_time", "f8", chunk=layout.CHUNK_ROWS, compress=compress)
    set_attr(u_time, "units", "s")
    set_attr(u_time, "description", "Standard uncertainty of the times from this row on")
    levels = make_group(entry, f"overview_{channel}", "NXcollection")
    create_levels(levels, unit, compress=compress, level=layout.QUICK_LEVEL if quick else layout.CLOSED_LEVEL)
    trace = make_group(entry, f"trace_{channel}", "NXdata")
    set_attr(trace, "signal", channel)
    set_attr(trace, "axes", ["time"])
    set_attr(trace, "time_indices", np.array([0]))
    write_text(trace, "title", words)
    trace["time"] = h5py.SoftLink(f"{log.name}/time")
    trace[channel] = h5py.SoftLink(f"{log.name}/value")


def _value_column(log: h5py.Group, name: str, dtype: str, fill: float, *, compress: bool, quick: bool) -> h5py.Dataset:
    times = name == "time"
    closed = layout.CLOSED_CHUNK_TIMES if times else layout.CLOSED_CHUNK_ROWS
    return create_column(
        log,
        name,
        dtype,
        chunk=closed if compress else layout.CHUNK_ROWS,
        fill=fill,
        compress=compress,
        shuffle=times or dtype == codes.TYPE,
        level=layout.QUICK_LEVEL if quick else layout.TIMES_LEVEL if times else layout.CLOSED_LEVEL,
    )


def _share_times(file: h5py.File, first: str, second: str) -> None:
    """Let the second channel have the times of the first: one dataset under two names."""
    theirs, ours = file[layout.log_path(first)], file[layout.log_path(second)]
    for name in ("raw_value", "value", "value_mask"):
        ours[name].dims[0].detach_scale(ours["time"])
    del ours["time"]
    ours["time"] = theirs["time"]
    for name in ("raw_value", "value", "value_mask"):
        ours[name].dims[0].attach_scale(ours["time"])
    theirs, ours = file[layout.overview_path(first)], file[layout.overview_path(second)]
    for factor in FACTORS:
        time, _ = level_names(factor)
        del ours[time]
        ours[time] = theirs[time]


def _count_raw_values(log: h5py.Group, divisor: float, *, quick: bool) -> None:
    """An empty column of whole numbers in the place of the raw values."""
    words = log["raw_value"].attrs["long_name"]
    log["raw_value"].dims[0].detach_scale(log["time"])
    del log["raw_value"]
    column = _value_column(log, "raw_value", codes.TYPE, codes.NO_NUMBER, compress=True, quick=quick)
    set_attr(column, "long_name", words.decode("utf-8") if isinstance(words, bytes) else words)
    set_attr(column, "units", "")
    codes.describe(column, divisor)
    column.dims[0].attach_scale(log["time"])


def _create_journal(entry: h5py.Group, *, compress: bool) -> None:
    journal = make_group(entry, "journal", "NXcollection")
    for name, code in layout.JOURNAL_COLUMNS.items():
        create_column(journal, name, layout.column_dtype(code), chunk=layout.JOURNAL_CHUNK, compress=compress)
    set_attr(journal["time"], "units", "s")
    set_attr(journal["end"], "description", "Where in `lines` the canonical line of this row ends; lines end with LF")
    set_attr(journal["sha256"], "description", "SHA-256 over the hash of the row before and this canonical line")
    lines = create_column(journal, "lines", "u1", chunk=layout.BYTE_CHUNK, compress=compress)
    set_attr(lines, "description", "UTF-8 bytes: one JSON object per entry, in full")
