"""Scenario files: what is shipped holds together, and a faulty one is answered with file, line and way out."""

from __future__ import annotations

from pathlib import Path

import pytest

from sim.device import SimulatedBench
from sim.errors import ScenarioError, UnknownNameError
from sim.scenario import DEFAULT, Scenario, list_scenarios, load_scenario, scenario_schema, scenario_text


def test_the_default_comes_first_and_is_calm() -> None:
    assert list_scenarios()[0].name == DEFAULT == "calm"
    assert load_scenario("calm").mishaps == ()
    assert load_scenario("calm").liquid == "n-heptane"


@pytest.mark.parametrize("scenario", list_scenarios(), ids=lambda scenario: scenario.name)
def test_a_shipped_scenario_says_what_it_is_for_and_can_be_run(scenario: Scenario) -> None:
    assert scenario.title
    assert scenario.summary
    assert len(scenario.aims) >= 2
    assert SimulatedBench(scenario, 1).advance(5.0).count(b"\n") > 2
    assert all(scenario.room_temperature < target < scenario.bath_limit for target in scenario.targets)


def test_si_is_what_comes_out() -> None:
    calm = load_scenario("calm")
    assert calm.cell_volume == pytest.approx(140e-6)
    assert calm.charge_volume == pytest.approx(2.5e-6)
    assert calm.room_temperature == pytest.approx(294.65)
    assert calm.room_pressure == pytest.approx(100900.0)
    assert calm.targets == pytest.approx((298.15, 301.15, 304.15, 307.15, 310.15))


def written(tmp_path: Path, text: str) -> Path:
    path = tmp_path / "mine.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_scenario_of_ones_own_is_read_from_a_file(tmp_path: Path) -> None:
    path = written(tmp_path, 'name = "mine"\ntitle = "Mine"\nliquid = "ethanol"\n[room]\ntemperature_degC = 19\n')
    scenario = load_scenario(path)
    assert (scenario.name, scenario.liquid, scenario.room_temperature) == ("mine", "ethanol", pytest.approx(292.15))
    assert load_scenario(str(path)) == scenario


def test_every_fault_of_a_file_is_named_with_line_found_and_expected(tmp_path: Path) -> None:
    text = """name = "mine"
title = "Mine"
liquid = "ethonal"

[room]
temperatur_degC = 21
pressure_kPa = "high"

[[mishaps]]
kind = "leek"
"""
    with pytest.raises(ScenarioError) as caught:
        load_scenario(written(tmp_path, text))
    lines = str(caught.value).splitlines()
    assert lines[0].startswith("mine.toml:3: liquid: found 'ethonal'; expected one of 2-methylpentane, acetone")
    assert lines[1].startswith(
        "mine.toml:6: room.temperatur_degC: found unknown key 'temperatur_degC'; expected one of"
    )
    assert lines[1].endswith("did you mean 'temperature_degC'?")
    assert lines[2] == "mine.toml:7: room.pressure_kPa: found 'high'; expected a number"
    assert "did you mean 'leak'?" in lines[3]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[charge]\nvolume_mL = 130", "expected a charge of less than 80 % of the cell"),
        ("[bath]\nvolume_mL = 900", "expected a bath volume within the bath's capacity"),
        ('[[mishaps]]\nkind = "impure_liquid"\nother = "soup"', "expected 'other' of impure_liquid to be one of"),
        ('[[mishaps]]\nkind = "wrong_unit"\nunit = "psi"', "expected a unit of temperature in wrong_unit, not 'psi'"),
    ],
)
def test_a_scenario_that_contradicts_itself_is_refused(tmp_path: Path, text: str, expected: str) -> None:
    with pytest.raises(ScenarioError) as caught:
        load_scenario(written(tmp_path, f'name = "mine"\ntitle = "Mine"\n{text}\n'))
    assert expected in str(caught.value)


def test_an_unknown_scenario_is_answered_with_the_shipped_ones() -> None:
    with pytest.raises(UnknownNameError, match=r"found no scenario called 'clam'.*Did you mean 'calm'"):
        load_scenario("clam")


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(ScenarioError, match=r"none\.toml: found No such file or directory"):
        load_scenario(tmp_path / "none.toml")


def test_a_shipped_file_is_a_start_for_ones_own(tmp_path: Path) -> None:
    text = scenario_text("leaky-seal").replace('name = "leaky-seal"', 'name = "mine"')
    assert load_scenario(written(tmp_path, text)).mishaps == load_scenario("leaky-seal").mishaps
    with pytest.raises(UnknownNameError):
        scenario_text("none")


def test_the_schema_knows_every_key_and_mishap() -> None:
    schema = scenario_schema()
    assert set(schema["properties"]) == set(Scenario.model_fields)
    assert "StopperLifts" in schema["$defs"]


def test_blind_scenarios_hold_their_tongue() -> None:
    blind = [scenario for scenario in list_scenarios() if scenario.blind]
    assert len(blind) == 5
    for scenario in blind:
        told = " ".join((scenario.title, scenario.summary, *scenario.aims)).lower()
        for mishap in scenario.mishaps:
            assert mishap.words not in told
            assert mishap.name.replace("_", " ") not in told


def test_there_are_calm_brisk_cold_hot_slow_and_three_named_mishap_runs() -> None:
    names = {scenario.name for scenario in list_scenarios()}
    assert {"calm", "brisk", "cold-room", "hot-day", "slow-flask"} <= names
    assert sum(bool(scenario.mishaps) and not scenario.blind for scenario in list_scenarios()) == 3
