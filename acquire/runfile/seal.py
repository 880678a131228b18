"""The seal of a closed run file: SHA-256 over the content of every object, so that a change can be located.

It covers content, not bytes of the file: repacking with another compression keeps it intact.  It detects accidents
and casual edits, not a forger who seals again; the hash printed on a report closes most of that gap.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import h5py
import numpy as np

from acquire.runfile import layout
from acquire.runfile.columns import checked, texts
from acquire.runfile.strings import set_attr, write_text, write_texts

ALGORITHM = "SHA-256 over path, type, shape, attributes and content of each object"
#: Attributes that HDF5 keeps about dimension scales: references, which a repack renumbers.
BOOKKEEPING = frozenset({"CLASS", "NAME", "DIMENSION_LIST", "REFERENCE_LIST"})


#: A run has some 150 objects, and a dozen more with each result added later.
MOST_OBJECTS = 5_000


@dataclass(frozen=True)
class Seal:
    """What was stored at closing."""

    sealed_at: str
    content: str  # SHA-256 over all digests, the one number that stands for the file
    digests: dict[str, str]  # path -> SHA-256
    earlier: tuple[str, ...] = ()  # content hashes of earlier seals, oldest first


def digests(file: h5py.File, known: Mapping[str, str] | None = None) -> dict[str, str]:
    """SHA-256 of every object but the seal itself, by path.

    Parameters
    ----------
    known
        Digests that were taken while an object was written; it is not read again.

    Raises
    ------
    OSError, RuntimeError
        When HDF5 cannot read an object (a checksum of its own failed).
    """
    known = known or {}
    return {path: known.get(path) or object_digest(path, item) for path, item in objects(file)}


def objects(file: h5py.File) -> Iterator[tuple[str, Any]]:
    """Every object below the root, the root included, or the soft link in its place, with its path; not the seal."""
    todo: list[tuple[str, Any]] = [("/", file["/"])]
    seen, entered = 0, set()
    while todo:
        path, item = todo.pop()
        seen += 1
        if seen > MOST_OBJECTS:
            raise ValueError(f"the file has more than {MOST_OBJECTS} objects")
        yield path, item
        if isinstance(item, h5py.Group):
            place = h5py.h5o.get_info(item.id).addr
            if place in entered:
                continue  # a group that contains itself: never ours, and no end to it
            entered.add(place)
            prefix = path.rstrip("/")
            for name in sorted(item, reverse=True):
                below = f"{prefix}/{name}"
                if below != layout.SEAL:
                    link = item.get(name, getlink=True)
                    todo.append((below, item[name] if isinstance(link, h5py.HardLink) else link))


def object_digest(path: str, item: Any) -> str:
    digest = begun_digest(path, item)
    if isinstance(item, h5py.Dataset):
        shape = checked(item).shape
        if shape == ():
            digest.update(_content(np.asarray(item[()])))
        else:
            for start in range(0, shape[0], layout.SLICE_ROWS):
                digest.update(_bytes(item[start : start + layout.SLICE_ROWS]))
    return digest.hexdigest()


def begun_digest(path: str, item: Any) -> Any:
    """The hash of everything about an object but its content, which is to be added row by row.

    The content need not be there yet.
    """
    digest = hashlib.sha256(path.encode("utf-8"))
    if not isinstance(item, h5py.Group | h5py.Dataset):
        digest.update(b"\0link\0" + str(getattr(item, "path", item)).encode("utf-8"))
        return digest
    attributes = item.attrs
    for name in sorted(attributes):
        if name not in BOOKKEEPING:
            digest.update(b"\0attribute\0" + name.encode("utf-8") + b"\0")
            if attributes.get_id(name).dtype.kind == "O":
                digest.update(b"variable length")  # never ours; reading it from a spoilt file could take for ever
                continue
            digest.update(_content(np.asarray(attributes[name])))
    if isinstance(item, h5py.Dataset):
        shape = item.shape
        digest.update(f"\0data\0{shape}\0".encode())
        if shape != ():
            digest.update(_type_name(item.dtype))
    return digest


def _type_name(dtype: Any) -> bytes:
    return (b"text" if dtype.kind in "OSU" else dtype.str.encode()) + b"\0"


def _content(value: np.ndarray) -> bytes:
    return _type_name(value.dtype) + _bytes(value)


def _bytes(value: np.ndarray) -> bytes:
    if value.dtype.kind not in "OSU":
        return np.ascontiguousarray(value).tobytes()
    items = [item if isinstance(item, bytes) else str(item).encode("utf-8") for item in value.ravel().tolist()]
    return json.dumps([item.hex() for item in items]).encode()


def write_seal(file: h5py.File, sealed_at: str, known: Mapping[str, str] | None = None) -> Seal:
    """Seal the file as it is now; earlier seals are remembered by their content hash. `known` as for `digests`."""
    old = read_seal(file)
    earlier = (*old.earlier, old.content) if old else ()
    if layout.SEAL in file:
        del file[layout.SEAL]
    found = digests(file, known)
    seal = Seal(sealed_at, content_hash(found), found, earlier)
    group = file.create_group(layout.SEAL)
    set_attr(group, "NX_class", "NXcollection")
    for name, text in (("sealed_at", sealed_at), ("algorithm", ALGORITHM), ("content", seal.content)):
        write_text(group, name, text)
    for name, rows in (("path", list(found)), ("sha256", list(found.values())), ("earlier", list(earlier))):
        write_texts(group, name, rows)
    return seal


def read_seal(file: h5py.File) -> Seal | None:
    """The stored seal, or None when the file was never closed."""
    if layout.SEAL not in file:
        return None
    group = file[layout.SEAL]
    stored = dict(zip(texts(group["path"]), texts(group["sha256"]), strict=True))
    (sealed_at,) = texts([checked(group["sealed_at"])[()]])
    (content,) = texts([checked(group["content"])[()]])
    return Seal(sealed_at, content, stored, tuple(texts(group["earlier"])))


def content_hash(found: dict[str, str]) -> str:
    return hashlib.sha256("\n".join(f"{path} {sha}" for path, sha in sorted(found.items())).encode()).hexdigest()
