"""A plan as JSON, in SI throughout; described by docs/reference/plan.schema.json."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable, Mapping
from typing import Any

from boostwright import __version__
from boostwright.report.prediction_json import prediction_document
from boostwright.solve.operating_point import Limit
from boostwright.tasks.plan_result import (
    FloorHold,
    PartGain,
    Plan,
    PlanDay,
    PlanRisk,
    Release,
    Shortfall,
    SpringAdvice,
    SpringChoice,
)

__all__ = ["SCHEMA_VERSION", "plan_document", "plan_json"]

SCHEMA_VERSION = 1
"""Goes up by one when a reader of the old form would misread the new one."""


def _number(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else float(value)


def _numbers(values: Iterable[float]) -> list[float | None]:
    return [_number(float(value)) for value in values]


def _flags(values: Iterable[Any]) -> list[bool]:
    return [bool(value) for value in values]


def _many(values: Mapping[str, Iterable[float]]) -> dict[str, list[float | None]]:
    return {name: _numbers(each) for name, each in values.items()}


def _limit(limit: Limit) -> dict[str, Any]:
    return {
        "name": limit.name,
        "quantity": limit.quantity,
        "words": limit.words,
        "unit": limit.unit or "1",
        "source": limit.source,
        "status": limit.status,
        "margin": _number(limit.margin),
        "margin_is": limit.margin_is,
        "limit": _numbers(limit.limit),
        "utilisation": _numbers(limit.utilisation),
    }


def _day(day: PlanDay) -> dict[str, Any]:
    return {
        "name": day.name,
        "words": day.words,
        "settings": list(day.settings),
        "spike": day.spike,
        "pressure_amb": day.pressure_amb,
        "held": day.held,
        "worst": list(day.worst),
        "worst_use": _numbers(day.worst_use),
        "spring_boost": _numbers(day.spring_boost),
        "quantities": {
            name: {"unit": values.unit or "1", "values": _numbers(values.values)}
            for name, values in day.quantities.items()
        },
        "limits": [_limit(limit) for limit in day.limits],
    }


def _risk(risk: PlanRisk) -> dict[str, Any]:
    return {
        "stated": risk.stated,
        "found": risk.found,
        "met": risk.met,
        "samples": risk.samples,
        "seed": risk.seed,
        "spike": risk.spike,
        "lowered": _numbers(risk.lowered),
        "share_over": _many(risk.share_over),
        "words": risk.words,
    }


def _spring_choice(choice: SpringChoice) -> dict[str, Any]:
    return {
        "rating": choice.rating,
        "share": _number(choice.share),
        "held": _numbers(choice.held),
        "above": _flags(choice.above),
        "reaches": _flags(choice.reaches),
    }


def _spring(spring: SpringAdvice) -> dict[str, Any]:
    return {
        "basis": spring.basis,
        "words": spring.words,
        "fitted": _spring_choice(spring.fitted),
        "chosen": None if spring.chosen is None else _spring_choice(spring.chosen),
        "tried": [_spring_choice(choice) for choice in spring.tried],
    }


def _hold(hold: FloorHold) -> dict[str, Any]:
    return {
        "way": hold.way,
        "words": hold.words,
        "unit": hold.unit,
        "speeds": _numbers(hold.speeds),
        "binding": list(hold.binding),
        "holds": _flags(hold.holds),
        "setting": _numbers(hold.setting),
        "still_over": list(hold.still_over),
        "before": _many(hold.before),
        "after": _many(hold.after),
    }


def _release(release: Release) -> dict[str, Any]:
    return {
        "limit": release.limit,
        "words": release.words,
        "target": _numbers(release.target),
        "torque_gain": _numbers(release.torque),
        "power_gain": _numbers(release.power),
        "peak_torque_gain": _number(release.peak_torque_gain),
        "peak_power_gain": _number(release.peak_power_gain),
        "next_binding": list(release.next_binding),
    }


def _part(part: PartGain) -> dict[str, Any]:
    return {
        "name": part.name,
        "settings": list(part.settings),
        "price": _number(part.price),
        "currency": part.currency,
        "target": _numbers(part.target),
        "torque_gain": _numbers(part.torque),
        "power_gain": _numbers(part.power),
        "peak_torque_gain": _number(part.peak_torque_gain),
        "peak_power_gain": _number(part.peak_power_gain),
        "mean_power_gain": _number(part.mean_power_gain),
        "power_per_price": _number(part.power_per_price),
        "releases": list(part.releases),
        "fault": part.fault,
    }


def _wanted(short: Shortfall) -> dict[str, Any]:
    return {
        "quantity": short.quantity,
        "unit": short.unit,
        "source": short.source,
        "wanted": _numbers(short.wanted),
        "planned": _numbers(short.planned),
        "binding": list(short.binding),
    }


def plan_document(plan: Plan) -> dict[str, Any]:
    """The plan as plain dicts, lists, texts, numbers and None; lists along the speeds have one length."""
    return {
        "program": "boostwright",
        "version": __version__,
        "schema_version": SCHEMA_VERSION,
        "build": plan.name,
        "settings": list(plan.settings),
        "speeds": _numbers(plan.speeds),
        "pressure_amb": plan.pressure_amb,
        "step": plan.step,
        "target": _numbers(plan.target),
        "target_gauge": _numbers(plan.target_gauge),
        "ceiling": _numbers(plan.ceiling),
        "floor": _numbers(plan.floor),
        "spool": _numbers(plan.spool),
        "binding": list(plan.binding),
        "binding_day": list(plan.binding_day),
        "margin": _numbers(plan.margin),
        "knock": {"code": plan.knock.code, "words": plan.knock.words, "asks": plan.knock.asks},
        "days": [_day(day) for day in plan.days],
        "risk": None if plan.risk is None else _risk(plan.risk),
        "bands": {
            name: {"low": _numbers(band.low), "high": _numbers(band.high)}
            for name, band in plan.bands.items()
        },
        "spring": None if plan.spring is None else _spring(plan.spring),
        "base_duty": _many(plan.duty),
        "holds": [_hold(hold) for hold in plan.holds],
        "releases": [_release(release) for release in plan.releases],
        "parts": [_part(part) for part in plan.parts],
        "wanted": [_wanted(short) for short in plan.wanted],
        "remarks": [
            {
                "code": remark.code,
                "message": remark.message,
                "value": _number(remark.value),
                "unit": remark.unit,
                "status": remark.status,
            }
            for remark in plan.remarks
        ],
        "prediction": prediction_document(plan.prediction),
    }


def plan_json(plan: Plan) -> str:
    """The plan as JSON text with a newline at its end; a missing number is null."""
    return json.dumps(plan_document(plan), indent=1, allow_nan=False) + "\n"
