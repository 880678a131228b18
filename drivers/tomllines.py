"""On which line of a TOML text each key stands; a help for messages, not a parser."""

from __future__ import annotations

import re

_HEADER = re.compile(r"\s*(\[\[?)\s*([^\[\]]+?)\s*\]\]?\s*(?:#.*)?$")
_KEY = re.compile(r"""\s*((?:[\w-]+|"[^"\n]*"|'[^'\n]*')(?:\s*\.\s*(?:[\w-]+|"[^"\n]*"|'[^'\n]*'))*)\s*=""")
_PART = re.compile(r"""[\w-]+|"[^"]*"|'[^']*'""")
_FENCES = ('"""', "'''")

Path = tuple[str | int, ...]


def key_lines(text: str) -> dict[Path, int]:
    """Map each key's path, for example ("channel", 0, "unit"), to its line, counted from 1.

    Tables in arrays are counted from 0. Keys inside inline tables have no entry: the line of the key that
    holds the table serves for them.
    """
    lines: dict[Path, int] = {(): 1}
    counts: dict[Path, int] = {}
    prefix: Path = ()
    fence = ""
    for number, row in enumerate(text.splitlines(), start=1):
        if fence:
            fence = "" if fence in row else fence
            continue
        header, key = _HEADER.match(row), _KEY.match(row)
        if header:
            prefix = _resolve(_parts(header.group(2)), counts, opens_array=header.group(1) == "[[")
            lines.setdefault(prefix, number)
            if isinstance(prefix[-1], int):
                lines.setdefault(prefix[:-1], number)
        elif key:
            path = prefix
            for part in _parts(key.group(1)):
                path = (*path, part)
                lines.setdefault(path, number)
            fence = _opened_fence(row[key.end() :])
    return lines


def _parts(dotted: str) -> list[str]:
    return [part.strip("\"'") for part in _PART.findall(dotted)]


def _resolve(parts: list[str], counts: dict[Path, int], *, opens_array: bool) -> Path:
    path: Path = ()
    for position, part in enumerate(parts):
        path = (*path, part)
        last = position == len(parts) - 1
        if last and opens_array:
            counts[path] = counts.get(path, -1) + 1
        if path in counts:
            path = (*path, counts[path])
    return path


def _opened_fence(value: str) -> str:
    for fence in _FENCES:
        if value.count(fence) % 2:
            return fence
    return ""
