"""Makes the frozen picture of a session: copies what is known, decides nothing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from acquire import stages
from acquire.guidance import forming_since, instruction, steps
from acquire.snapshot import CautionView, ChannelView, FileView, ProposalView, Snapshot
from acquire.water import bath_content
from drivers.readings import PRESSURE, TEMPERATURE, DeviceNotice, SourceStopped

if TYPE_CHECKING:
    from acquire.session import Session

RATE_OVER = 10.0  # [s] of readings that the shown rate is taken from
JOURNAL_TAIL = 50  # entries; more than a screen holds


@dataclass
class DeviceLife:
    """What is known of one device's line."""

    state: str = "opening"  # "opening" | "open" | "lost" | "closed"
    last_notice: str = ""
    last_reading: float = math.nan  # [s]
    gaps: int = 0
    rejected: int = 0

    def see(self, notice: DeviceNotice) -> None:
        self.last_notice = notice.text
        self.state = {"opened": "open", "reconnected": "open", "lost": "lost", "closed": "closed"}.get(
            notice.kind, self.state
        )
        self.gaps += notice.kind in ("gap", "lost")
        self.rejected += notice.count if notice.kind == "rejected" else 0

    def stopped(self, event: SourceStopped) -> None:
        self.state, self.last_notice = "closed", event.reason


def make_snapshot(session: Session) -> Snapshot:
    """The session as it stands now."""
    run, now = session.run, session.clock()
    judgement = run.judgement
    room = run.baseline("room")
    limit_pressure = room.pressure + run.plan.limits.over_pressure if room else math.nan
    return Snapshot(
        time=now,
        speed=getattr(session.clock, "speed", 1.0),
        title=run.plan.title,
        liquid=run.liquid.name if run.liquid else run.plan.liquid,
        stage=run.stage,
        steps=steps(run),
        instruction=instruction(run),
        channels={channel: _channel(session, channel, now) for channel in (TEMPERATURE, PRESSURE)},
        gates=tuple((gate.code, gate.text) for gate in judgement.gates) if judgement else (),
        tolerance=judgement.tolerance if judgement else math.nan,
        tolerance_reason=judgement.tolerance_reason if judgement else "",
        drift=judgement.drift if judgement else math.nan,
        lag=judgement.lag if judgement else math.nan,
        u_lag=judgement.u_lag if judgement else math.nan,
        proposal=_proposal(session),
        baselines=run.baselines,
        points=run.points,
        result=dict(run.result) if run.result is not None else None,
        refused="" if run.result is not None else run.refused,
        refusal=None if run.result is not None else run.refusal,
        next_point_gain=run.gain,
        cautions=tuple(
            CautionView(c.code, c.severity, run.cautions.since(c.code), dict(c.data)) for c in run.cautions.active
        ),
        limit_temperature=run.plan.limits.temperature,
        limit_pressure=limit_pressure,
        devices=tuple((name, life.state, life.last_notice) for name, life in session.devices.items()),
        file=_file(session, now),
        journal_tail=tuple(run.journal.since(max(len(run.journal) - JOURNAL_TAIL, 0))),
        possible_acts=run.possible_acts,
        can_undo=run.book.to_undo is not None,
        can_redo=run.book.to_redo is not None,
        facts={
            "cell_volume": run.plan.cell.volume,
            "charge_volume": run.plan.cell.charge,
            "bath_volume": bath_content(run.plan.bath, run.journal),
        },
    )


def _channel(session: Session, channel: str, now: float) -> ChannelView:
    time, value = session.store.latest(channel)
    state = session.run.judgement.channels.get(channel) if session.run.judgement else None
    return ChannelView(
        channel=channel,
        value=value,
        silent=math.inf if math.isnan(time) else max(now - time, 0.0),
        state=state.state.value if state else "unknown",
        still_to_come=state.still_to_come if state else math.nan,
        u_still_to_come=state.u_still_to_come if state else math.nan,
        level_in=state.level_in if state else None,
    )


def _proposal(session: Session) -> ProposalView | None:
    """The offered plateau, or the one forming in the seconds since the bath was last changed."""
    run = session.run
    number = run.book.next_number
    if run.proposal is not None:
        start, end = run.proposal.window
        temperature, pressure = run.means(start, end)
        return ProposalView(True, start, end, temperature, pressure, number)
    if run.stage not in stages.POINTS or not run.blocks:
        return None
    start = forming_since(run)
    last = run.blocks[-1]
    return ProposalView(False, start, run.time, last.temperature, last.pressure, number)


def _file(session: Session, now: float) -> FileView:
    store = session.store
    counts = [store.count(channel) for channel in store.channels]
    lives = session.devices.values()
    return FileView(
        path=session.path,
        readings=sum(counts),
        gaps=sum(life.gaps for life in lives),
        rejected=sum(life.rejected for life in lives),
        rate=_rate(session, now),
        writing=bool(session.path) and not session.trouble and session.alive,
        trouble=session.trouble,
    )


def _rate(session: Session, now: float) -> float:
    """Readings per second of the busiest channel over the last seconds."""
    best = 0.0
    for channel in session.store.channels:
        count = session.store.count(channel)
        times, _ = session.store.since(channel, max(count - 20_000, 0))
        best = max(best, float((times > now - RATE_OVER).sum()) / RATE_OVER)
    return best
