"""What goes wrong with serial lines: each row of drivers/PITFALLS.md names tests that show it handled."""

import ast
import errno
import queue
import re
import threading
from pathlib import Path

import pytest
import serial

import drivers
from drivers import source as source_module
from drivers import transport
from drivers.errors import PortBusyError, PortLostError, PortMissingError
from drivers.ports import PortIdentity
from drivers.profile import load_profile
from drivers.readings import DeviceNotice
from drivers.source import ReadingSource
from drivers.transport import PolledTransport, open_transport
from tests.drivers.scripted import ManualClock, ScriptedTransport
from tests.drivers.test_source import BENCH, events_of, readings, sentence
from tests.drivers.test_transport import pseudo_terminal

HERE = Path(drivers.__file__).parent
TESTS = Path(__file__).parents[1]
PLAIN = load_profile("delimited-text")


def on_line(**settings):
    return PLAIN.model_copy(update={"line": PLAIN.line.model_copy(update=settings)})


class FakePort:
    """Writes down what is done to a port, in order; opening ends it."""

    def __init__(self):
        object.__setattr__(self, "done", [])

    def __setattr__(self, name, value):
        self.done.append((name, value))

    def open(self):
        self.done.append(("open", None))
        raise OSError(errno.ENOENT, "gone")


@pytest.fixture
def fake_port(monkeypatch):
    port = FakePort()
    monkeypatch.setattr(serial, "serial_for_url", lambda url, do_not_open: port)
    return port


@pytest.mark.parametrize(("policy", "wanted"), [("off", False), ("on", True)])
def test_the_control_lines_are_set_before_the_port_is_opened(fake_port, policy, wanted):
    with pytest.raises(PortMissingError):
        open_transport("/dev/any", on_line(dtr=policy, rts=policy))
    assert fake_port.done.index(("dtr", wanted)) < fake_port.done.index(("open", None))
    assert fake_port.done.index(("rts", wanted)) < fake_port.done.index(("open", None))


def test_control_lines_that_are_left_alone_are_not_touched(fake_port):
    with pytest.raises(PortMissingError):
        open_transport("/dev/any", PLAIN)
    assert not {"dtr", "rts"} & {name for name, _ in fake_port.done}


def test_a_local_port_is_taken_alone_and_never_waits_for_ever(fake_port):
    with pytest.raises(PortMissingError):
        open_transport("/dev/any", PLAIN)
    done = dict(fake_port.done)
    assert done["exclusive"] is True
    assert 0 < done["timeout"] < 0.5
    assert done["write_timeout"] == 1.0


def test_a_network_serial_server_is_not_given_a_time_out_for_writing_that_it_refuses(fake_port):
    with pytest.raises(PortMissingError):
        open_transport("rfc2217://127.0.0.1:1", PLAIN)
    assert "write_timeout" not in dict(fake_port.done)


def test_what_a_board_says_while_it_starts_is_thrown_away():
    class Board(ScriptedTransport):
        discarded = 0

        def discard_input(self):
            self.discarded += 1

    board = Board([b"", sentence(0)])
    profile = BENCH.model_copy(update={"line": BENCH.line.model_copy(update={"settle": 0.01})})
    source = ReadingSource(profile, "board", now=ManualClock(), queue=queue.Queue(), open_port=lambda *_: board)
    source.start()
    while not board.finished:
        pass
    source.stop()
    assert board.discarded == 1
    assert len(readings(events_of(source))) == 1


def test_one_thread_alone_opens_reads_and_closes_the_port():
    names = []

    class Watched(ScriptedTransport):
        def read(self, wait=0.05):
            names.append(threading.current_thread().name)
            return super().read(wait)

        def close(self):
            names.append(threading.current_thread().name)
            super().close()

    line = Watched([b"", sentence(0)])

    def open_port(*_):
        names.append(threading.current_thread().name)
        return line

    source = ReadingSource(BENCH, "port", now=ManualClock(), queue=queue.Queue(), device="box", open_port=open_port)
    source.start()
    while not line.finished:
        pass
    source.stop()
    assert line.closed
    assert set(names) == {"source box"}


def test_a_line_that_takes_no_bytes_is_lost_and_flushing_is_never_waited_for(monkeypatch):
    class Port:
        written = b""

        def write(self, data):
            self.written += data

        def flush(self):
            raise AssertionError("this may wait for ever")

        def close(self):
            pass

    port = Port()
    line = PolledTransport("port", port)
    line.write(b"GO\r")
    line.close()
    assert port.written == b"GO\r"
    held, far = pseudo_terminal()
    waits = []

    def nobody_ready(*arguments):
        waits.append(arguments[-1])
        return [], [], []

    with monkeypatch.context() as patched:
        patched.setattr(transport.select, "select", nobody_ready)
        with pytest.raises(PortLostError, match="takes no bytes"):
            held.write(b"GO\r")
    assert waits == [1.0]
    held.close()
    far.leave()


def test_a_port_that_is_still_taken_when_the_device_returns_is_tried_again():
    lines = [ScriptedTransport([b"", sentence(0), OSError(5, "gone")]), ScriptedTransport([b"", sentence(500)])]
    waiting: list = [lines[0], PortBusyError("port", "in use"), PortBusyError("port", "in use"), lines[1]]

    def open_port(*_):
        item = waiting.pop(0)
        if isinstance(item, Exception):
            raise item
        return item

    source = ReadingSource(BENCH, "port", now=ManualClock(), queue=queue.Queue(), open_port=open_port)
    source.start()
    while not lines[1].finished:
        pass
    source.stop()
    events = events_of(source)
    told = [event.kind for event in events if isinstance(event, DeviceNotice)]
    assert told == ["opened", "lost", "reconnected"]
    assert len(readings(events)) == 2


def test_another_device_that_got_the_ports_name_is_left_alone(monkeypatch):
    ours, other = PortIdentity(1, 2, "A1", ""), PortIdentity(1, 2, "B7", "")
    # the board at opening; while it is away, a stranger under its name; then the board itself
    there = iter([ours, other, other, ours, ours])
    monkeypatch.setattr(source_module, "identity_of", lambda url: next(there, ours))
    monkeypatch.setattr(source_module, "find_again", lambda identity: None)
    lines = [ScriptedTransport([b"", sentence(0), OSError(5, "gone")]), ScriptedTransport([b"", sentence(500)])]
    waiting = list(lines)
    left = []

    def open_port(*_):
        left.append(len(list(there)) if len(waiting) == 1 else None)
        return waiting.pop(0)

    source = ReadingSource(BENCH, "port", now=ManualClock(), queue=queue.Queue(), open_port=open_port)
    source.start()
    while not lines[1].finished:
        pass
    source.stop()
    assert left == [None, 1], "it was opened at the third look, when the board was back"
    assert len(readings(events_of(source))) == 2


def test_bytes_are_wanted_without_delay(monkeypatch):
    asked = []
    monkeypatch.setattr(serial.Serial, "set_low_latency_mode", lambda self, wanted: asked.append(wanted))
    line, far = pseudo_terminal()
    assert asked == [True]
    line.close()
    far.leave()


def modules_that_import(name: str) -> set[str]:
    found = set()
    for file in HERE.glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            if any(one.split(".")[0] == name for one in names):
                found.add(file.stem)
    return found


def test_pyserial_stays_behind_two_modules():
    assert modules_that_import("serial") == {"transport", "ports"}


def test_no_driver_looks_at_a_clock_of_its_own():
    assert modules_that_import("time") == set()
    assert modules_that_import("datetime") == {"tomlfile"}, "TOML has dates; nothing else here may know the date"


ROWS = [
    (int(cells[0]), re.findall(r"`(test_\w+)`", cells[-1]))
    for line in (HERE / "PITFALLS.md").read_text(encoding="utf-8").splitlines()
    for cells in [[cell.strip() for cell in line.strip("|").split("|")]]
    if cells[0].isdigit()
]


def test_the_table_has_all_of_them():
    assert [number for number, _ in ROWS] == list(range(1, 24))


@pytest.mark.parametrize(("number", "names"), ROWS)
def test_every_pitfall_names_tests_that_are_there(number, names):
    assert names, f"row {number} names no test"
    written = "".join(file.read_text(encoding="utf-8") for file in TESTS.rglob("test_*.py"))
    assert [name for name in names if f"def {name}(" not in written] == []
