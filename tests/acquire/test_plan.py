"""Run plans: units at the edge, SI inside, and a round trip through the run file."""

from __future__ import annotations

from pathlib import Path

import pytest

from acquire.plan import RunPlan, load_plan, stored_plan
from acquire.replay import with_settings
from drivers.tomlfile import TomlError

TEXT = """\
title = "Bench 7"
liquid = "n-heptane"

[cell]
volume = "150 mL"
u_volume = "2 cm3"

[room]
humidity = "45 %"

[bath]
targets = ["77 degF", "301.15 K"]
return_to = "26 degC"

[limits]
over_pressure = "150 mmHg"

[settle]
tolerance = "0.05 K"
soak = "1 min"
"""


def test_a_plan_is_read_into_si(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(TEXT)
    plan, text = load_plan(path)
    assert text == TEXT
    assert plan.cell.volume == pytest.approx(150e-6)
    assert plan.room.humidity == pytest.approx(0.45)
    assert plan.bath.targets == (pytest.approx(298.15), pytest.approx(301.15))
    assert plan.limits.over_pressure == pytest.approx(150 * 133.322387415)  # NIST SP 811
    assert plan.settle.soak == 60.0


def test_a_plan_survives_the_run_file() -> None:
    plan = RunPlan()
    assert stored_plan(plan.model_dump(mode="json")) == plan


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ('[bath]\ntargets = ["28 degC", "25 degC"]', "targets that rise"),
        ('[bath]\ntargets = ["45 degC"]', "up to the limit of 40.0 degC"),
        ("[bath]\nhot_water = 70", "has no unit"),
        ('[bath]\nhot_water = "70"', "expected a temperature as text with its unit"),
        ('[cell]\nvolume = "many"', "expected a volume as text with its unit"),
        ('[bath]\nhot_water = "70 kPa"', "expected a temperature"),
        ('[room]\nhumidity = "130 %"', "a share from 0 to 1"),
        ('[settle]\nmode = "fast"', "raw"),
        ('[settle]\ntolerance = "5 kPa"', "expected a temperature difference"),
        ("[cell]\nvolum = 3", "did you mean 'volume'"),
    ],
)
def test_faults_of_a_plan_are_told(tmp_path: Path, line: str, why: str) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(line + "\n")
    with pytest.raises(TomlError, match=why):
        load_plan(path)


def test_other_settings_leave_the_rest_of_the_plan_alone() -> None:
    plan = RunPlan(title="mine")
    changed = with_settings(plan, {"tolerance": "0.05K", "mode": "corrected", "automatic": "false"})
    assert (changed.settle.tolerance, changed.settle.mode, changed.settle.automatic) == (0.05, "corrected", False)
    assert changed.settle.soak == plan.settle.soak
    assert changed.title == "mine"
