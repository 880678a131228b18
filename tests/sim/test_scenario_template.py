"""The file to start from: it runs as it stands, says every default, and every mishap in it can be switched on."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from sim.mishap_records import mishap_classes
from sim.scenario import Scenario, load_scenario
from sim.scenario_template import scenario_template


def loaded(tmp_path: Path, text: str) -> Scenario:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return load_scenario(path)


def test_the_template_is_the_default_scenario(tmp_path: Path) -> None:
    scenario = loaded(tmp_path, scenario_template())
    assert scenario == Scenario(name="mine", title="A run of my own")


def test_every_key_with_a_default_stands_in_it() -> None:
    data = tomllib.loads(scenario_template())
    for name, field in Scenario.model_fields.items():
        if name != "mishaps":
            assert name in data
        parts = getattr(type(field.default), "model_fields", {})
        assert {key for key, info in parts.items() if info.default is not None} <= set(data.get(name, {}) or parts)


def test_limits_are_said_next_to_the_keys() -> None:
    assert "temperature_degC = 21.5  # from 5 to 40" in scenario_template()


@pytest.mark.parametrize("arm", mishap_classes())
def test_every_mishap_of_the_template_can_be_switched_on(arm: type, tmp_path: Path) -> None:
    kind = arm.kind_name()  # type: ignore[attr-defined]
    before, _, after = scenario_template().partition('# [[mishaps]]\n# kind = "' + kind + '"\n')
    block = after.split("#\n#")[0]
    text = before + f'[[mishaps]]\nkind = "{kind}"\n' + "\n".join(row.removeprefix("# ") for row in block.splitlines())
    text = text.replace('other = ""  # to be filled in', 'other = "n-hexane"')
    assert [mishap.name for mishap in loaded(tmp_path, text).mishaps] == [kind]
