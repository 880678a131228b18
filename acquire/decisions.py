"""What a run concludes as blocks close: offers, points, baselines, cautions, results; always into the journal."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import numpy as np

from acquire import stages
from acquire.cautions import TEXTS, cautions_now
from acquire.fitting import (
    charge_that_evaporates,
    fit_points,
    fit_summary,
    forecasts,
    slopes_of_cell,
)
from acquire.journal import PROGRAM
from acquire.points import point_data
from acquire.proposals import (
    UNREADY_BEFORE_WITHDRAWN,
    LastAnswer,
    Proposal,
    same_as_last,
    too_soon,
)
from acquire.record import Baseline, PointRecord
from acquire.trace_findings import trace_findings
from analysis.findings_trace import drift_of
from analysis.plateau import FEWEST, PlateauPoint, good_seconds, plateau_point
from analysis.settling import Block, Judgement

if TYPE_CHECKING:
    from acquire.run import Run

TAKE_NOW_WINDOW = 20.0  # [s] what "take now anyway" averages: short, since nothing vouches for the plateau
CHANGE_WITHIN = 60  # blocks; no bath cools by the least separation of two points in a minute, hot water does
BATH_CHANGED = "the bath was changed"  # why an offer ends that nothing is wrong with
RESULT_FROM = 3  # points; two always lie on a line


class Decisions:
    """The part of a `Run` that decides; it holds no state but what the next decision needs."""

    def __init__(self, run: Run, *, concludes: bool = True) -> None:
        self._run, self._concludes = run, concludes
        self._last = LastAnswer()
        self._unready = 0
        self._forecast: tuple[tuple[Any, ...], float] | None = None
        self._reached: tuple[tuple[Any, ...], float] | None = None
        self._judged: dict[int, Judgement] = {}  # what was known of the lag when a point was taken

    @property
    def answered_at(self) -> float:
        """When the last plateau was answered, minus infinity before the first.  [s]"""
        return self._last.time

    def on_block(self, block: Block, judgement: Judgement) -> None:
        if self._concludes:
            self._note_cautions(block)
        run = self._run
        if run.stage in stages.POINTS:
            self._see_bath_change(block)
        if run.stage in stages.BASELINES or run.stage in stages.POINTS:
            self._offer(block, judgement)

    def on_closed(self) -> None:
        """The run was closed: say what it gave."""
        self.refit()

    # Offers

    def _offer(self, block: Block, judgement: Judgement) -> None:
        run = self._run
        if run.proposal is not None:
            if judgement.ready and judgement.window is not None:
                self._unready = 0
                run.proposal = Proposal(run.proposal.kind, run.proposal.offered, self._inside_stage(judgement.window))
                return
            self._unready += 1
            if self._unready >= UNREADY_BEFORE_WITHDRAWN:
                gates = ", ".join(gate.text for gate in judgement.gates)
                self.withdraw(gates or "the readings are no longer level")
            return
        if not (judgement.ready and judgement.window is not None and self._wanted(block)):
            return
        window = self._inside_stage(judgement.window)
        if window[1] - window[0] < 3.0:
            return
        kind = "point" if run.stage in stages.POINTS else run.stage
        run.proposal = Proposal(kind, run.time, window)
        self._unready = 0
        run.record("proposal", f"{kind} proposed", {"kind": kind, "start": window[0], "end": window[1]})
        if run.plan.settle.automatic:
            self.take(PROGRAM)

    def _inside_stage(self, window: tuple[float, float]) -> tuple[float, float]:
        """A window must not reach back over the valve, the charge or the last bath change."""
        earliest = max(self._run.stage_since, self._run.progress.changed_at)
        return max(window[0], earliest), window[1]

    def _wanted(self, block: Block) -> bool:
        run, settle = self._run, self._run.plan.settle
        in_stage = run.time - run.stage_since
        if run.stage == stages.ROOM_BASELINE:
            return in_stage >= settle.baseline
        if run.stage == stages.SEALED_BASELINE:
            return in_stage >= settle.leak_hold
        changed_at = max(run.progress.changed_at, run.stage_since)
        if run.progress.same_plateau:
            return False  # its point was taken
        if too_soon(run.plan, run.time, changed_at, self._last):
            return False
        return not same_as_last(run.plan, block.temperature, self._last)

    def _see_bath_change(self, block: Block) -> None:
        """A bath change that nobody marked shows in the temperature."""
        run = self._run
        if not run.progress.same_plateau or len(run.blocks) <= CHANGE_WITHIN:
            return
        change = block.temperature - run.blocks[-1 - CHANGE_WITHIN].temperature
        if abs(change) > run.plan.settle.separation:
            run.progress.bath_changed(run.time)
            run.judge.step(run.time - CHANGE_WITHIN, told=False)
            run.record("bath", "a change of the bath shows in the temperature", {"change": change})
            self.withdraw("the bath was changed")

    def withdraw(self, why: str) -> None:
        """Take an offer back, if one stands."""
        if self._run.proposal is None:
            return
        kind, self._run.proposal = self._run.proposal.kind, None
        self._run.record("withdrawn", f"{kind} no longer proposed: {why}", {"kind": kind, "why": why})

    def set_proposal_aside(self, reason: str) -> None:
        proposal = self._run.proposal
        assert proposal is not None  # the run has looked
        self._last = LastAnswer(self._run.time, self._last.temperature, set_aside=True)
        self._run.proposal = None
        data = {"kind": proposal.kind, "start": proposal.window[0], "end": proposal.window[1], "reason": reason}
        self._run.record("proposal set aside", f"{proposal.kind} set aside", data)

    # Taking

    def why_not_take(self) -> str | None:
        """None when something could be taken now, else the reason."""
        if self._run.judgement is None:
            return "there are no readings yet"
        return self._why_no_blocks(self._window_now())

    def why_no_window(self, window: tuple[float, float]) -> str | None:
        """None when a point could be made of this window, else the reason."""
        return self._why_no_blocks(window)

    def _why_no_blocks(self, window: tuple[float, float]) -> str | None:
        both = good_seconds(self._blocks_in(window))
        return None if both >= FEWEST else f"only {both} seconds in it have both readings; {FEWEST} are needed"

    def _window_now(self) -> tuple[float, float]:
        if self._run.proposal is not None:
            return self._run.proposal.window
        return self._inside_stage((self._run.time - TAKE_NOW_WINDOW, self._run.time))

    def _blocks_in(self, window: tuple[float, float]) -> list[Block]:
        blocks = self._run.blocks
        if not blocks:
            return []
        # Blocks are contiguous, so the place of a second follows from its index.
        first = max(int(window[0]) - blocks[0].index - 1, 0)
        last = max(int(window[1]) - blocks[0].index + 2, 0)
        return [b for b in blocks[first:last] if window[0] <= b.time <= window[1]]

    def means(self, window: tuple[float, float]) -> tuple[float, float]:
        """Plain means over a window, for showing; NaN when it is empty.  [K, Pa]"""
        inside = [b for b in self._blocks_in(window) if math.isfinite(b.temperature) and math.isfinite(b.pressure)]
        if not inside:
            return math.nan, math.nan
        return sum(b.temperature for b in inside) / len(inside), sum(b.pressure for b in inside) / len(inside)

    def take(self, actor: str) -> None:
        """Answer the proposal with yes, or take what is there now."""
        window = self._window_now()
        judgement = self._run.judgement
        assert judgement is not None  # the run has looked
        offered = self._run.proposal is not None
        plateau = plateau_point(self._blocks_in(window), judgement, window=window)
        if self._run.stage in stages.BASELINES:
            self._take_baseline(plateau, judgement, actor)
        else:
            self._take_point(plateau, judgement, actor, offered)

    def _take_baseline(self, plateau: PlateauPoint, judgement: Judgement, actor: str) -> None:
        run = self._run
        sealed = run.stage == stages.SEALED_BASELINE
        baseline = Baseline(
            kind="sealed" if sealed else "room",
            # With the valve open the pressure is the room's: no lag joins it to the probe.
            temperature=plateau.temperature_corrected if sealed else plateau.temperature,
            pressure=plateau.pressure,
            u_temperature=plateau.u_temperature_corrected if sealed else plateau.u_temperature,
            u_pressure=plateau.u_pressure,
            start=plateau.window[0],
            end=plateau.window[1],
        )
        if sealed:
            run.record("leak check", "pressure held by the dry cell", self._dry_hold(baseline))
            cell = run.plan.cell
            run.judge.set_beta(*slopes_of_cell(run.liquid, baseline, cell.volume, cell.charge))
        run.record("baseline", f"{baseline.kind} baseline", asdict(baseline), actor=actor)
        run.go("baseline")

    def _dry_hold(self, baseline: Baseline) -> dict[str, float]:
        """Rate of the pressure of the shut, dry cell that its temperature does not explain.  [Pa/s]"""
        run = self._run
        held = [b for b in run.blocks if b.time >= run.stage_since]
        times = np.array([b.time for b in held])
        # Dry gas follows the temperature in proportion; what is left is leak, or a cell not at the bath's temperature.
        pressures = np.array([b.pressure * baseline.temperature / b.temperature for b in held])
        found = drift_of(times, pressures)
        rate, u_rate = (found.slope, found.u_slope) if found else (math.nan, math.nan)
        return {"rate": rate, "u_rate": u_rate, "held": run.time - run.stage_since}

    def _take_point(self, plateau: PlateauPoint, judgement: Judgement, actor: str, offered: bool) -> None:
        run = self._run
        number = run.book.next_number
        point = self._point(plateau, number, self._branch(plateau, run.stage), actor)
        text = f"point {number} taken" if offered else f"point {number} taken before it was proposed"
        self._judged[number] = judgement
        run.record("point", text, point_data(point), actor=actor)
        self._last = LastAnswer(run.time, plateau.temperature)
        run.proposal = None
        if run.stage == stages.RETURN:
            self.refit()
            run.go("return done")
            return
        run.progress.taken(plateau.temperature)
        self.refit()
        if run.progress.complete:
            run.go("plateaus done" if run.plan.bath.return_to is not None else "plateaus done, no return")

    def take_window(self, window: tuple[float, float], actor: str, reason: str) -> None:
        """Make a point of any stretch of a run that is reviewed, with what was known at its end."""
        run = self._run
        assert run.judgements is not None  # the run has looked
        # Blocks are contiguous from the first, so the place of a second follows from its index.
        place = min(max(int(window[1]) - run.blocks[0].index, 0), len(run.judgements) - 1)
        judgement = run.judgements[place]
        plateau = plateau_point(self._blocks_in(window), judgement, window=window)
        number = run.book.next_number
        self._judged[number] = judgement
        point = self._point(plateau, number, self._branch(plateau, self._stage_at(window[1])), actor, reason)
        run.record("point", f"point {number} taken afterwards", point_data(point), actor=actor)
        self.refit()

    def _stage_at(self, time: float) -> str:
        moves = [entry for entry in self._run.journal.of_kind("stage") if entry.time <= time]
        return moves[-1].data["to"] if moves else stages.SET_UP

    def _branch(self, plateau: PlateauPoint, stage: str) -> str:
        if stage == stages.RETURN:
            return "return"
        before = [p for p in self._run.points if p.used and p.end <= plateau.window[1]]
        latest = max(before, key=lambda p: p.end, default=None)
        # The drift within one plateau is no branch of its own.
        lower = 0.5 * self._run.plan.settle.separation
        return "down" if latest is not None and plateau.temperature_corrected < latest.temperature - lower else "up"

    def _point(self, plateau: PlateauPoint, number: int, branch: str, actor: str, reason: str = "") -> PointRecord:
        return PointRecord(
            number=number,
            label=f"Point {number}",
            branch=branch,
            start=plateau.window[0],
            end=plateau.window[1],
            temperature_probe=plateau.temperature,
            temperature=plateau.temperature_corrected,
            pressure=plateau.pressure,
            u_temperature=plateau.u_temperature_corrected,
            u_pressure=plateau.u_pressure,
            correlation=plateau.correlation,
            lag=plateau.lag,
            u_lag=plateau.u_lag,
            drift=plateau.drift,
            readings=sum(b.n_temperature + b.n_pressure for b in self._blocks_in(plateau.window)),
            taken_by=actor,
            reason=reason,
        )

    def change_window(self, number: int, window: tuple[float, float], reason: str) -> None:
        """Make a point again from other seconds, with the lag that was known when it was taken."""
        run = self._run
        old = next(p for p in run.points if p.number == number)
        judgement = self._judged.get(number) or run.judgement
        assert judgement is not None  # a point exists, so blocks were judged
        plateau = plateau_point(self._blocks_in(window), judgement, window=window)
        point = self._point(plateau, number, old.branch, old.taken_by, reason)
        run.record("point window", f"window of point {number} changed", point_data(point))
        self.refit()

    # Results and cautions

    def refit(self) -> None:
        """Fit the points as they stand and journal what came out, or why nothing did."""
        if not self._concludes:
            return
        run = self._run
        used = [p for p in run.points if p.used]
        if len(used) < RESULT_FROM:
            run.result, run.gain, run.refused, run.refusal = None, None, "", None
            return
        target = run.progress.target if run.stage == stages.PLATEAUS else None
        found, leak = trace_findings(run.plan, run.liquid, run.blocks, list(run.journal), run.baselines, run.points)
        outcome = fit_points(
            run.plan, run.liquid, run.baselines, run.points, next_target=target, run_findings=found, trace_leak=leak
        )
        run.result, run.gain = outcome.document, outcome.gain
        run.refused, run.refusal = outcome.refused, outcome.refusal
        if outcome.document is None:
            data: dict[str, Any] = {"refused": outcome.refused, "points": len(used)}
            if outcome.refusal is not None:
                data["refusal"] = outcome.refusal
            run.record("result", "no result: " + outcome.refused, data)
        else:
            run.record("result", "enthalpy of vaporisation", fit_summary(outcome.document, len(used)))

    def forecast_pressure(self, target: float | None) -> float:
        """Total pressure forecast for a bath temperature, NaN when there is nothing to forecast from.  [Pa]"""
        run = self._run
        if target is None:
            return math.nan
        # The air balance takes milliseconds and is asked for every second, but changes with the points only.
        key = (target, run.points, run.baselines)
        if self._forecast is None or self._forecast[0] != key:
            pressure, _ = forecasts(run.plan, run.liquid, run.baselines, run.points)
            self._forecast = (key, pressure(target))
        return self._forecast[1]

    def _limit_reached(self) -> float:
        """Bath temperature at which the pressure is forecast to come to the limit of the plan.  [K]"""
        run = self._run
        room = run.baseline("room")
        if room is None:
            return math.nan
        key = (run.points, run.baselines)
        if self._reached is None or self._reached[0] != key:
            limit = room.pressure + run.plan.limits.over_pressure
            _, reached = forecasts(run.plan, run.liquid, run.baselines, run.points)
            self._reached = (key, reached(limit))
        return self._reached[1]

    def _note_cautions(self, block: Block) -> None:
        run = self._run
        room = run.baseline("room")
        target = run.progress.target if run.stage in stages.POINTS else None
        before = run.blocks[-3].pressure if len(run.blocks) >= 3 else math.nan
        boiling = run.liquid.boiling_point.value if run.liquid and run.liquid.boiling_point else math.nan
        now = cautions_now(
            run.plan,
            run.stage,
            block.temperature,
            block.pressure,
            pressure_before=before,
            room_pressure=room.pressure if room else math.nan,
            boiling_point=boiling if run.stage in stages.POINTS else math.nan,
            target=target,
            target_pressure=self.forecast_pressure(target),
            limit_reached=self._limit_reached,
            evaporates=charge_that_evaporates(run.plan, run.liquid) if run.stage == stages.CHARGE else math.nan,
        )
        for caution in run.cautions.update(run.time, now):
            data: Mapping[str, Any] = {"code": caution.code, "severity": caution.severity, **caution.data}
            run.record("caution", TEXTS[caution.code], data)
