"""Texts in HDF5, always of fixed length: HDF5 keeps texts of variable length in a heap without checksums, and a single
flipped bit there makes it loop for ever (measured); texts of fixed length lie in checksummed blocks."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import h5py
import numpy as np

#: Bytes of a text that still fits into the header of its object, where a checksum guards it (the limit is 64 KiB).
COMPACT = 60_000


def fixed(length: int) -> Any:
    """Dtype of UTF-8 text of at most `length` bytes."""
    return h5py.string_dtype("utf-8", max(1, length))


def set_attr(item: Any, name: str, value: Any) -> None:
    """Set an attribute of a group or dataset; texts and lists of texts with a fixed length."""
    if isinstance(value, str):
        data = value.encode("utf-8")
        item.attrs.create(name, data, dtype=fixed(len(data)))
    elif isinstance(value, list) and value and isinstance(value[0], str):
        rows = [text.encode("utf-8") for text in value]
        item.attrs.create(name, np.array(rows), dtype=fixed(max(map(len, rows))))
    else:
        item.attrs[name] = value


def write_text(group: h5py.Group, name: str, text: str) -> h5py.Dataset:
    """A scalar text."""
    data = text.encode("utf-8")
    kind = h5py.h5t.py_create(fixed(len(data)), logical=True)
    plist = h5py.h5p.create(h5py.h5p.DATASET_CREATE)
    if len(data) <= COMPACT:
        plist.set_layout(h5py.h5d.COMPACT)
    space = h5py.h5s.create(h5py.h5s.SCALAR)
    handle = h5py.h5d.create(group.id, name.encode("utf-8"), kind, space, plist)
    dataset = h5py.Dataset(handle)
    dataset[()] = data
    return dataset


def write_texts(group: h5py.Group, name: str, rows: Sequence[str]) -> h5py.Dataset:
    """A column of texts, checksummed."""
    data = [row.encode("utf-8") for row in rows]
    dtype = fixed(max(map(len, data), default=1))
    if not data:
        return group.create_dataset(name, shape=(0,), dtype=dtype)
    return group.create_dataset(name, data=np.array(data, dtype=dtype), dtype=dtype, chunks=True, fletcher32=True)


def attr_text(item: Any, name: str) -> str:
    """A text attribute.

    Raises
    ------
    ValueError
        It is of variable length, which we never write: reading it from a spoilt file could take for ever.
    """
    if item.attrs.get_id(name).dtype.kind == "O":
        raise ValueError(f"the attribute {name!r} is of variable length")
    value = item.attrs[name]
    return value.decode("utf-8") if isinstance(value, bytes) else str(value)
