import json
import math
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from acquire.pool.columns import in_columns
from acquire.pool.document import pool_document
from acquire.pool.figures import mandel_figure
from acquire.pool.gather import Rooms
from acquire.pool.outcome import in_order, pooled
from acquire.pool.page import pool_page
from acquire.pool.settings import PoolError
from acquire.pool.words import decimals_of
from analysis.liquids import load_liquid
from tests.acquire.pool.made import summaries
from tests.analysis.pooling.campaigns import Fault

HEPTANE = load_liquid("n-heptane")


def outcome_of(runs, **more):
    return pooled(lambda: in_columns(runs), liquid=HEPTANE, air="sealed", simulated=False, **more)


@pytest.fixture(scope="module")
def campaign_runs():
    faults = {2: Fault(leak_rate=1 / 36e3), 5: Fault(barometer=9e3), 7: Fault(liquid="cyclohexane")}
    return summaries(3, benches=12, runs=9, faults=faults)


@pytest.fixture(scope="module")
def outcome(campaign_runs):
    return outcome_of(campaign_runs, rooms=Rooms(one_room=True))


def test_the_planted_benches_stand_out_and_are_not_in_the_consensus(outcome):
    assert {(one.bench, one.reason) for one in outcome.outlying} == {
        ("bench 03", "leak"),
        ("bench 06", "pressure sensor"),
        ("bench 08", "liquid"),
    }
    assert outcome.consensus.count == 81
    assert outcome.with_all.count == 108
    low, high = outcome.consensus.interval_95
    assert low < 36_570 < high


def test_the_consensus_is_less_sure_than_averages_that_ignore_sharing(outcome):
    assert outcome.consensus.standard_uncertainty > 2 * outcome.weighted_u


def test_without_a_room_nobody_s_barometer_is_compared(campaign_runs):
    alone = outcome_of(campaign_runs)
    assert all(math.isnan(one.scores.room_difference) for one in alone.outlying)


def test_each_bench_has_its_row_with_scores(outcome):
    rows = {row.bench: row for row in outcome.benches}
    assert len(rows) == 12
    assert all(row.runs == 9 for row in rows.values())
    assert abs(rows["bench 08"].zeta) > 3
    assert rows["bench 08"].outlying is not None
    assert rows["bench 01"].chart is not None
    assert abs(rows["bench 01"].z) < 3


def test_repeatability_is_that_of_the_benches_that_do_not_stand_out(outcome, campaign_runs):
    kept = [s for s in campaign_runs if s.bench not in {"bench 03", "bench 06", "bench 08"}]
    own = math.sqrt(sum(s.u_own**2 for s in kept) / len(kept))
    # 72 degrees of freedom: known to 8 %; what runs of one bench share does not scatter between them; 4 sigma
    assert outcome.precision.repeatability == pytest.approx(own, rel=0.35)


def test_the_document_is_strict_json_and_says_the_same(outcome):
    document = json.loads(json.dumps(pool_document(outcome), allow_nan=False))
    assert document["consensus"]["value"] == outcome.consensus.value
    assert {one["bench"] for one in document["outlying"]} == {"bench 03", "bench 06", "bench 08"}
    assert document["curve"]["heat_capacity"]["standard_uncertainty"] > 0
    assert len(document["by_bench"]) == 12


class Balance(HTMLParser):
    VOID = frozenset({"meta", "link", "br", "circle", "line", "rect", "polygon", "polyline"})

    def __init__(self):
        super().__init__()
        self.open, self.text = [], []

    def handle_starttag(self, tag, attrs):
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        pass

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text.append(data)


def test_the_page_is_well_formed_fetches_nothing_and_names_the_benches(outcome):
    page = pool_page(outcome)
    reader = Balance()
    reader.feed(page)
    assert reader.open == []
    text = " ".join("".join(reader.text).split())
    assert "http" not in page.replace("http://www.w3.org/2000/svg", "")
    assert "<script" not in page
    assert "bench 03: a leak." in text
    assert "not a safety device" in text
    assert "nan" not in text.lower().split()


def test_names_from_files_cannot_break_the_page(campaign_runs):
    from dataclasses import replace

    odd = [replace(s, bench=f"<b>{s.bench}</b> & 'co'") for s in campaign_runs[:27]]
    page = pool_page(outcome_of(odd))
    Balance().feed(page)
    assert "<b>bench" not in page


def test_two_runs_on_one_bench_still_give_a_value_and_a_page():
    runs = summaries(4, benches=1, runs=2)
    outcome = outcome_of(runs)
    assert outcome.precision is None
    assert outcome.outlying == ()
    Balance().feed(pool_page(outcome))
    json.dumps(pool_document(outcome), allow_nan=False)


def test_one_run_each_of_two_benches_is_enough():
    outcome = outcome_of(summaries(5, benches=2, runs=1))
    assert outcome.consensus.count == 2
    Balance().feed(pool_page(outcome))


def test_fewer_than_two_runs_are_refused_with_the_reasons():
    (only,) = summaries(6, benches=1, runs=1)
    with pytest.raises(
        PoolError, match=r"there are 1 usable runs \(left out: 1 x it is broken\); expected at least two"
    ):
        outcome_of([only, only.left_out("it is broken")])


def test_benches_are_in_the_order_in_which_people_count_whichever_was_ready_first(campaign_runs):
    there, back = outcome_of(campaign_runs), outcome_of(campaign_runs[::-1])
    assert there.consistency.benches == back.consistency.benches == tuple(f"bench {i:02d}" for i in range(1, 13))
    assert sorted(["bench 10", "Bench 9", "bench 2b", "7", "bench", "7" * 5000], key=in_order) == [
        "7", "7" * 5000, "bench", "bench 2b", "Bench 9", "bench 10",
    ]  # fmt: skip


@pytest.mark.parametrize(("half", "decimals"), [(0.3, 2), (0.0254, 3), (0.0012, 4), (0.0, 2), (math.nan, 2), (5.0, 2)])
def test_an_interval_is_shown_with_two_figures_of_its_half_width(half, decimals):
    assert decimals_of((-half / 100, half / 100), 100.0) == decimals


def test_a_narrow_interval_of_the_air_is_written_with_the_decimals_it_needs(outcome):
    narrow = replace(outcome.air_share, slope=4e-6, interval_95=(-8e-6, 16e-6), p_value=0.5)
    assert "lies between \u22120.0008 % and +0.0016 %" in pool_page(replace(outcome, air_share=narrow))


@pytest.mark.parametrize("lines", [(1.07, 1.10), (1.07, 2.1)])
def test_the_names_of_two_lines_never_lie_on_each_other(outcome, lines):
    close = replace(outcome, consistency=replace(outcome.consistency, k_lines=lines))
    drawn = re.findall(r"<text [^>]*y='([0-9.]+)'[^>]*>([15])\s%</text>", mandel_figure(close, "k"))
    places = {name: float(y) for y, name in drawn}
    assert places["5"] - places["1"] >= 10.9
