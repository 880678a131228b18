"""A simulated bench on a line that any serial program can open: pseudo-terminal, TCP, or a line in memory."""

from __future__ import annotations

import threading
from collections.abc import Callable

from sim.device import BenchAct, SimulatedBench
from sim.errors import PortUnavailableError
from sim.lines import Line, MemoryLine, PseudoTerminalLine, TcpLine
from sim.recorded import RecordedBench

KINDS = ("pty", "tcp", "loop")
_TICK = 0.01  # s of real time between looks at the clock; a serial adapter bunches bytes about as coarsely
_BUNCH = 0.2  # s of bench time that may come at once before the port looks more often
_LINES_AT_ONCE = 300  # so that a clock that leaps cannot fill the line beyond its bound
_PATIENCE = 30.0  # s for one piece of bench time on a machine that is busy with other things
_FULL = 64 * 1024  # bytes that may wait for a slow reader before the bench is held back


class VirtualPort:
    """Plays a bench on a line, as fast as the clock handed in says.

    Parameters
    ----------
    bench
        Nobody else may advance it while the port runs.
    now
        Bench seconds; may run faster than real time.
    kind
        "pty" (a pseudo-terminal; not on Windows), "tcp" (loopback, one client at a time) or "loop" (in memory:
        read with `line.read`).
    host, tcp_port
        For "tcp" only; port 0 lets the machine choose.

    Guarantees: bytes sent while nobody listens are lost, as on a real line; bytes for a reader that is slow wait,
    and the bench with them, so none of those is lost.

    Threads: `_run` is the only code on the port's thread. `act`, `start` and `stop` may be called from any
    thread; bench and line are used under `_lock` only.
    """

    def __init__(
        self,
        bench: SimulatedBench | RecordedBench,
        now: Callable[[], float],
        *,
        kind: str = "pty",
        host: str = "127.0.0.1",
        tcp_port: int = 0,
    ) -> None:
        self.bench, self._now = bench, now
        if kind == "pty":
            self.line: Line = PseudoTerminalLine()
        elif kind == "tcp":
            self.line = TcpLine(host, tcp_port)
        elif kind == "loop":
            self.line = MemoryLine()
        else:
            raise PortUnavailableError(f"found kind of line {kind!r}; expected one of {', '.join(KINDS)}")
        self.url = self.line.url
        self._lock = threading.Lock()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="simulated bench")

    def start(self) -> None:
        self._thread.start()

    def act(self, act: BenchAct) -> None:
        """Do something to the bench now."""
        with self._lock:
            self._catch_up()
            self.bench.act(act)

    def stop(self) -> None:
        """End the thread and close the line.

        Raises
        ------
        RuntimeError
            The thread is still alive after `_PATIENCE`.
        """
        self._stop.set()
        if self._thread.ident is not None:
            self._thread.join(_PATIENCE)
            if self._thread.is_alive():
                raise RuntimeError(f"the thread of the simulated bench did not end within {_PATIENCE:.0f} s")
        with self._lock:
            self.line.close()

    def _run(self) -> None:
        while not self._stop.is_set():
            with self._lock:
                before = self.bench.time
                self._catch_up()
                self.line.flush()
                if said := self.line.heard():
                    self.line.send(self.bench.hear(said))
                # A full line is looked at more often, so that a fast run is not held back by our own pace; and a
                # fast clock too, so that its lines do not come in bunches no real device would send.
                hurry = self.line.waiting or self.bench.time - before > _BUNCH
            self._stop.wait(0.2 * _TICK if hurry else _TICK)

    def _catch_up(self) -> None:
        # A bench must not run ahead of a reader that is slow: what it says would have to be thrown away.
        now, bench = self._now(), self.bench
        most = _LINES_AT_ONCE / bench.scenario.device.rate_Hz
        # After a stall a fast clock may be an hour ahead; whoever stops the port does not wait for that.
        while bench.time < now and self.line.waiting < _FULL and not self._stop.is_set():
            self.line.send(bench.advance(min(now, bench.time + most)))
        if self.bench.plugged_in:
            self.line.plug_in()
        else:
            self.line.hang_up()
