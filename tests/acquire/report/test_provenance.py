"""Where the numbers come from can be checked by anybody with a hash function."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace

import numpy as np

from acquire.report.provenance import journal_hash, provenance_rows


def test_the_hash_of_the_journal_is_that_of_a_chain_made_by_hand(example_run):
    last = "0" * 64
    for entry in example_run.journal:
        fields = ("number", "time", "block", "kind", "actor", "given", "text", "data")
        line = json.dumps({name: getattr(entry, name) for name in fields}, sort_keys=True, ensure_ascii=False,
                          separators=(",", ":"))  # fmt: skip
        last = hashlib.sha256((last + line).encode()).hexdigest()
    assert journal_hash(example_run) == last


def test_one_changed_letter_in_the_journal_changes_the_hash(example_run):
    first = replace(example_run.journal[0], text="Begun")
    assert journal_hash(replace(example_run, journal=(first, *example_run.journal[1:]))) != journal_hash(example_run)


def test_plan_and_profiles_are_named_by_their_hashes(example_run):
    rows = dict(provenance_rows(example_run))
    assert rows["Hash of the plan"] == hashlib.sha256(example_run.plan_text.encode()).hexdigest()
    profile = example_run.profile_texts["bench"]
    assert rows["Hash of the profile of bench"] == hashlib.sha256(profile.encode()).hexdigest()


def test_devices_versions_and_counts_are_told(example_run):
    rows = dict(provenance_rows(example_run))
    assert rows["Device bench"] == "/dev/ttyACM0, workshop bench box, serial 0042"
    assert rows["Version of numpy"] == "2.4.6"
    assert rows["Readings of temperature"] == "3840, all good"
    assert rows["State of the file"] == "sealed when the run was closed; nothing has changed since"


def test_readings_that_were_not_good_are_counted(example_run):
    trace = example_run.traces["pressure"]
    quality = trace.quality.copy()
    quality[5:8] = 2
    spoilt = replace(example_run, traces={**example_run.traces, "pressure": replace(trace, quality=quality)})
    assert dict(provenance_rows(spoilt))["Readings of pressure"] == "3840, 3 of them marked as not good"


def test_a_run_that_was_never_closed_and_has_no_readings_says_so(example_run):
    empty = replace(
        example_run.traces["pressure"], time=np.empty(0), value=np.empty(0), raw=np.empty(0), quality=np.empty(0)
    )
    rows = dict(provenance_rows(replace(example_run, end_time=None, integrity="unsealed", traces={"pressure": empty})))
    assert rows["Ended"] == "not closed"
    assert rows["State of the file"] == "not sealed: the run ended without being closed"
    assert rows["Readings of pressure"] == "0"
