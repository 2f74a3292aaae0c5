"""The live answer as plain values, for the page in the browser; SI, and nan for what has no value."""

from __future__ import annotations

from typing import Any

from boostwright.report.form_json import fault_plain
from boostwright.solve.operating_point import Limit, NoSteadyState, Outcome
from boostwright.tasks.live import Live
from boostwright.tasks.names import QUANTITIES

__all__ = ["live_plain"]


def live_plain(live: Live) -> dict[str, Any]:
    """The whole answer."""
    q = live.quantities
    names = [name for name in QUANTITIES if name in q]
    solved = [not isinstance(outcome, NoSteadyState) for outcome in live.outcomes]
    return {
        "mode": live.mode,
        "speeds": live.speeds.tolist(),
        "quantities": {name: q[name].tolist() for name in names},
        "units": {name: QUANTITIES[name][0] for name in names},
        "outcomes": [_outcome(outcome) for outcome in live.outcomes],
        "binding": [name if good else None for name, good in zip(live.binding, solved, strict=True)],
        "limits": [_limit(limit, live) for limit in live.limits],
        "map": {
            "flow": q["corrected_flow"].tolist(),
            "pressure_ratio": q["compressor_pressure_ratio"].tolist(),
        },
        "figures": dict(live.figures),
        "faults": [],
        "warnings": [fault_plain(fault) for fault in live.warnings],
    }


def _outcome(outcome: Outcome) -> dict[str, Any]:
    if isinstance(outcome, NoSteadyState):
        return {
            "solved": False,
            "reason": outcome.reason,
            "nearest_limit": outcome.nearest_limit,
            "message": outcome.message,
        }
    return {"solved": True, "reason": None, "nearest_limit": None, "message": None}


def _limit(limit: Limit, live: Live) -> dict[str, Any]:
    value = live.quantities.get(limit.quantity)
    return {
        "name": limit.name,
        "quantity": limit.quantity,
        "words": limit.words,
        "unit": limit.unit,
        "source": limit.source,
        "status": limit.status,
        "margin": limit.margin,
        "margin_is": limit.margin_is,
        "use": limit.utilisation.tolist(),
        "value": None if value is None else value.tolist(),
        "limit": limit.limit.tolist(),
    }
