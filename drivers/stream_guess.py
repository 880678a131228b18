"""The form of an unknown stream: lines or frames, fields, checksums. Looks only at captured bytes."""

from __future__ import annotations

import itertools
import json
import re
from collections import Counter
from dataclasses import dataclass, field

from drivers.binary_guess import guess_binary
from drivers.checksums import crc16_ccitt, xor8
from drivers.text_fields import NUMBER

#: Share of the lines that must fit a form before it is believed; the rest may be banners and damage.
BELIEVED = 0.8
FEWEST_LINES = 4
_NUMBER = re.compile(rf"[ \t]*{NUMBER}[ \t]*")
_COMMA_NUMBER = re.compile(r"[ \t]*[+-]?\d{1,20}(?:,\d{1,20})?[ \t]*")
_NAMED = re.compile(rf"([A-Za-z_][\w./%-]{{0,31}})[ \t]*[=:][ \t]*({NUMBER})")
_SEPARATORS = (",", ";", "\t", "|", "space")


@dataclass
class StreamGuess:
    """What a stream looks like.

    `framing` and `decoding` are the tables of a profile; `columns` the numbers found, by field; `samples` whole
    frames as they came; `share` how many of the frames fit; `protected` whether a checksum was found.
    """

    framing: dict[str, object]
    decoding: dict[str, object]
    columns: dict[int | str, list[float]]
    samples: list[bytes]
    share: float
    reasons: list[str] = field(default_factory=list)
    protected: bool = False


def guess_stream(data: bytes) -> StreamGuess | None:
    """The form that fits best, or None where nothing does."""
    lines = _whole_lines(data)
    guesses = [guess for form in _TEXT_FORMS for guess in [form(lines)] if guess is not None] if lines else []
    if guesses:
        return max(guesses, key=_rank)
    return _from_binary(data)


def _rank(guess: StreamGuess) -> tuple[bool, float, float, int]:
    # Cut at the wrong mark, some cells are no numbers: 21,40;99,20 at its commas.
    width = guess.decoding.get("columns")
    numeric = len(guess.columns) / width if isinstance(width, int) else 1.0
    return guess.protected, round(guess.share, 2), numeric, len(guess.columns)


def _whole_lines(data: bytes) -> list[str]:
    """Lines between the first and the last line end; empty and foreign ones left out."""
    pieces = re.split(rb"[\r\n]+", data)[1:-1]
    texts = [piece.decode("utf-8", "replace") for piece in pieces if piece]
    printable = [text for text in texts if text.isprintable() or "\t" in text]
    # Wrong baud rates make bytes, some of which print; a stream of text prints nearly always.
    if len(printable) < FEWEST_LINES or len(printable) < 0.7 * len(texts):
        return []
    return [text for text in printable if not text.startswith("#")]


def _sentences(lines: list[str]) -> StreamGuess | None:
    rows: dict[str, list[list[str]]] = {}
    whole: dict[str, list[str]] = {}
    for line in lines:
        match = re.fullmatch(r"\$([A-Z0-9]{1,16}),([^*$]*)\*([0-9A-Fa-f]{2})", line.strip())
        if match and int(match[3], 16) == xor8(line.strip()[1:-3].encode()):
            rows.setdefault(match[1], []).append(match[2].split(","))
            whole.setdefault(match[1], []).append(line.strip())
    if not rows or sum(map(len, rows.values())) < BELIEVED * len(lines):
        return None
    address = max(rows, key=lambda name: (_numeric_columns(rows[name]) > 0, len(rows[name])))
    columns = _columns(rows[address])
    reason = f"{len(rows[address])} sentences ${address} with right checksums"
    return StreamGuess(
        {"kind": "lines"},
        {"kind": "sentence", "address": address, "columns": len(rows[address][0])},
        columns,
        [line.encode() + b"\r\n" for line in whole[address]],
        len(rows[address]) / len(lines),
        [reason],
        protected=True,
    )


def _numeric_columns(rows: list[list[str]]) -> int:
    return len(_columns(rows))


def _json(lines: list[str]) -> StreamGuess | None:
    objects, whole = [], []
    for line in lines:
        try:
            found = json.loads(line)
        except ValueError:
            continue
        if isinstance(found, dict):
            objects.append(_flat(found))
            whole.append(line)
    if len(objects) < max(FEWEST_LINES, BELIEVED * len(lines)):
        return None
    keys = [key for key in objects[0] if all(key in one for one in objects)]
    columns: dict[int | str, list[float]] = {key: [one[key] for one in objects] for key in keys}
    samples = [line.encode() + b"\n" for line in whole]
    share = len(objects) / len(lines)
    return StreamGuess(
        {"kind": "lines"}, {"kind": "json"}, columns, samples, share, [f"{len(objects)} JSON objects, one per line"]
    )


def _flat(found: dict[str, object], prefix: str = "") -> dict[str, float]:
    numbers: dict[str, float] = {}
    for key, value in found.items():
        if isinstance(value, dict):
            numbers |= _flat(value, f"{prefix}{key}.")
        elif isinstance(value, int | float) and not isinstance(value, bool):
            numbers[prefix + key] = float(value)
    return numbers


def _named(lines: list[str]) -> StreamGuess | None:
    rows = [(line, _NAMED.findall(line)) for line in lines]
    good = [(line, dict(pairs)) for line, pairs in rows if pairs]
    if len(good) < max(FEWEST_LINES, BELIEVED * len(lines)):
        return None
    names = [name for name in good[0][1] if all(name in pairs for _, pairs in good)]
    columns: dict[int | str, list[float]] = {name: [float(pairs[name]) for _, pairs in good] for name in names}
    suffixes = sorted({match for line, _ in good for match in _suffixes(line)})
    decoding: dict[str, object] = {"kind": "named"} | ({"suffixes": suffixes} if suffixes else {})
    reason = f"{len(good)} lines of names with numbers: {', '.join(names)}"
    samples = [line.encode() + b"\n" for line, _ in good]
    return StreamGuess({"kind": "lines"}, decoding, columns, samples, len(good) / len(lines), [reason])


def _suffixes(line: str) -> list[str]:
    return re.findall(rf"[=:][ \t]*{NUMBER}[ \t]?(°?[A-Za-z%°]{{1,5}})(?=$|[ \t,;|])(?![ \t]*[=:])", line)


def _delimited(lines: list[str]) -> StreamGuess | None:
    best: StreamGuess | None = None
    for separator, decimal in itertools.product(_SEPARATORS, (".", ",")):
        if separator == "," and decimal == ",":
            continue
        for checksum in ("xor", "crc16", "none"):
            guess = _delimited_as(lines, separator, decimal, checksum)
            if guess is not None and (best is None or _rank(guess) > _rank(best)):
                best = guess
    return best


def _delimited_as(lines: list[str], separator: str, decimal: str, checksum: str) -> StreamGuess | None:
    kept = [(line, body) for line in lines for body in [_without_checksum(line, checksum)] if body is not None]
    rows = [(line, _split(body, separator)) for line, body in kept]
    if not rows:
        return None
    width, _ = Counter(len(cells) for _, cells in rows).most_common(1)[0]
    good = [(line, cells) for line, cells in rows if len(cells) == width]
    columns = _columns([cells for _, cells in good], decimal)
    if len(good) < max(FEWEST_LINES, BELIEVED * len(lines)) or not columns:
        return None
    if decimal == "," and not any("," in cell for _, cells in good for cell in cells):
        return None  # nothing speaks for a decimal comma
    decoding: dict[str, object] = {"kind": "delimited", "separator": separator, "columns": width}
    if decimal == ",":
        decoding["decimal"] = ","
    if checksum != "none":
        decoding["checksum"] = checksum
    named = {",": "commas", ";": "semicolons", "\t": "tabs", "|": "bars", "space": "spaces"}[separator]
    reason = f"{len(good)} lines of " + (f"{width} columns divided by {named}" if width > 1 else "one number")
    return StreamGuess(
        {"kind": "lines"},
        decoding,
        columns,
        [line.encode() + b"\n" for line, _ in good],
        len(good) / len(lines),
        [reason] + ([f"each ends with a right {checksum} checksum"] if checksum != "none" else []),
        protected=checksum != "none",
    )


def _without_checksum(line: str, kind: str) -> str | None:
    if kind == "none":
        return line
    body, star, digits = line.strip().rpartition("*")
    data = body.encode()
    wanted = f"{xor8(data):02X}" if kind == "xor" else f"{crc16_ccitt(data):04X}"
    return body if star and digits.upper() == wanted else None


def _split(line: str, separator: str) -> list[str]:
    return line.split() if separator == "space" else line.split(separator)


def _columns(rows: list[list[str]], decimal: str = ".") -> dict[int | str, list[float]]:
    """Columns, counted from 1, in which every row has a number."""
    pattern = _NUMBER if decimal == "." else _COMMA_NUMBER
    columns: dict[int | str, list[float]] = {}
    for place, cells in enumerate(itertools.zip_longest(*rows, fillvalue=""), start=1):
        if all(pattern.fullmatch(cell) for cell in cells):
            columns[place] = [float(cell.replace(",", ".")) for cell in cells]
    return columns


def _from_binary(data: bytes) -> StreamGuess | None:
    found = guess_binary(data)
    if found is None:
        return None
    return StreamGuess(
        found.framing, found.decoding, found.columns, found.samples, found.share, [found.reason], protected=True
    )


_TEXT_FORMS = (_sentences, _json, _named, _delimited)
