from acquire.pool.columns import RunColumns, in_columns
from acquire.pool.summary import RunSummary
from acquire.pool.together import Together


def run(name, liquid="n-heptane", air="sealed", simulated=False, content=""):
    return RunSummary(name, liquid=liquid, air=air, simulated=simulated, content=content)


def judged(runs, liquid=None):
    together = Together(liquid)
    for some in in_columns(runs):
        together.count(some)
    return {
        one: why
        for some in together.judged(in_columns(runs))
        for one, why in zip(some.source, some.reason, strict=True)
    }


def test_what_most_runs_are_is_pooled_and_the_others_say_why_not():
    found = judged(
        [
            *(run(f"h{i}") for i in range(3)),
            run("e", liquid="ethanol"),
            run("v", air="none"),
            run("s", simulated=True),
        ]
    )
    assert found["h0"] == ""
    assert found["e"] == "its liquid is ethanol, the pool is of n-heptane"
    assert found["v"] == "its air was treated as 'none', that of the pool as 'sealed'"
    assert found["s"] == "it is simulated, the pool is of measured runs"


def test_the_liquid_asked_for_is_pooled_even_where_it_is_rare():
    found = judged([*(run(f"h{i}") for i in range(3)), run("e", liquid="ethanol")], liquid="ethanol")
    assert found["e"] == ""
    assert found["h0"] == "its liquid is n-heptane, the pool is of ethanol"


def test_the_same_file_twice_counts_once():
    found = judged([run("a", content="1" * 64), run("copy of a", content="1" * 64), run("b", content="2" * 64)])
    assert found == {"a": "", "copy of a": "the same content as another file", "b": ""}


def test_a_run_left_out_before_keeps_its_reason():
    found = judged([run("a"), run("b").left_out("it is broken")])
    assert found["b"] == "it is broken"


def test_a_liquid_nobody_has_leaves_nothing():
    together = Together("acetone")
    together.count(RunColumns.of([run("a")]))
    assert together.choice is None
    (only,) = together.judged([RunColumns.of([run("a")])])
    assert only.reason[0] == "its liquid is n-heptane, the pool is of acetone"
