"""One contract for every transport."""

import os
import select
import shutil
import socket
import subprocess
import termios
import threading
import tty

import pytest

from drivers.errors import PortBusyError, PortClosedError, PortLostError, PortMissingError
from drivers.profile import load_profile
from drivers.transport import open_transport
from tests.drivers.scripted import ScriptedTransport

PROFILE = load_profile("simulated-bench")


class Far:
    """The other end of a line: sends, collects, goes away."""

    def __init__(self, send, receive, leave):
        self.send, self.receive, self.leave = send, receive, leave


def pseudo_terminal():
    ours, theirs = os.openpty()
    tty.setraw(theirs)
    line = open_transport(os.ttyname(theirs), PROFILE)
    os.close(theirs)
    return line, Far(lambda data: os.write(ours, data), lambda size: _exactly(ours, size), lambda: os.close(ours))


def _exactly(descriptor, size):
    data = b""
    while len(data) < size and select.select([descriptor], [], [], 5)[0]:
        data += os.read(descriptor, size - len(data))
    return data


def tcp():
    with socket.create_server(("127.0.0.1", 0)) as server:
        line = open_transport(f"socket://127.0.0.1:{server.getsockname()[1]}", PROFILE)
        far, _ = server.accept()
    return line, Far(far.sendall, lambda size: far.recv(size, socket.MSG_WAITALL), far.close)


def loop():
    # what is written comes back: this end is its own far end, and it can not go away
    line = open_transport("loop://", PROFILE)
    return line, Far(line.write, lambda size: _read_all(line, size), None)


def rfc2217():
    if shutil.which("ser2net") is None:
        pytest.skip("ser2net is not installed (Debian: apt install ser2net)")
    from tests.drivers.ser2net import Ser2net

    server = Ser2net()
    try:
        line = open_transport(server.url, PROFILE)
    except PortMissingError:
        server.stop()
        raise
    return line, Far(lambda data: os.write(server.far, data), lambda size: _exactly(server.far, size), server.stop)


def scripted():
    queue = []

    def bytes_of():
        while True:
            yield queue.pop(0) if queue else b""

    line = ScriptedTransport(bytes_of())
    return line, Far(queue.append, lambda size: bytes(line.written[-size:]), lambda: queue.append(OSError(5, "gone")))


MAKERS = [scripted, loop, pseudo_terminal, tcp, rfc2217]


def _read_all(line, size):
    data = b""
    for _ in range(400):
        data += line.read()
        if len(data) >= size:
            break
    return data


@pytest.fixture(params=MAKERS, ids=lambda maker: maker.__name__)
def ends(request):
    line, far = request.param()
    yield line, far
    line.close()
    if far.leave is not None:
        far.leave()


def test_what_is_sent_arrives_whole_and_in_order(ends):
    line, far = ends
    sent = b"".join(b"$SAT,%d\r\n" % n for n in range(200))
    for start in range(0, len(sent), 700):
        far.send(sent[start : start + 700])
    assert _read_all(line, len(sent)) == sent


def test_every_byte_value_passes(ends):
    line, far = ends
    sent = bytes(range(256))
    far.send(sent)
    assert _read_all(line, 256) == sent


def test_nothing_there_yet_is_empty_and_comes_back_soon(ends):
    line, _ = ends
    assert line.read(0.01) == b""


def test_what_is_written_arrives(ends):
    line, far = ends
    line.write(b"*IDN?\n")
    assert far.receive(6) == b"*IDN?\n"


def test_after_closing_it_says_that_we_closed_it(ends):
    line, _ = ends
    line.close()
    line.close()
    with pytest.raises(PortClosedError, match="was used after it had been closed"):
        line.read()
    with pytest.raises(PortClosedError):
        line.write(b"x")


def until_lost(line):
    """Everything that can still be read, and the loss itself."""
    got = b""
    for _ in range(400):
        try:
            got += line.read()
        except PortLostError as error:
            return got, error
    raise AssertionError("the loss was never told")


# A pseudo-terminal is left out: the system forgets what nobody has read when its other end is closed.
@pytest.mark.parametrize("maker", [scripted, tcp], ids=lambda maker: maker.__name__)
def test_what_had_arrived_is_handed_out_before_the_loss_is_told(maker):
    line, far = maker()
    far.send(b"last words")
    far.leave()
    got, error = until_lost(line)
    line.close()
    assert got == b"last words"
    assert "; expected it to stay open; check cable and power, it is tried again" in str(error)


@pytest.mark.parametrize("maker", [pseudo_terminal, tcp, rfc2217], ids=lambda maker: maker.__name__)
def test_the_end_of_the_other_side_is_noticed_and_stays_noticed(maker):
    line, far = maker()
    far.leave()
    until_lost(line)
    with pytest.raises(PortLostError):
        line.read()
    line.close()


def test_a_serial_port_is_opened_for_us_alone():
    ours, theirs = os.openpty()
    line = open_transport(os.ttyname(theirs), PROFILE)
    with pytest.raises(PortBusyError, match="is in use by another program; expected it to be free"):
        open_transport(os.ttyname(theirs), PROFILE)
    line.close()
    open_transport(os.ttyname(theirs), PROFILE).close()
    os.close(theirs)
    os.close(ours)


@pytest.mark.parametrize(
    ("url", "sentence"),
    [
        ("/dev/there-is-none", "there is no port '/dev/there-is-none'; expected a device that is plugged in"),
        ("socket://127.0.0.1", "port 'socket://127.0.0.1' is no address; expected socket://host:port"),
        ("socket://127.0.0.1:70000", "is no address; expected socket://host:port, port 1 to 65535"),
        ("nonsense://x", "port 'nonsense://x' cannot be understood"),
    ],
)
def test_a_port_that_is_none_is_told_with_the_way_out(url, sentence):
    with pytest.raises(PortMissingError) as caught:
        open_transport(url, PROFILE)
    assert sentence in str(caught.value)


def test_a_file_is_no_port(tmp_path):
    file = tmp_path / "notes.txt"
    file.write_text("no device")
    with pytest.raises(PortMissingError) as caught:
        open_transport(str(file), PROFILE)
    assert f"port '{file}' cannot be opened" in str(caught.value)


def test_nobody_listening_is_told():
    with socket.create_server(("127.0.0.1", 0)) as server:
        port = server.getsockname()[1]
    with pytest.raises(PortMissingError, match=f"nobody answers at 'socket://127.0.0.1:{port}'"):
        open_transport(f"socket://127.0.0.1:{port}", PROFILE)


def test_more_than_one_buffer_of_a_fast_line_loses_nothing():
    line, far = pseudo_terminal()
    sent = os.urandom(300_000)
    feeder = threading.Thread(target=lambda: [far.send(sent[n : n + 4000]) for n in range(0, len(sent), 4000)])
    feeder.start()
    got = bytearray()
    while len(got) < len(sent):
        got += line.read()
    feeder.join()
    assert bytes(got) == sent
    line.close()
    far.leave()


@pytest.mark.slow
def test_an_independent_program_plays_a_file_and_every_byte_arrives(tmp_path):
    if shutil.which("socat") is None:
        pytest.skip("socat is not installed (Debian: apt install socat)")
    sent = b"".join(b"%d.%02d,101.3\n" % (n, n % 100) for n in range(3000))
    (tmp_path / "stream").write_bytes(sent)
    link = tmp_path / "port"
    player = subprocess.Popen(
        ["socat", "-u", f"FILE:{tmp_path / 'stream'},ignoreeof", f"PTY,link={link},raw,echo=0,wait-slave"],
        stderr=subprocess.DEVNULL,
    )
    while not link.exists():
        assert player.poll() is None
    line = open_transport(str(link), PROFILE)
    got = _read_all(line, len(sent))
    player.terminate()
    player.wait(5)
    until_lost(line)
    line.close()
    assert got == sent


def test_settings_that_a_port_can_not_do_are_told(monkeypatch):
    ours, theirs = os.openpty()

    def refuse(descriptor, when, attributes):
        raise termios.error(22, "Invalid argument")

    monkeypatch.setattr(termios, "tcsetattr", refuse)
    line = PROFILE.line.model_copy(update={"parity": "even"})
    with pytest.raises(PortMissingError, match=r"refuses the line's settings .*parity even"):
        open_transport(os.ttyname(theirs), PROFILE.model_copy(update={"line": line}))
    os.close(ours)
    os.close(theirs)
