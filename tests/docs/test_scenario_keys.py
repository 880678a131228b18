"""Every key of a scenario and of a mishap stands on its page, with the default that holds."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from drivers.tomlfile import load_model
from sim.mishap_records import Mishap, mishap_classes
from sim.scenario import Scenario
from tests.docs.test_pages import blocks, keys_of

DOCS = Path(__file__).parents[2] / "docs"
#: Keys whose default is another value; the page says which in a comment.
DEFAULT_ELSEWHERE = {"bath.start_degC"}
OWN_TO_A_SCENARIO = {"name", "title", "mishaps"}


def example() -> str:
    (found,) = blocks("docs/scenario-keys.md", "toml")
    return found


def test_every_key_of_a_scenario_is_shown_with_its_default() -> None:
    shown = keys_of(tomllib.loads(example()))
    held = keys_of(Scenario(name="my-bench", title="My bench").model_dump())
    assert set(held) - OWN_TO_A_SCENARIO - set(shown) == DEFAULT_ELSEWHERE
    for key in DEFAULT_ELSEWHERE:
        assert f"# {key.rpartition('.')[2]} = " in example()
    for key in set(shown) - OWN_TO_A_SCENARIO:
        value = tuple(shown[key]) if isinstance(shown[key], list) else shown[key]
        assert value == held[key], key


def test_the_shown_scenario_is_one() -> None:
    assert load_model(example(), Scenario) == Scenario(name="my-bench", title="My bench")


@pytest.mark.parametrize("kind", mishap_classes(), ids=lambda kind: kind.kind_name())
def test_the_keys_of_a_mishap_stand_with_its_kind(kind: type[Mishap]) -> None:
    page = (DOCS / "scenarios.md").read_text("utf-8")
    (row,) = (line for line in page.splitlines() if line.startswith("|") and f"`{kind.kind_name()}`" in line)
    keys = row.split("|")[3]
    written = dict(re.findall(r"`(\w+)(?: = ([^`]*))?`", keys))
    of_all = set(Mishap.model_fields)
    changed = {key for key in of_all if kind.model_fields[key].default != Mishap.model_fields[key].default}
    assert set(written) == (set(kind.model_fields) - of_all - {"kind"}) | changed
    for key, text in written.items():
        field = kind.model_fields[key]
        if not text:
            assert field.is_required() or field.default is None, key
        else:
            assert tomllib.loads(f"x = {text}")["x"] == field.default, key


def test_the_keys_of_all_mishaps_stand_under_the_example() -> None:
    rows = dict(re.findall(r"^\| `(\w+)` \| ([^|]*) \|", (DOCS / "scenario-keys.md").read_text("utf-8"), re.M))
    assert set(rows) == set(Mishap.model_fields)
    for key in ("when", "count", "after_s"):
        assert rows[key].strip(" `") == f"{Mishap.model_fields[key].default:}".removesuffix(".0"), key
