"""The procedure as the person sees it: its steps, and the next practical act; pure functions of a run."""

from __future__ import annotations

import math

from acquire import stages
from acquire.fitting import saturates_unswirled
from acquire.record import PointRecord
from acquire.run import Run
from acquire.snapshot import Instruction, StepView
from acquire.water import bath_content, water_for


def steps(run: Run) -> tuple[StepView, ...]:
    """Every step of the plan in order, with its state."""
    views: list[StepView] = []
    position = stages.ORDER.index(run.stage)
    for stage in stages.ORDER[1:-1]:
        if stage == stages.RETURN and run.plan.bath.return_to is None:
            continue
        if stage == stages.PLATEAUS:
            views.extend(_plateau_steps(run))
            continue
        where = stages.ORDER.index(stage)
        state = "current" if where == position else "done" if where < position else "to do"
        if stage == stages.SEALED_BASELINE:
            views.append(_leak_check(run, state))
            if state == "current" and views[-1].state == "current":
                state = "to do"
        target = run.plan.bath.return_to if stage == stages.RETURN else None
        views.append(StepView(stage, stage, state, target, _detail(run, stage)))
    return tuple(views)


def _leak_check(run: Run, state: str) -> StepView:
    """The dry hold with the valve shut, the first half of the sealed baseline's stage."""
    left = seconds_left(run) if run.stage == stages.SEALED_BASELINE else None
    if state == "current" and not left:
        state = "done"
    checks = run.journal.of_kind("leak check")
    detail = {"seconds_left": left} if left and state == "current" else {}
    if checks and state == "done" and checks[-1].data.get("rate") is not None:
        detail = {"leak_rate": checks[-1].data["rate"]}
    return StepView("leak check", stages.SEALED_BASELINE, state, None, detail)


def _detail(run: Run, stage: str) -> dict[str, float]:
    kind = {stages.ROOM_BASELINE: "room", stages.SEALED_BASELINE: "sealed"}.get(stage)
    baseline = run.baseline(kind) if kind else None
    if baseline is not None:
        return {"temperature": baseline.temperature, "pressure": baseline.pressure}
    if stage == run.stage and (left := seconds_left(run)) is not None:
        return {"seconds_left": left}
    if stage == stages.RETURN:
        returned = [p for p in run.points if p.branch == "return"]
        if returned:
            return {"temperature": returned[-1].temperature, "pressure": returned[-1].pressure}
    return {}


def _plateau_steps(run: Run) -> list[StepView]:
    views = []
    taken = iter([p for p in run.points if p.branch != "return"])
    at = stages.ORDER.index(run.stage) - stages.ORDER.index(stages.PLATEAUS)
    for index in range(run.progress.total):
        point: PointRecord | None = next(taken, None)
        if at > 0:
            state = "done" if index < run.progress.done else "skipped"
        elif at < 0:
            state = "to do"
        else:
            state = "done" if index < run.progress.done else "current" if index == run.progress.done else "to do"
        detail = {"temperature": point.temperature, "pressure": point.pressure} if point and state == "done" else {}
        views.append(StepView(f"plateau-{index + 1}", stages.PLATEAUS, state, run.progress.target_of(index), detail))
    return views


def seconds_left(run: Run) -> float | None:
    """Of the waiting time that the plan sets for this stage.  [s]"""
    settle = run.plan.settle
    hold = {
        stages.ROOM_BASELINE: settle.baseline,
        stages.SOAK: settle.soak,
        stages.SEALED_BASELINE: settle.leak_hold,
    }.get(run.stage)
    if hold is None:
        return None
    return max(hold - (run.time - run.stage_since), 0.0)


def instruction(run: Run) -> Instruction:
    """What the person does next."""
    if run.stage == stages.SET_UP:
        return Instruction("begin")
    if run.stage == stages.CLOSED:
        return Instruction("none")
    if run.stage == stages.VENT:
        return Instruction("vent")
    if run.stage == stages.CHARGE:
        sealed = run.baseline("sealed")
        unswirled = saturates_unswirled(run.plan, run.liquid, sealed.temperature if sealed else 295.15)
        return Instruction("charge", saturates_in=unswirled)
    if run.proposal is not None:
        return Instruction("take")
    if run.stage == stages.SOAK:
        left = seconds_left(run)
        return Instruction("wait", seconds_left=left) if left else Instruction("close_valve")
    if run.stage in stages.BASELINES:
        return Instruction("wait", seconds_left=_until_level(run))
    return _bath_instruction(run)


def _until_level(run: Run) -> float | None:
    """Middle of the forecast of the later channel, but not below what the plan makes one wait anyway.  [s]"""
    least = seconds_left(run)
    forecasts = (
        [state.level_in[1] for state in run.judgement.channels.values() if state.level_in] if run.judgement else []
    )
    known = [value for value in (least, *forecasts) if value is not None]
    return max(known, default=None)


def forming_since(run: Run) -> float:
    """When the plateau that is waited for could begin: bath or stage changed, or the person decided.  [s]"""
    return max(run.progress.changed_at, run.stage_since, run.decided_at)


def _bath_instruction(run: Run) -> Instruction:
    used = [p for p in run.points if p.used]
    waiting = not run.progress.same_plateau
    if run.stage == stages.RETURN:
        target = run.plan.bath.return_to
        kind = "cool"
    else:
        target = run.progress.target
        kind = "warm"
        if target is None:  # the first plateau, bath as found
            waiting = True
    if waiting:
        return Instruction("wait", target=target, seconds_left=_until_level(run))
    assert target is not None  # a step that is not waited for has a bath temperature to reach
    now = run.blocks[-1].temperature
    temperature = used[-1].temperature_probe if math.isnan(now) else now
    expected = run.forecast_pressure(target)
    room = run.baseline("room")
    water = water_for(
        run.plan.bath,
        bath_content(run.plan.bath, run.journal),
        temperature,
        target,
        drift=used[-1].drift if used else math.nan,
        room=room.temperature if room else 295.15,
    )
    return Instruction(
        kind,
        target=target,
        water_volume=water.volume if water else None,
        water_temperature=water.temperature if water else None,
        draw_off=water.draw_off if water and water.draw_off > 0 else None,
        expected_pressure=None if math.isnan(expected) else expected,
    )
