"""Serving a simulated bench to any serial program: what `satline serve-bench` runs; no clock of its own."""

from __future__ import annotations

import ipaddress
from collections.abc import Callable

from sim.attended import HOLD, AttendedBench
from sim.device import BenchAct, SimulatedBench
from sim.errors import PortUnavailableError, SimError
from sim.scenario import Scenario
from sim.virtual_port import VirtualPort

SLOWEST, FASTEST = 1.0, 1000.0


class TimeFactorError(SimError):
    """A time factor that the simulated bench does not offer."""


def checked_time_factor(factor: float) -> float:
    """The factor itself.

    Raises
    ------
    TimeFactorError
        Below 1 or above 1000, nan included.
    """
    if not SLOWEST <= factor <= FASTEST:
        raise TimeFactorError(f"found time factor {factor:g}; expected {SLOWEST:g} to {FASTEST:g}")
    return factor


class BenchServer:
    """A bench on a pseudo-terminal or a TCP port.

    Parameters
    ----------
    scenario, seed
        Which bench.
    now
        Bench seconds: the caller's clock, already scaled by the time factor.
    profile
        Wire form; the scenario's where not given.
    kind
        "pty" or "tcp".
    host, tcp_port
        For "tcp". Any host but this machine's own needs `open_to_network`, because the line has neither
        authentication nor encryption.
    attended
        Whether a scripted person follows the scenario's procedure; otherwise only `act` changes anything.
    hold
        Length of each plateau of that procedure.  [s]

    Threads: as `VirtualPort`.
    """

    def __init__(
        self,
        scenario: Scenario,
        now: Callable[[], float],
        *,
        seed: int = 0,
        profile: str = "",
        kind: str = "pty",
        host: str = "127.0.0.1",
        tcp_port: int = 0,
        open_to_network: bool = False,
        attended: bool = True,
        hold: float = HOLD,
    ) -> None:
        if kind == "tcp" and not open_to_network and not is_loopback(host):
            raise PortUnavailableError(
                f"found host {host!r}, which others can reach; expected this machine's own (127.0.0.1), since the "
                "line has neither password nor encryption; open it to the network only where you trust everybody"
            )
        self.bench: SimulatedBench
        if attended:
            self.bench = AttendedBench(scenario, seed, profile=profile, hold=hold)
        else:
            self.bench = SimulatedBench(scenario, seed, profile=profile)
        self._port = VirtualPort(self.bench, now, kind=kind, host=host, tcp_port=tcp_port)
        self.url = self._port.url

    def start(self) -> None:
        self._port.start()

    def act(self, act: BenchAct) -> None:
        """Do something to the bench now."""
        self._port.act(act)

    def stop(self) -> None:
        self._port.stop()

    @property
    def time(self) -> float:
        """Bench time that has been sent.  [s]"""
        return self.bench.time

    @property
    def finished(self) -> bool:
        """Whether the procedure of an attended bench is over."""
        return isinstance(self.bench, AttendedBench) and self.bench.time >= self.bench.end

    def announcement(self) -> list[str]:
        """What to tell the person who wants to connect, one line each."""
        scenario = self.bench.scenario
        lines = [
            f"Scenario {scenario.name}: {scenario.title}",
            f"Profile {self.bench.profile} at {self.url}",
            f"Connect with  --device {self.bench.profile}@{self.url}  or any serial program; any baud rate will do.",
        ]
        if isinstance(self.bench, AttendedBench):
            lines.append(f"A scripted person runs the procedure; it takes {self.bench.end / 60:.0f} min of bench time.")
        lines.append("This bench does not exist: nothing here is hot, wet or under pressure.")
        return lines


def is_loopback(host: str) -> bool:
    """Whether a host name or address is this machine's own."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False
