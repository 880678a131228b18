"""A scenario file with every key, its default and its limits, to be edited: made from the records themselves."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from sim.liquids import list_liquids
from sim.mishap_records import Mishap, mishap_classes
from sim.scenario import Scenario

_LIMITS = (("ge", "from"), ("gt", "above"), ("le", "to"), ("lt", "below"))


def scenario_template(name: str = "mine") -> str:
    """The text of a scenario that says every default; it can be run as it stands.

    Mishaps stand as comments at the end, one of each kind.
    """
    lines = [
        "# A scenario for a simulated bench. Every key may be left out but name and title; what stands here is the",
        "# default. Check it with  satline scenarios --show FILE.toml",
        "",
        f'name = "{name}"',
        'title = "A run of my own"',
        'summary = ""',
        "aims = []",
        f'liquid = "n-heptane"  # one of {", ".join(list_liquids())}',
        "blind = false  # true: whoever rehearses is not told what goes wrong",
    ]
    for key, field in Scenario.model_fields.items():
        default = field.default
        if isinstance(default, BaseModel):
            lines += ["", f"[{key}]  # {_first_line(type(default))}"]
            lines += [_row(inner, info) for inner, info in type(default).model_fields.items()]
    lines += [
        "",
        "# What goes wrong: any of these, as often as wanted. `when` is start, close_valve, open_valve, charge",
    ]
    lines += ["# or pour, `count` which of them, `after_s` how long after it, `for_s` how long it lasts."]
    for arm in mishap_classes():
        kind = arm.kind_name()
        lines += ["#", f"# {_first_line(arm)}", "# [[mishaps]]", f'# kind = "{kind}"']
        own = [item for item in arm.model_fields.items() if item[0] not in {*Mishap.model_fields, "kind"}]
        lines += [f"# {_row(inner, info)}" for inner, info in own]
    return "\n".join(lines) + "\n"


def _first_line(record: type[BaseModel]) -> str:
    return (record.__doc__ or "").strip().splitlines()[0]


def _row(key: str, field: FieldInfo) -> str:
    note = " ".join(_limits(field))
    if field.is_required():
        return f'{key} = ""  # to be filled in'
    if field.default is None:
        return f"# {key} = ...  # left out by default" + (f"; {note}" if note else "")
    return f"{key} = {_toml(field.default)}" + (f"  # {note}" if note else "")


def _limits(field: FieldInfo) -> list[str]:
    found = []
    for item in field.metadata:
        for attribute, word in _LIMITS:
            value = getattr(item, attribute, None)
            if value is not None:
                found.append(f"{word} {value:g}")
    return found


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, tuple):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    return repr(value)
