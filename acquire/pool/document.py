"""The outcome as one JSON document in SI."""

from __future__ import annotations

import math
from dataclasses import asdict
from typing import Any

from acquire.pool.outcome import BenchRow, PoolOutcome
from analysis.pooling.curve import PARAMETERS
from analysis.pooling.likelihood import LikelihoodConsensus


def pool_document(outcome: PoolOutcome) -> dict[str, Any]:
    """Everything of an outcome but the series; J/mol, Pa, K."""
    return _finite(
        {
            "liquid": outcome.liquid,
            "air": outcome.air,
            "simulated": outcome.simulated,
            "runs": outcome.runs,
            "benches": len(outcome.benches),
            "consensus": _consensus(outcome.consensus),
            "consensus_with_all": _consensus(outcome.with_all),
            "for_comparison": {
                "plain_average": {"value": outcome.average, "standard_uncertainty": outcome.average_u},
                "weighted_as_independent": {"value": outcome.weighted, "standard_uncertainty": outcome.weighted_u},
                "table": {
                    "value": outcome.reference,
                    "standard_uncertainty": outcome.u_reference,
                    "source": outcome.reference_source,
                },
            },
            "robust": asdict(outcome.robust) if outcome.robust else None,
            "precision": _precision(outcome),
            "tests": [
                {
                    "name": test.name,
                    "statistic": test.statistic,
                    "critical_5": test.critical_5,
                    "critical_1": test.critical_1,
                    "suspects": [outcome.consistency.benches[i] for i in test.suspects],
                    "outlier": test.outlier,
                    "straggler": test.straggler,
                }
                for test in outcome.consistency.tests
            ]
            if outcome.consistency
            else [],
            "outlying": [
                {
                    "bench": one.bench,
                    "reason": one.reason,
                    "other_reasons": list(one.other_reasons),
                    "p_value": one.p_value,
                    "text": one.text,
                    "advice": one.advice,
                    "leak_rate": one.scores.leak_rate,
                    "air_error": one.scores.air_error,
                    "room_difference": one.scores.room_difference,
                }
                for one in outcome.outlying
            ],
            "curve": _curve(outcome),
            "air_share": asdict(outcome.air_share) if outcome.air_share else None,
            "by_bench": [_bench(row) for row in outcome.benches],
            "left_out": [{"reason": reason, "files": count} for reason, count in outcome.left_out],
        }
    )


def _consensus(found: LikelihoodConsensus) -> dict[str, Any]:
    return asdict(found)


def _precision(outcome: PoolOutcome) -> dict[str, Any] | None:
    found = outcome.precision
    if found is None:
        return None
    return {
        "repeatability": found.repeatability,
        "between_benches": found.between,
        "reproducibility": found.reproducibility,
        "repeatability_limit": found.repeatability_limit,
        "reproducibility_limit": found.reproducibility_limit,
        "mean": found.mean,
        "u_mean": found.u_mean,
    }


def _curve(outcome: PoolOutcome) -> dict[str, Any] | None:
    pooled = outcome.curve
    if pooled is None:
        return None
    values = dict(zip(PARAMETERS, pooled.curve.values().tolist(), strict=True))
    return {
        "temperature": pooled.curve.temperature,
        **{name: {"value": value, "standard_uncertainty": pooled.u(name)} for name, value in values.items()},
        "chi2": pooled.chi2,
        "dof": pooled.dof,
    }


def _bench(row: BenchRow) -> dict[str, Any]:
    return {
        "bench": row.bench,
        "runs": row.runs,
        "mean": row.mean,
        "standard_uncertainty": row.u,
        "scatter": row.deviation,
        "z": row.z,
        "zeta": row.zeta,
        "e_n": row.e_n,
        "h": row.h,
        "k": row.k,
        "trend_per_year": asdict(row.trend) if row.trend else None,
        "signals": [asdict(signal) for signal in row.chart.signals] if row.chart else [],
        "outlying": row.outlying.reason if row.outlying else None,
    }


def _finite(value: Any) -> Any:
    if isinstance(value, dict):
        return {str(key): _finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(item) for item in value]
    if hasattr(value, "item"):
        return _finite(value.item())
    if isinstance(value, float) and not math.isfinite(value):
        return None
    return value
