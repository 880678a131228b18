"""The one strict reader of TOML files: every fault with file, line, key, what was found and what was expected."""

from __future__ import annotations

import datetime
import difflib
import json
import re
import tomllib
import typing
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from drivers.errors import DriverError
from drivers.tomllines import key_lines

Model = TypeVar("Model", bound=BaseModel)
#: Bytes of the longest file that is read; what people write has some thousands.
MOST_BYTES = 1_000_000


class Record(BaseModel):
    """Base of every record that is read from TOML: frozen, no unknown keys, no coercion, finite numbers only."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True, allow_inf_nan=False)


@dataclass(frozen=True)
class Fault:
    """One thing wrong in a file. `line` counts from 1; 0 where the fault has no line of its own."""

    file: str
    line: int
    key: str
    found: str
    expected: str
    hint: str = ""

    def __str__(self) -> str:
        place = f"{self.file}:{self.line}" if self.line else self.file
        key = f" {self.key}:" if self.key else ""
        hint = f"; {self.hint}" if self.hint else ""
        return f"{place}:{key} found {self.found}; expected {self.expected}{hint}"


class TomlError(DriverError):
    """A TOML file cannot be used. `faults` lists everything wrong with it, in the order of its lines."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(sorted(faults, key=lambda fault: fault.line))
        super().__init__("\n".join(str(fault) for fault in self.faults))


def load_model(path_or_text: Path | str, model: type[Model], *, name: str = "") -> Model:
    """Read a TOML file, or a text in TOML, into a record.

    Parameters
    ----------
    path_or_text
        A `Path` is read from disk; a `str` is the text itself.
    model
        The record to make, normally a subclass of `Record`.
    name
        What to call the source in messages; by default the path.

    Raises
    ------
    TomlError
        With every fault found, not only the first.
    """
    name = name or (str(path_or_text) if isinstance(path_or_text, Path) else "text")
    text = _text_of(path_or_text, name)
    data = _parsed(text, name)
    try:
        # Through JSON, because there an array is a tuple and a string is an enum member, while numbers in
        # quotes and true for 1 stay faults.
        return model.model_validate_json(json.dumps(data, default=_plain), strict=True)
    except RecursionError as error:
        raise TomlError([_endless(name)]) from error
    except ValidationError as error:
        lines = key_lines(text)
        faults = [_fault(detail, data, lines, model, name) for detail in error.errors(include_url=False)]
        raise TomlError(faults) from None


def _plain(value: object) -> str:
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    raise TypeError(f"no plain form of {type(value).__name__}")


def _text_of(path_or_text: Path | str, name: str) -> str:
    if isinstance(path_or_text, str):
        return path_or_text
    try:
        with path_or_text.open("rb") as file:
            content = file.read(MOST_BYTES + 1)
        if len(content) > MOST_BYTES:
            raise TomlError([Fault(name, 0, "", f"more than {MOST_BYTES} bytes", "a file that a person wrote")])
        return content.decode("utf-8").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        fault = Fault(name, 0, "", f"byte {error.object[error.start]:#04x} at {error.start}", "a text in UTF-8")
        raise TomlError([fault]) from error
    except OSError as error:
        raise TomlError([Fault(name, 0, "", error.strerror or "no file", "a readable TOML file")]) from error


def _endless(name: str) -> Fault:
    return Fault(name, 0, "", "brackets within brackets without end", "a few levels at most")


def _parsed(text: str, name: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise TomlError([_endless(name)]) from error
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        place = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)", message)
        rows = text.splitlines() or [""]
        line = int(place.group(1)) if place and place.group(1) else len(rows)
        found = repr(rows[min(line, len(rows)) - 1].strip()[:60])
        expected = f"valid TOML ({message[: place.start()] if place else message})"
        raise TomlError([Fault(name, line, "", found, expected, 'text needs quotes: key = "text"')]) from error


def _fault(
    detail: ErrorDetails, data: Any, lines: dict[tuple[str | int, ...], int], model: type[BaseModel], name: str
) -> Fault:
    absent = detail["type"] in ("missing", "extra_forbidden")
    path = _path_in_file(detail["loc"], data, last_may_be_absent=absent)
    expected, hint = _expected(detail, model)
    return Fault(name, _line_of(path, lines), _dotted(path), _found(detail), expected, hint)


def _path_in_file(loc: tuple[str | int, ...], data: Any, *, last_may_be_absent: bool) -> tuple[str | int, ...]:
    """Drop what pydantic adds to a place (the tag of a union, the arm that was tried)."""
    path: list[str | int] = []
    for position, step in enumerate(loc):
        last = last_may_be_absent and position == len(loc) - 1
        if isinstance(data, dict) and (step in data or last):
            path.append(step)
            data = data.get(step)
        elif isinstance(data, list) and isinstance(step, int) and step < len(data):
            path.append(step)
            data = data[step]
    return tuple(path)


def _line_of(path: tuple[str | int, ...], lines: dict[tuple[str | int, ...], int]) -> int:
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path, 1)


def _dotted(path: tuple[str | int, ...]) -> str:
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
    return text


def _found(detail: ErrorDetails) -> str:
    if detail["type"] in ("missing", "union_tag_not_found"):
        return "nothing"
    if detail["type"] == "extra_forbidden":
        return f"unknown key {detail['loc'][-1]!r}"
    found = detail["input"]
    if isinstance(found, bool):
        return str(found).lower()
    if isinstance(found, dict):
        return "a table" if found else "an empty table"
    if isinstance(found, list) and len(str(found)) > 60:
        return f"a list of {len(found)}"
    text = repr(found)
    return text if len(text) <= 60 else text[:57] + "..."


_PLAIN_KINDS = {
    "string_type": "a text in quotes",
    "bool_type": "true or false",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "finite_number": "a finite number",
    "missing": "this key, which is required",
    "list_type": "a list",
    "tuple_type": "a list",
    "dict_type": "a table",
    "model_type": "a table",
    "date_from_datetime_parsing": "a date like 2024-03-01",
    "date_parsing": "a date like 2024-03-01",
    "date_type": "a date like 2024-03-01",
}
_LIMITS = {"greater_than": "gt", "greater_than_equal": "ge", "less_than": "lt", "less_than_equal": "le"}
_SIGNS = {"gt": ">", "ge": ">=", "lt": "<", "le": "<="}


def _expected(detail: ErrorDetails, model: type[BaseModel]) -> tuple[str, str]:
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "extra_forbidden":
        names = field_names(model, detail["loc"][:-1])
        return f"one of {', '.join(names)}", _nearest(str(detail["loc"][-1]), names)
    if kind in ("literal_error", "enum"):
        words = re.findall(r"'([^']*)'", context["expected"])
        return f"one of {', '.join(words)}", _nearest(str(detail["input"]), words)
    if kind == "union_tag_invalid":
        words = re.findall(r"'([^']*)'", context["expected_tags"])
        return f"kind to be one of {', '.join(words)}", _nearest(str(context["tag"]), words)
    if kind == "union_tag_not_found":
        return "the key 'kind'", ""
    if kind in _LIMITS:
        sign = _LIMITS[kind]
        return f"a value {_SIGNS[sign]} {context[sign]:g}", ""
    if kind == "value_error":
        return _expected_by_check(str(context["error"]))
    if kind in ("too_short", "too_long"):
        bound = "at least" if kind == "too_short" else "at most"
        return f"{bound} {context.get('min_length', context.get('max_length'))} entries", ""
    if kind == "string_too_long":
        return f"a text of at most {context['max_length']} characters", ""
    return _PLAIN_KINDS.get(kind, detail["msg"]), ""


def _expected_by_check(text: str) -> tuple[str, str]:
    """What a check expected, and what else it says: "expected A; hint" or "what is wrong; expected A; hint"."""
    seen, between, rest = text.partition("; expected ")
    expected, _, hint = (rest if between else text.removeprefix("expected ")).partition("; ")
    told_already = not between or seen.startswith("found ")  # what was found stands before it in the fault
    return expected, "; ".join(filter(None, ("" if told_already else seen, hint)))


def _nearest(word: str, words: Sequence[str]) -> str:
    near = difflib.get_close_matches(word, words, n=1, cutoff=0.5)
    return f"did you mean {near[0]!r}?" if near else ""


def field_names(model: type[BaseModel], loc: Sequence[str | int]) -> list[str]:
    """The keys that a record has at a place inside it, for suggestions."""
    models = [model]
    for step in loc:
        tagged = [one for one in models if isinstance(step, str) and _has_tag(one, step)]
        inner = [
            found
            for one in models
            if isinstance(step, str) and step in one.model_fields
            for found in _models_in(one.model_fields[step].annotation)
        ]
        models = inner or tagged or models
    return sorted({name for one in models for name in one.model_fields})


def _has_tag(model: type[BaseModel], tag: str) -> bool:
    kind = model.model_fields.get("kind")
    return kind is not None and tag in typing.get_args(kind.annotation)


def _models_in(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for part in typing.get_args(annotation) for model in _models_in(part)]
