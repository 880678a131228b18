"""One file into one `RunSummary`: a run file (as it is, or decided again) or a table of points.

Whatever is wrong with a file that a person can meet becomes a summary "left out" with the reason.
"""

from __future__ import annotations

import datetime
import hashlib
import math
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from acquire.finding_words import error_words, refusal_words
from acquire.fitting import cell_setup, fit_point, sealed_baseline, sensor_priors
from acquire.own_liquids import find_liquid
from acquire.plan import RunPlan, stored_plan
from acquire.points_csv import PointsCsvError, read_points
from acquire.pool.settings import PoolSettings
from acquire.pool.summary import LEFT_OUT, AirPoints, Linearised, RunSummary
from acquire.record import RunRecord
from acquire.runfile.errors import RunFileError
from acquire.runfile.reader import read_run
from acquire.trace_findings import stored_trace_findings
from analysis.findings import Finding
from analysis.liquids import Liquid
from analysis.pooling.blindspots import residuals_about
from analysis.pooling.curve import PooledRun, linearise, start_curve
from analysis.pooling.evidence import result_of
from analysis.refusal import AnalysisError
from analysis.trapped_air import SealedBaseline
from drivers.errors import DriverError
from drivers.units import parse_quantity

HDF5 = b"\x89HDF\r\n\x1a\n"
RUN_FILES = (".h5", ".hdf5")
#: What can be wrong with a file or with the run in it, each with a sentence for people.
FAULTS = (RunFileError, AnalysisError, PointsCsvError, DriverError, OSError)


def summarise(path: str, settings: PoolSettings) -> RunSummary:
    """Read, fit and sum up one file.  Errors that are not the file's fault are raised."""
    try:
        content, is_run = _content(Path(path))
        if is_run or Path(path).suffix.lower() in RUN_FILES:  # what only has the name is refused as a run file
            return replace(_of_run(read_run(path), path, settings), content=content)
        return replace(_of_table(path, settings), content=content)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        return RunSummary(
            path, status=LEFT_OUT, reason=f"its run plan does not fit this version: {where}: {first['msg']}"
        )
    except FAULTS as error:
        return RunSummary(path, status=LEFT_OUT, reason=error_words(error))


def _content(path: Path) -> tuple[str, bool]:
    """SHA-256 of the file, and whether it is an HDF5 file."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        first = file.read(1 << 20)
        digest.update(first)
        while chunk := file.read(1 << 20):
            digest.update(chunk)
    return digest.hexdigest(), first.startswith(HDF5)


def content_of(path: str) -> str:
    """SHA-256 of a file, empty where it cannot be read (the reader will say why)."""
    try:
        return _content(Path(path))[0]
    except OSError:
        return ""


def _of_run(record: RunRecord, path: str, settings: PoolSettings) -> RunSummary:
    plan = stored_plan(record.plan)
    bench = plan.bench or Path(path).resolve().parent.name
    known = RunSummary(
        path,
        run=Path(path).stem,
        bench=bench,
        liquid=plan.liquid,
        air=plan.air.mode,
        simulated=record.truth is not None,
        start=_seconds(record.start_time),
    )
    if plan.mixture:
        return known.left_out("the sample is a mixture; pool pure liquids")
    if record.end_time is None:
        return known.left_out("the run is not closed; close it, or mend it with 'satline verify --repair'")
    liquid = find_liquid(settings.liquid or plan.liquid)
    known = replace(known, liquid=liquid.name if liquid else "unknown")
    plan = with_common(plan, settings)
    baselines, points, journal, blocks = record.baselines, record.points, record.journal, None
    if settings.from_traces:
        from acquire.replay import Replay, with_settings

        again = with_settings(plan, settings.settle) if settings.settle else plan
        again = again.model_copy(update={"settle": again.settle.model_copy(update={"automatic": True})})
        run = Replay(record, liquid, plan=again, take_given=False, points_only=True).to()
        baselines, points = tuple(run.baselines), tuple(run.points)
        journal, blocks = tuple(run.journal), run.blocks
    decided = replace(record, baselines=baselines, points=points, journal=journal)
    found, leak = stored_trace_findings(decided, plan, liquid, points, blocks)
    room = next((b.pressure for b in baselines if b.kind == "room"), math.nan)
    pooled = PooledRun(
        known.run,
        bench,
        [fit_point(point) for point in points],
        sealed_baseline(baselines),
        cell_setup(plan, baselines),
        sensor_priors(plan),
        plan.air.mode,
        labels_of(settings, known.run, bench),
    )
    return fitted(replace(known, room_pressure=room), pooled, liquid, found, leak)


def _of_table(path: str, settings: PoolSettings) -> RunSummary:
    known = RunSummary(path, run=Path(path).stem, bench=Path(path).resolve().parent.name)
    points = read_points(path)
    if settings.liquid is None or settings.air is None:
        return known.left_out(
            "a table does not say what was measured and how its air was treated; give --liquid and --air"
        )
    liquid = find_liquid(settings.liquid)
    mode, _, values = settings.air.partition("=")
    baseline = None
    if values:
        found = {quantity: value for value, quantity in map(parse_quantity, values.split(","))}
        if set(found) != {"temperature", "pressure"}:
            return known.left_out(f"--air {settings.air!r} does not give a temperature and a pressure")
        baseline = SealedBaseline(found["temperature"], found["pressure"])
    known = replace(known, liquid=liquid.name if liquid else "unknown", air=mode)
    plan = with_common(RunPlan(), settings)
    pooled = PooledRun(
        known.run,
        known.bench,
        points,
        baseline,
        cell_setup(plan, ()),
        sensor_priors(plan),
        mode,
        labels_of(settings, known.run, known.bench),
    )
    return fitted(known, pooled, liquid)


def fitted(
    known: RunSummary,
    run: PooledRun,
    liquid: Liquid | None,
    run_findings: Sequence[Finding] = (),
    trace_leak: float | None = None,
) -> RunSummary:
    """The summary completed with what the fit says, or left out with why it refused.

    `run_findings` and `trace_leak` are what the traces showed, as for `fit_enthalpy`.
    """
    from analysis.enthalpy import fit_enthalpy

    known = replace(known, points=sum(point.used for point in run.points))
    try:
        fit = fit_enthalpy(
            run.points, baseline=run.baseline, setup=run.setup, sensors=run.sensors, liquid=liquid, air=run.air,
            run_findings=run_findings, trace_leak=trace_leak,
        )  # fmt: skip
    except AnalysisError as refused:
        return known.left_out(error_words(refused))
    known = replace(known, findings=tuple(finding.code for finding in fit.findings))
    if fit.refusals:
        return known.left_out(refusal_words(fit.refusals))
    result = result_of(run, fit.fit)
    linear, air_points = None, AirPoints()
    if liquid is not None and liquid.known:
        start = start_curve(liquid)
        linear = Linearised.of(linearise(run, liquid, start))
        about = residuals_about(run, liquid, start)
        air_points = AirPoints(
            tuple(about.share.tolist()), tuple(about.residual.tolist()), tuple(about.temperature.tolist())
        )
    interval = fit.at_298_15.interval_95
    return replace(
        known,
        value=result.value,
        u_own=result.u_own,
        interval_95=(interval[0], interval[1]) if interval else (math.nan, math.nan),
        shared=tuple((carrier, label, part) for (carrier, label), part in sorted(result.shared.items())),
        curve=linear,
        air_points=air_points,
    )


def with_common(plan: RunPlan, settings: PoolSettings) -> RunPlan:
    """The plan with the uncertainties that are applied to all runs; what was measured of this run stays its own."""
    if settings.plan is None:
        return plan
    common = stored_plan(settings.plan)
    cell: dict[str, Any] = {
        name: getattr(common.cell, name) for name in ("u_volume", "u_tubing", "u_charge", "u_gas_above_water")
    }
    return plan.model_copy(
        update={
            "sensors": common.sensors,
            "settle": common.settle,
            "cell": plan.cell.model_copy(update=cell),
            "room": plan.room.model_copy(update={"u_humidity": common.room.u_humidity}),
        }
    )


def labels_of(settings: PoolSettings, run: str, bench: str) -> dict[str, str]:
    """Carriers named for this bench, those named for this run last."""
    return {**settings.sharing.get(bench, {}), **settings.sharing.get(run, {})}


def _seconds(iso: str) -> float:
    try:
        return datetime.datetime.fromisoformat(iso).timestamp()
    except ValueError:
        return math.nan
