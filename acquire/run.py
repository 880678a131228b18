"""The run: a pure state machine that consumes readings and acts and appends to the journal; no clock, port or file."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

from acquire import acts, stages
from acquire.acts import Act
from acquire.cautions import CautionLog
from acquire.decisions import BATH_CHANGED, Decisions
from acquire.feed import GRACE, BlockFeed
from acquire.journal import PROGRAM, Entry, Journal
from acquire.plan import RunPlan
from acquire.points import PointBook, baselines_of
from acquire.progress import Progress
from acquire.proposals import Proposal
from acquire.record import Baseline, PointRecord
from analysis.liquids import Liquid
from analysis.settling import Block, Judge, Judgement
from drivers.readings import DeviceNotice, Readings


class ActRefused(ValueError):
    """An act that is not possible now: nothing was changed.

    The sentence says what was asked for, what is possible now, and so the way out.
    """

    def __init__(self, act: str, stage: str, possible: tuple[str, ...], why: str = "") -> None:
        reason = f" ({why})" if why else ""
        listed = ", ".join(name.replace("_", " ") for name in possible) or "nothing"
        super().__init__(f"cannot '{act.replace('_', ' ')}' in the stage '{stage}'{reason}; possible: {listed}")
        self.act, self.stage, self.possible, self.why = act, stage, possible, why


#: Acts that a review may still do to a closed run.
AFTERWARDS = (acts.TAKE, acts.SET_ASIDE, acts.RESTORE, acts.WINDOW, acts.NOTE, acts.UNDO, acts.REDO)


class Run:
    """One run, from set-up to closed.

    The same readings and acts give the same journal, however the readings were bunched: every decision is made
    when a one-second block closes, and every act is stamped with the number of blocks closed before it.

    Parameters
    ----------
    plan
        What the run intends.
    liquid
        The record of the liquid, or None when nothing is known of it.
    grace
        How far one channel may be ahead before the other is no longer waited for; more where the clock is fast.
        It changes when blocks close, not what they hold.  [s]
    keep_judgements
        Whether the judgement of every second is kept, so that a review may take points where nobody did.
    concludes
        Whether cautions are given and the points fitted each time one is taken.  Points and baselines do not depend
        on it; who only wants those, of many runs, saves the time.
    """

    def __init__(
        self,
        plan: RunPlan,
        liquid: Liquid | None,
        *,
        grace: float = GRACE,
        keep_judgements: bool = False,
        concludes: bool = True,
    ) -> None:
        self.plan, self.liquid = plan, liquid
        self.journal = Journal()
        self.stage = stages.SET_UP
        self.stage_since = 0.0
        self.blocks: list[Block] = []
        self.judgement: Judgement | None = None
        self.judgements: list[Judgement] | None = [] if keep_judgements else None  # one for each block
        self.proposal: Proposal | None = None
        self.result: Mapping[str, Any] | None = None
        self.refused = ""  # why the latest fit gave no result
        self.refusal: dict[str, Any] | None = None  # its facts, for another language
        #: Called when a second has been decided: what happens at a known second, happens there however fast time runs.
        self.after_block: Callable[[], None] | None = None
        self.gain: tuple[float, float] | None = None  # next target [K], half-width of 95 % with a point there [J/mol]
        self.progress = Progress(plan)
        self.cautions = CautionLog()
        self.time = 0.0  # end of the last closed block, or of the last act [s]
        self._feed = BlockFeed(grace)
        self._book = PointBook()
        self._baselines: tuple[Baseline, ...] = ()
        self._judge = Judge(plan_settings(plan))
        self._decisions = Decisions(self, concludes=concludes)

    # What is known

    @property
    def judge(self) -> Judge:
        return self._judge

    @property
    def points(self) -> tuple[PointRecord, ...]:
        return self._book.points

    @property
    def book(self) -> PointBook:
        return self._book

    @property
    def baselines(self) -> tuple[Baseline, ...]:
        """The baselines in force: the latest of each kind."""
        return self._baselines

    def baseline(self, kind: str) -> Baseline | None:
        return next((b for b in self.baselines if b.kind == kind), None)

    def means(self, start: float, end: float) -> tuple[float, float]:
        """Plain means of the blocks between two times [s]; NaN when there is none.  [K, Pa]"""
        return self._decisions.means((start, end))

    @property
    def decided_at(self) -> float:
        """When the last plateau was answered, minus infinity before the first.  [s]"""
        return self._decisions.answered_at

    @property
    def forecast_pressure(self) -> Callable[[float | None], float]:
        """Total pressure forecast for a bath temperature [K], NaN when there is nothing to forecast from.  [Pa]"""
        return self._decisions.forecast_pressure

    @property
    def closed(self) -> bool:
        return self.stage == stages.CLOSED

    @property
    def possible_acts(self) -> tuple[str, ...]:
        """Names of the acts that are legal now."""
        return tuple(name for name in acts.ACTS if self._why_not(name) is None)

    # What comes in

    def feed(self, readings: Readings) -> Readings:
        """Take a block of readings; the same readings with late ones marked, as they belong in the file.

        Nothing is decided before `proceed`, so that all channels of one arrival can be fed first.
        """
        return readings if self.closed else self._feed.take(readings)

    def allow(self, grace: float) -> None:
        """From now on one channel may be this far ahead: the clock runs at another speed.  [s]"""
        self._feed.allow(grace)

    def proceed(self) -> None:
        """Decide on the seconds that are complete now."""
        for block in self._feed.close():
            self.decide(block)
            if self.after_block is not None:
                self.after_block()

    def decide(self, block: Block) -> None:
        """Decide on one second; nothing once the run is closed."""
        if self.closed:
            return
        self.blocks.append(block)
        self.time = max(self.time, block.index + 1.0)
        self.judgement = self._judge.update(block)
        if self.judgements is not None:
            self.judgements.append(self.judgement)
        self._decisions.on_block(block, self.judgement)

    def notice(self, notice: DeviceNotice) -> Entry:
        """Put what happened to a device into the journal."""
        data = {"device": notice.device, "event": notice.kind, "count": notice.count}
        return self.record("device", notice.text, data, actor="device", given=True, time=notice.time)

    def act(self, act: Act, time: float | None = None) -> None:
        """Do what was asked for.

        Parameters
        ----------
        time
            Run time of the act; that of the last closed block where not given.  [s]

        Raises
        ------
        ActRefused
            The act is not possible now; nothing has changed.
        """
        before = self.time
        # What is possible may depend on the moment: without readings for a while there is nothing to take.
        self.time = max(before, before if time is None else time)
        why = self._why_not(act.name, act.data)
        if why is not None:
            self.time = before
            raise ActRefused(act.name, self.stage, self.possible_acts, why)
        data = {"act": act.name, **act.data}
        self.record("act", act.name.replace("_", " "), data, actor=act.actor, given=True, time=time)
        self._handlers()[act.name](act)

    def record(
        self,
        kind: str,
        text: str,
        data: Mapping[str, Any],
        *,
        actor: str = PROGRAM,
        given: bool = False,
        time: float | None = None,
    ) -> Entry:
        """Append to the journal, at this time or now."""
        when = self.time if time is None else time
        entry = self.journal.append(
            time=when, block=len(self.blocks), kind=kind, actor=actor, given=given, text=text, data=data
        )
        self._book.see(entry)
        if kind == "baseline":
            self._baselines = baselines_of(self.journal)
        return entry

    def go(self, event: str) -> None:
        """Move to the next stage by this event, and tell the judge what it means for the cell."""
        before, self.stage = self.stage, stages.move(self.stage, event)
        self.stage_since = self.time
        self.proposal = None
        self.record("stage", f"{before} → {self.stage}", {"from": before, "to": self.stage, "event": event})
        if event == "valve_closed":
            self._judge.cell_closed(self.time)
        elif event == "valve_opened":
            self._judge.valve_opened(self.time)
        elif event == "charged":
            self._judge.charged(self.time)

    # What each act does

    def _handlers(self) -> dict[str, Callable[[Act], None]]:
        moving = dict.fromkeys(
            (acts.BEGIN, acts.VALVE_CLOSED, acts.VALVE_OPENED, acts.CHARGED, acts.VENTED, acts.FINISH), self._move
        )
        return {
            **moving,
            acts.NEXT: self._next,
            acts.WARMED: self._bath_changed,
            acts.COOLED: self._bath_changed,
            acts.NOTE: lambda act: None,  # the act's own entry holds the text
            acts.TAKE: self._take,
            acts.SET_ASIDE: self._set_aside,
            acts.RESTORE: self._restore,
            acts.WINDOW: self._window,
            acts.UNDO: self._undo,
            acts.REDO: self._redo,
        }

    def _move(self, act: Act) -> None:
        self.go(act.name)
        if self.closed:
            self._decisions.on_closed()

    def _next(self, act: Act) -> None:
        self.go(self._next_event() or "next")

    def _next_event(self) -> str | None:
        if self.stage == stages.PLATEAUS:
            return "next" if self.plan.bath.return_to is not None else "next, no return"
        return "next" if stages.can_move(self.stage, "next") else None

    def _bath_changed(self, act: Act) -> None:
        self.progress.bath_changed(self.time)
        self._judge.step(self.time)
        self._decisions.withdraw(BATH_CHANGED)

    def _take(self, act: Act) -> None:
        if "start" in act.data:
            window = (float(act.data["start"]), float(act.data["end"]))
            self._decisions.take_window(window, act.actor, act.data.get("reason", ""))
        else:
            self._decisions.take(act.actor)

    def _set_aside(self, act: Act) -> None:
        number = act.data.get("point")
        if number is None:
            self._decisions.set_proposal_aside(act.data.get("reason", ""))
            return
        data = {"number": number, "reason": act.data.get("reason", "")}
        self.record("point set aside", f"point {number} set aside", data, actor=act.actor)
        self._decisions.refit()

    def _restore(self, act: Act) -> None:
        number = act.data["point"]
        data = {"number": number, "reason": act.data.get("reason", "")}
        self.record("point restored", f"point {number} used again", data, actor=act.actor)
        self._decisions.refit()

    def _window(self, act: Act) -> None:
        self._decisions.change_window(
            int(act.data["point"]), (float(act.data["start"]), float(act.data["end"])), act.data.get("reason", "")
        )

    def _undo(self, act: Act) -> None:
        change = self._book.to_undo
        assert change is not None  # _why_not has looked
        self.record("undone", f"undone: {change.text}", {"entry": change.number}, actor=act.actor)
        self._decisions.refit()

    def _redo(self, act: Act) -> None:
        number = self._book.to_redo
        assert number is not None  # _why_not has looked
        text = self.journal[number].text
        self.record("redone", f"done again: {text}", {"entry": number}, actor=act.actor)
        self._decisions.refit()

    # What is legal

    def _why_not(self, name: str, data: Mapping[str, Any] | None = None) -> str | None:
        """None when the act is legal now, else the reason."""
        if self.closed and name not in AFTERWARDS:
            return "the run is closed"
        if name in (acts.BEGIN, acts.VALVE_CLOSED, acts.VALVE_OPENED, acts.CHARGED, acts.VENTED, acts.FINISH):
            return None if stages.can_move(self.stage, name) else "not at this stage"
        return _CHECKS[name](self, data)

    def _known_point(self, data: Mapping[str, Any] | None) -> str | None:
        if not self.points:
            return "no point was taken yet"
        if data is None:
            return None
        number = data.get("point")
        if number not in {p.number for p in self.points}:
            return f"there is no point {number!r}; there are {', '.join(str(p.number) for p in self.points)}"
        return None

    def _check_window(self, data: Mapping[str, Any] | None) -> str | None:
        if (why := self._known_point(data)) is not None or data is None:
            return why
        return self._check_seconds(data)

    def _check_seconds(self, data: Mapping[str, Any]) -> str | None:
        start, end = data.get("start", math.nan), data.get("end", math.nan)
        if not (isinstance(start, int | float) and isinstance(end, int | float) and end - start >= 3.0):
            return "a window needs start and end in seconds, three or more apart"
        return self._decisions.why_no_window((float(start), float(end)))

    def _check_take(self, data: Mapping[str, Any] | None) -> str | None:
        if data is not None and "start" in data:
            if self.judgements is None:
                return "a window can be named in a review only"
            return self._check_seconds(data)
        if self.stage not in stages.POINTS | stages.BASELINES:
            return "there is nothing to take at this stage"
        return self._decisions.why_not_take()

    def _check_set_aside(self, data: Mapping[str, Any] | None) -> str | None:
        if data is not None and "point" in data:
            return self._known_point(data)
        if self.proposal is None and not self.points:
            return "no plateau is proposed and no point was taken"
        if data is not None and self.proposal is None:
            return "no plateau is proposed; name the point to set aside"
        return None

    def _check_bath(self, data: Mapping[str, Any] | None) -> str | None:
        return None if self.stage in stages.SHUT or self.stage == stages.SOAK else "the cell is not in the bath yet"


_CHECKS: dict[str, Callable[[Run, Mapping[str, Any] | None], str | None]] = {
    acts.NEXT: lambda run, data: None if run._next_event() else "there is no next step to go to",
    acts.WARMED: Run._check_bath,
    acts.COOLED: Run._check_bath,
    acts.NOTE: lambda run, data: "a note needs text" if data is not None and not data.get("text") else None,
    acts.TAKE: Run._check_take,
    acts.SET_ASIDE: Run._check_set_aside,
    acts.RESTORE: Run._known_point,
    acts.WINDOW: Run._check_window,
    acts.UNDO: lambda run, data: None if run.book.to_undo else "there is nothing to undo",
    acts.REDO: lambda run, data: None if run.book.to_redo is not None else "there is nothing to do again",
}


def plan_settings(plan: RunPlan) -> Any:
    """The judge's settings that a plan asks for."""
    from analysis.settling import SettlingSettings

    return SettlingSettings(tolerance=plan.settle.tolerance, mode=plan.settle.mode)
