import csv
import json
import math
from types import SimpleNamespace

import pytest

from acquire.pool.settings import PoolError
from acquire.pool.study import run_study, study_document, write_study
from acquire.pool.study_page import MISHAPS as WORDS
from acquire.pool.study_page import study_page
from acquire.pool.study_plan import EXAMPLE, Mishaps, SensorSet, StudyPlan, Vary, load_study
from acquire.pool.study_runs import Chunk, Tally, _count, rms, simulate
from acquire.pool.workers import LocalWorkers
from drivers.tomlfile import TomlError
from sim.study_mishaps import MISHAPS


def plan_of(text, tmp_path):
    path = tmp_path / "study.toml"
    path.write_text(text)
    return load_study(path)


def study(plan, count=0):
    workers = LocalWorkers(count)
    try:
        return run_study(plan, workers)
    finally:
        workers.close()


def small(**vary):
    return StudyPlan(runs=24, vary=Vary.model_validate(vary, context={"si": True}))


def test_the_example_is_a_plan_and_makes_every_combination(tmp_path):
    plan = plan_of(EXAMPLE, tmp_path)
    settings = list(plan.settings())
    assert len(settings) == len(set(settings)) == 2 * 2 * 2 * 2 * 2
    assert plan.mishaps.leak == 0.05
    assert plan.sensors["good"].offset_pressure == 300.0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("[vary]\nsensors = ['best']\n", "expected one of usual; vary.sensors names 'best'"),
        ("[vary]\nphysics = ['magic']\n", "vary.physics names 'magic'"),
        ("[vary]\nwait = ['5 s']\n", "expected 30 s to 3600 s"),
        ("[vary]\nwait = ['300 s', '5 min']\n", "at least one choice, each once"),
        ("[vary]\nplateaus = [1]\n", "expected 2 to 20"),
        ("[vary]\nspans = ['8 K']\n", "span"),
        (
            "[mishaps]\nleak = '60 %'\nsmall_charge = '50 %'\n",
            "expected 100 % at most; the shares in",
        ),
        ("[vary]\nmishaps = [-1.0]\n", "expected multiples of the shares"),
        ("[mishaps]\nleek = '6 %'\n", "leak"),
        (f"[vary]\nplateaus = {list(range(2, 21))}\nspan = {[f'{k} K' for k in range(1, 21)]}\n", "380 combinations"),
    ],
)
def test_a_plan_that_makes_no_sense_is_refused_in_words(tmp_path, text, said):
    with pytest.raises(TomlError, match=said):
        plan_of(text, tmp_path)


def test_the_answer_does_not_depend_on_how_the_work_is_shared_out():
    plan = small(plateaus=[4], wait=[300.0])
    (one,) = study(plan).results
    (again,) = study(plan).results
    assert one == again
    assert one.runs == 24


def test_settled_points_are_covered_and_hasty_ones_are_not():
    slow, hasty = sorted(study(small(plateaus=[4], wait=[360.0, 100.0])).results, key=lambda r: -r.setting.wait)
    assert slow.coverage > 0.75
    assert hasty.coverage < 0.5
    assert hasty.rms > 2 * slow.rms
    assert slow.duration == pytest.approx(60 + 5 * 390)


def test_a_wider_span_lowers_the_error_and_the_gain_says_so():
    outcome = study(small(span=[5.0, 16.0], wait=[360.0], plateaus=[4]))
    first, wide = outcome.gains
    assert first.rms_ratio == 1.0
    assert wide.factor == "span"
    assert wide.rms_ratio < 0.8
    assert wide.sound_ratio == pytest.approx(wide.rms_ratio)  # no mishap in any of them
    assert wide.mean_u < first.mean_u


def test_leaks_are_counted_and_found():
    plan = small(plateaus=[4], wait=[300.0]).model_copy(update={"runs": 20})
    leaking = plan.model_copy(update={"mishaps": plan.mishaps.model_copy(update={"leak": 1.0})})
    (result,) = study(leaking).results
    assert result.leaks_found > 0.5
    (sound,) = study(plan).results
    assert math.isnan(sound.leaks_found)


def test_tallies_add_up():
    setting = next(small(plateaus=[4]).settings())
    parts = [simulate(Chunk(0, setting, SensorSet(), "n-heptane", (), 5, (1, k)))[1] for k in range(2)]
    both = Tally()
    for part in parts:
        both.add(part)
    assert both.runs == 10
    assert rms(both) == pytest.approx(math.sqrt((parts[0].error2 + parts[1].error2) / 10))


def test_a_study_is_written_as_table_document_and_page(tmp_path):
    outcome = study(small(plateaus=[3], span=[8.0, 16.0]).model_copy(update={"runs": 20}))
    page, table, document = write_study(outcome, tmp_path)
    with table.open(newline="") as file:
        rows = list(csv.DictReader(file))
    assert [float(row["span/K"]) for row in rows] == [8.0, 16.0]
    assert rows[0]["leaks_found"] == ""
    assert json.loads(document.read_text()) == json.loads(json.dumps(study_document(outcome)))
    text = page.read_text()
    assert "All of these runs are simulated." in text
    assert "not a safety device" in text


def test_sensors_that_are_better_give_smaller_uncertainties():
    good = SensorSet.model_validate(
        {"offset_temperature": 0.05, "gain_temperature": 0.001, "offset_pressure": 200.0, "gain_pressure": 0.003},
        context={"si": True},
    )
    made = StudyPlan(
        runs=24,
        vary=Vary.model_validate(
            {"sensors": ["usual", "good"], "wait": [360.0], "plateaus": [4]}, context={"si": True}
        ),
        sensors={"usual": SensorSet(), "good": good},
    )
    usual, better = study(made).results
    assert better.mean_u < usual.mean_u


def test_a_cluster_that_is_not_there_is_an_error_in_words():
    from acquire.pool.workers import open_workers

    pytest.importorskip("distributed")
    with pytest.raises(PoolError, match="address of a scheduler"):
        open_workers(None, "nonsense://x")


@pytest.mark.parametrize(("interval", "covered"), [((35.0, 36.0), 0), ((36.2, 37.0), 1), ((36.9, 38.0), 0)])
def test_an_interval_covers_only_with_both_ends(interval, covered):
    estimate = SimpleNamespace(interval_95=interval, value=36.5, standard_uncertainty=0.3)
    tally = Tally(runs=1)
    _count(tally, SimpleNamespace(at_298_15=estimate, textbook_line=None, findings=()), 36.6, "")
    assert tally.covered == covered
    assert tally.error == pytest.approx(-0.1)


@pytest.mark.slow
def test_points_taken_when_settled_need_less_time_and_are_corrected_for_lag():
    plan = small(plateaus=[3], wait=[420.0], take=["waited", "settled"]).model_copy(update={"runs": 20})
    waited, settled = study(plan).results
    assert settled.duration < 0.9 * waited.duration
    assert settled.refused < 0.3
    assert settled.coverage > 0.7


ALL = dict.fromkeys(MISHAPS, 0.11)


def test_every_mishap_of_the_plan_is_one_the_simulator_knows():
    assert [name for name, _ in Mishaps()] == list(MISHAPS) == [name for name in WORDS if name]


def test_mishaps_are_drawn_as_often_as_stated_and_reported_apart():
    plan = small(plateaus=[4], wait=[300.0], mishaps=[0.0, 1.0])
    plan = plan.model_copy(update={"runs": 150, "mishaps": Mishaps(**ALL)})
    outcome = study(plan)
    counts = {one.mishap: one.runs for one in outcome.mishaps}
    assert sum(counts.values()) == 300
    for name in MISHAPS:  # 150 x 0.11, five standard deviations
        assert abs(counts[name] - 16.5) < 5 * math.sqrt(150 * 0.11 * 0.89)
    none, all_of_them = outcome.results
    assert all_of_them.rms > 2 * none.rms
    assert [gain.choice for gain in outcome.gains] == [0.0, 1.0]
    found = {one.mishap: one for one in outcome.mishaps}
    assert found["sensors_swapped"].noticed == 1.0
    assert math.isnan(found["sensors_swapped"].rms)
    assert found["stopper_lifts"].noticed > 0.8
    assert found["small_charge"].rms > 3 * found[""].rms
    assert found["air_with_charge"].bias < -1000
    assert found["plunger_left_in"].bias < found["air_with_charge"].bias
    assert found["leak"].noticed > 0.7  # and corrected, with a return point
    # what sound runs gain is told apart, and is no choice of mishaps
    assert none.rms_sound == pytest.approx(none.rms)
    assert all_of_them.rms_sound < 0.6 * all_of_them.rms
    assert all(math.isnan(gain.sound_ratio) for gain in outcome.gains)
    assert study_document(outcome)["gains"][1]["sound_ratio"] is None
    text = study_page(outcome)
    assert "the plunger is not drawn back (11\N{NO-BREAK SPACE}%)" in text
    # what all combinations have in common is said once, not in a column
    assert "The same in all of them: points: 4; span: " in text
    assert "<th scope='col'>span</th>" not in text
    assert text.count("<th scope='col'>mishaps</th>") == 1
    assert "What goes wrong" in text


def test_a_mishap_of_some_runs_leaves_the_others_as_they_were():
    setting = next(small(plateaus=[3]).settings())
    without, with_some = (
        simulate(Chunk(0, setting, SensorSet(), "n-heptane", shares, 12, (1, 0)))[1].by_mishap
        for shares in ((), (("air_with_charge", 0.3),))
    )
    assert 0 < with_some["air_with_charge"].runs < 12
    assert with_some[""].runs + with_some["air_with_charge"].runs == without[""].runs == 12
