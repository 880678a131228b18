"""Append-only columns of equal length in one HDF5 group; knows nothing of runs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import h5py
import numpy as np

from acquire.runfile.strings import set_attr


def create_column(
    group: h5py.Group,
    name: str,
    dtype: Any,
    *,
    chunk: int,
    fill: Any = None,
    width: int | None = None,
    compress: bool = False,
    shuffle: bool = True,
    level: int = 1,
    attrs: Mapping[str, Any] | None = None,
) -> h5py.Dataset:
    """An empty column that grows.  Checksummed; compressed only where nothing is appended row by row.

    Compressing while appending makes a file larger (each flush moves the unfinished chunk) and breaks files
    that are killed (measured), so it is for the closed file.  Bytes are shuffled first where values never repeat, as
    times do not; readings of a sensor are few different numbers, which deflate finds by itself: 0.8 to 1.1 bytes each
    instead of 3 to 3.7 (measured).
    """
    shape: tuple[int, ...] = (0,) if width is None else (0, width)
    limits: tuple[int | None, ...] = (None,) if width is None else (None, width)
    chunks = (chunk,) if width is None else (chunk, width)
    column = group.create_dataset(
        name,
        shape=shape,
        maxshape=limits,
        dtype=dtype,
        chunks=chunks,
        fletcher32=True,
        fillvalue=fill,
        **({"compression": "gzip", "compression_opts": level, "shuffle": shuffle} if compress else {}),
    )
    for key, value in (attrs or {}).items():
        set_attr(column, key, value)
    return column


class Appender:
    """Adds rows at the end of one column, keeping its handle; a quarter of the cost of going through its name."""

    def __init__(self, column: h5py.Dataset) -> None:
        self._id = column.id
        self._dtype = column.dtype
        self._width = column.shape[1:]
        self.rows = int(column.shape[0])

    def append(self, values: Any) -> None:
        rows = np.ascontiguousarray(values, dtype=self._dtype)
        if not len(rows):
            return
        shape = (len(rows), *self._width)
        end = self.rows + len(rows)
        self._id.set_extent((end, *self._width))
        place = h5py.h5s.create_simple((end, *self._width))
        place.select_hyperslab((self.rows, *(0 for _ in self._width)), shape)
        self._id.write(h5py.h5s.create_simple(shape), place, rows)
        self.rows = end


def append_rows(column: h5py.Dataset, values: Any) -> None:
    """Add these rows at the end of a column that is not written often."""
    Appender(column).append(values)


#: A deflated byte can stand for at most this many (zlib's documented limit, 1032:1).
DEFLATE_LIMIT = 1032
SMALL = 1 << 20  # bytes that are never worth refusing


def checked(dataset: Any) -> h5py.Dataset:
    """The dataset, after a look at whether the file can hold what it claims: a spoilt shape must not ask for memory.

    Raises
    ------
    ValueError
        It is no dataset, or claims more than its file can hold.
    """
    if not isinstance(dataset, h5py.Dataset):
        raise ValueError("a column is not a dataset")
    if dataset.dtype.kind == "O":
        raise ValueError(f"{dataset.name} is of variable length, which we never write")
    if dataset.external or dataset.is_virtual:
        raise ValueError(f"{dataset.name} takes its values from another file, which we never write")
    claimed = dataset.size * dataset.dtype.itemsize if dataset.shape is not None else 0
    if claimed > SMALL and claimed > DEFLATE_LIMIT * dataset.file.id.get_filesize():
        raise ValueError(f"{dataset.name} claims {claimed} bytes, more than its file can hold")
    return dataset


def local(file: h5py.File, path: str) -> Any:
    """What stands at this path of this very file: a link into another file would carry that file's bytes out.

    Raises
    ------
    ValueError
        A part of the path is such a link.
    KeyError
        There is nothing.
    """
    parts = path.strip("/").split("/")
    for depth in range(1, len(parts) + 1):
        place = "/".join(parts[:depth])
        if isinstance(file.get(place, getlink=True), h5py.ExternalLink):
            raise ValueError(f"/{place} is a link into another file, which we never write")
    return file[path]


def shortest(columns: Iterable[h5py.Dataset]) -> int:
    """Rows that every column has: while a file is written, or after a kill, one may be ahead of the others."""
    return min((column.shape[0] for column in columns), default=0)


def texts(column: Any) -> list[str]:
    """Fixed-width or variable UTF-8 rows as str."""
    if isinstance(column, h5py.Dataset):
        column = checked(column)
    return [item.decode("utf-8") if isinstance(item, bytes) else str(item) for item in np.asarray(column).tolist()]
