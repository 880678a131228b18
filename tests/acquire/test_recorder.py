"""The recorder answers its clients, and none of them can harm it: dead, frozen, talking nonsense or uninvited."""

from __future__ import annotations

import os
import pickle
import secrets
import stat
import threading
from dataclasses import dataclass
from multiprocessing.connection import Client, answer_challenge, deliver_challenge

import numpy as np
import pytest

from acquire import acts, recorder
from acquire.acts import Act
from acquire.journal import Entry
from acquire.recorder import RecorderServer, connect
from acquire.recorder_client import RecorderClient, RecorderGoneError
from acquire.recorder_messages import Ask, Finished, Meeting, RecorderError, RecorderOrder, meeting_path
from acquire.rehearsal_pace import PaceError
from acquire.run import ActRefused


@dataclass
class View:
    """Stands for a snapshot: any record that can be pickled does."""

    time: float


class Recorded:
    """A recorded run by hand."""

    def __init__(self):
        self.acts = []
        self.times = np.arange(1000.0)
        self.journal = tuple(Entry(n, float(n), n, "act", "person", True, f"note {n}") for n in range(70))

    def act(self, act):
        if act.name == acts.TAKE:
            raise ActRefused("take", "soak", ("next", "note"), "nothing is level yet")
        self.acts.append(act)

    def snapshot(self):
        return View(12.5)

    def trace(self, channel, since=0):
        return self.times[since:], self.times[since:] * 2

    def entries(self, since=0):
        return self.journal[since:]

    def pace(self, change=None):
        if change == "backwards":
            raise PaceError("time cannot go back")
        return {"faster": 2.0, "pause": 0.0}.get(change, 1.0)

    def finish(self):
        return Finished("run.h5", "")


@pytest.fixture
def recorded():
    return Recorded()


@pytest.fixture
def server(recorded):
    server = RecorderServer(recorded, b"key")
    server.start()
    yield server
    server.stop()


def meeting(server, key=b"key"):
    return Meeting(server.address, key.hex(), os.getpid(), "run.h5")


@pytest.fixture
def client(server):
    client = RecorderClient(meeting(server))
    yield client
    client.close()


def test_a_client_asks_like_a_session_is_asked(client, recorded):
    assert client.snapshot() == View(12.5)
    client.act(Act(acts.NOTE, data={"text": "hello"}))
    assert recorded.acts == [Act(acts.NOTE, data={"text": "hello"})]
    times, values = client.trace("pressure", 990)
    np.testing.assert_array_equal(times, np.arange(990.0, 1000.0))
    np.testing.assert_array_equal(values, 2 * times)


def test_a_refused_act_is_refused_at_the_client_with_the_same_sentence(client):
    with pytest.raises(ActRefused) as refused:
        client.act(Act(acts.TAKE))
    assert str(refused.value) == str(ActRefused("take", "soak", ("next", "note"), "nothing is level yet"))
    assert refused.value.possible == ("next", "note")


def test_a_long_trace_comes_in_pieces(client, monkeypatch):
    monkeypatch.setattr(recorder, "MOST_READINGS", 300)
    got = np.empty(0)
    while len(piece := client.trace("pressure", len(got))[0]):
        assert len(piece) <= 300
        got = np.concatenate([got, piece])
    np.testing.assert_array_equal(got, np.arange(1000.0))


def test_the_journal_is_had_from_any_entry_on(client):
    assert [entry.number for entry in client.entries(60)] == list(range(60, 70))
    assert client.entries()[0].text == "note 0"
    assert client.entries(70) == ()


def test_the_end_is_told_to_the_one_who_asked_and_known_to_the_server(client, server):
    assert not server.finished.is_set()
    assert client.finish() == Finished("run.h5", "")
    assert server.finished.wait(2.0)


def test_a_client_without_the_key_is_not_let_in(server, client):
    with pytest.raises(RecorderGoneError, match="does not answer"):
        RecorderClient(meeting(server, b"another"))
    assert client.snapshot() == View(12.5)


def test_an_uninvited_record_is_never_unpickled(server, client):
    stranger = connect(server.address)
    stranger.send_bytes(pickle.dumps(Ask("finish")))
    assert stranger.recv_bytes().startswith(b"#CHALLENGE#")
    assert stranger.recv_bytes() == b"#FAILURE#"
    with pytest.raises((EOFError, OSError)):
        stranger.recv_bytes()
    assert not server.finished.is_set()
    stranger.close()


def let_in(server):
    connection = Client(server.address)
    answer_challenge(connection, b"key")
    deliver_challenge(connection, b"key")
    return connection


@pytest.mark.parametrize("nonsense", [Ask("format_disk"), 42, "snapshot", None])
def test_nonsense_is_answered_in_words(server, client, nonsense):
    connection = let_in(server)
    connection.send(nonsense)
    assert "the recorder does not know" in connection.recv().failed
    connection.close()
    assert client.snapshot() == View(12.5)


def test_wrong_arguments_are_answered_in_words(client):
    with pytest.raises(RecorderError, match="argument"):
        client._ask("trace", 1, 2, 3, 4)
    assert client.snapshot() == View(12.5)


def test_bytes_that_are_no_record_end_that_connection_only(server, client):
    connection = let_in(server)
    connection.send_bytes(b"\x80\x05rubbish")
    with pytest.raises(EOFError):
        connection.recv()
    connection.close()
    assert client.snapshot() == View(12.5)


def test_a_client_that_vanishes_is_forgotten_and_another_joins(server, recorded):
    for _ in range(3):
        connection = let_in(server)
        connection.send(Ask("snapshot"))
        os.close(os.dup(connection.fileno()))
        connection.close()
    again = RecorderClient(meeting(server))
    assert again.snapshot() == View(12.5)
    again.close()


def test_a_frozen_client_neither_holds_up_others_nor_the_end(recorded):
    """It asks for far more than fits into the line, and takes nothing."""
    recorded.times = np.arange(190_000.0)
    server = RecorderServer(recorded, b"key")
    server.start()
    frozen = let_in(server)
    frozen.send(Ask("trace", ("pressure", 0)))
    client = RecorderClient(meeting(server))
    assert client.snapshot() == View(12.5)
    client.close()
    ended = threading.Thread(target=server.stop)
    ended.start()
    ended.join(10.0)
    assert not ended.is_alive()
    frozen.close()


def test_a_recorder_that_does_not_answer_in_time_is_said_to_be_gone(server, recorded):
    release = threading.Event()
    recorded.snapshot = lambda: release.wait(5.0)
    server._answers["snapshot"] = recorded.snapshot
    client = RecorderClient(meeting(server))
    with pytest.raises(RecorderGoneError, match=r"does not answer: no answer within 0\.05 s\. Open the run again"):
        client._ask("snapshot", patience=0.05)
    release.set()
    with pytest.raises(RecorderGoneError, match="was closed"):
        client.snapshot()


def test_a_stopped_recorder_is_told_from_a_silent_one(recorded):
    server = RecorderServer(recorded, b"key")
    server.start()
    client = RecorderClient(meeting(server))
    server.stop()
    with pytest.raises(RecorderGoneError, match="does not answer"):
        client.snapshot()
    with pytest.raises(RecorderGoneError, match="--repair"):
        RecorderClient(meeting(server))


def test_the_meeting_is_readable_by_its_owner_only(tmp_path):
    path = meeting_path(tmp_path / "run.h5")
    told = Meeting("address", secrets.token_bytes(32).hex(), 1, "run.h5")
    told.write(path)
    assert Meeting.read(path) == told
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_run_that_nobody_records_cannot_be_rejoined(tmp_path):
    with pytest.raises(RecorderError, match="nobody is recording this run"):
        RecorderClient.rejoin(tmp_path / "run.h5")


@pytest.mark.parametrize("text", ["", "[]", '{"address": 1}', "{"])
def test_a_spoilt_meeting_is_refused_in_words(tmp_path, text):
    meeting_path(tmp_path / "run.h5").write_text(text)
    with pytest.raises(RecorderError, match="cannot be understood"):
        RecorderClient.rejoin(tmp_path / "run.h5")


def test_a_meeting_of_another_version_is_refused_in_words(tmp_path):
    Meeting("a", "", 1, "run.h5", protocol=99).write(meeting_path(tmp_path / "run.h5"))
    with pytest.raises(RecorderError, match="speaks version 99"):
        RecorderClient.rejoin(tmp_path / "run.h5")


def test_an_order_survives_the_way_to_the_other_process():
    order = RecorderOrder("run.h5", ("a@b", "c@d"), {"title": "é"}, {"title": "é"}, fallbacks=("/x",), seed=3)
    assert RecorderOrder.from_json(order.as_json()) == order
    assert "\n" not in order.as_json()


def test_the_pace_is_asked_and_changed_over_the_connection(client):
    assert [client.pace(), client.pace("faster"), client.pace("pause")] == [1.0, 2.0, 0.0]
    with pytest.raises(RecorderError, match="time cannot go back"):
        client.pace("backwards")
