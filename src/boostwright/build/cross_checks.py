"""Checks of one value against another: what cannot be true together, and what is hardly meant.

Each check takes the values that could be read and says nothing where one of its own is missing.
"""

from __future__ import annotations

import math

from boostwright.build.breathing_checks import breathing_checks
from boostwright.build.build import Curve, Value
from boostwright.build.faults import Report
from boostwright.build.runner_checks import runner_checks
from boostwright.build.wheel_checks import compressor_checks, turbine_checks
from boostwright.errors import UnitError
from boostwright.units import format_quantity, qnh_from_station_pressure

__all__ = ["CROSS_CHECKS"]

Values = dict[str, dict[str, Value]]

_QNH_POSSIBLE = (87e3, 108.6e3)  # lowest and highest sea-level pressures on record, from memory
_QNH_USUAL = (95e3, 105e3)
_NO_BOOST = 1.005  # a target below this share of ambient asks for none
_SOFT_SPRING = 0.5  # of the highest gauge target, common practice
_PISTON_SPEED_ASK = 25.0  # m/s; common practice for stock internals


def _si(sections: Values, section: str, key: str) -> float | None:
    """A number, None when it could not be read."""
    value = sections.get(section, {}).get(key)
    return value.si if value else None


def _text(sections: Values, section: str, key: str) -> str | None:
    """A word, None when it could not be read."""
    value = sections.get(section, {}).get(key)
    return value.text if value else None


def _written(sections: Values, section: str, key: str) -> str:
    """What stands there, for a message."""
    return sections[section][key].written


def _show(value: float, kind: str, unit: str | None = None) -> str:
    return format_quantity(value, kind, unit)


def _station_pressure_fits_altitude(sections: Values, report: Report) -> None:
    """QNH typed as station pressure shows as an impossible sea-level pressure."""
    pressure = sections.get("ambient", {}).get("pressure")
    altitude = sections.get("ambient", {}).get("altitude")
    if pressure is None or pressure.si is None or altitude is None or altitude.si is None:
        return
    if pressure.basis != "station" or altitude.origin == "default":
        return
    try:
        sea_level = qnh_from_station_pressure(pressure.si, altitude.si)
    except UnitError:
        return
    path = ("ambient", "pressure")
    message = f"as station pressure at {_show(altitude.si, 'length', 'm')} would be "
    message += f"{_show(sea_level, 'pressure')} at sea level"
    remedy = 'If it is from a weather report, write pressure_basis = "QNH"; else check the altitude.'
    usual = f"{_show(_QNH_USUAL[0], 'pressure')} to {_show(_QNH_USUAL[1], 'pressure')} at sea level"
    if sea_level > _QNH_POSSIBLE[1]:
        report.fault(path, pressure.raw, f"{message}, higher than ever seen.", usual, remedy)
    elif not _QNH_USUAL[0] <= sea_level <= _QNH_USUAL[1]:
        report.warn(path, pressure.raw, f"{message}.", usual, remedy)


def _mode_has_what_it_needs(sections: Values, report: Report) -> None:
    """A target to hold, a gate to open."""
    mode = _text(sections, "prediction", "mode")
    gate = _text(sections, "wastegate", "kind")
    path = ("prediction", "mode")
    if mode == "target" and "target" not in sections.get("boost_control", {}):
        remedy = "Write boost_control.target, or another mode."
        if ("boost_control", "target") not in report.broken and not _faulty(report, "boost_control.target"):
            report.fault(path, mode, "has no target to hold.", remedy=remedy)
    if gate == "none" and mode in ("spring", "target", "gate-open"):
        remedy = 'Write mode = "gate-shut" or "no-turbo", or describe a gate.'
        report.fault(path, mode, "needs a wastegate, and its kind is none.", remedy=remedy)


def _target_is_boost(sections: Values, report: Report) -> None:
    """An absolute target at or below ambient is a gauge pressure typed as absolute."""
    target = sections.get("boost_control", {}).get("target")
    ambient = _si(sections, "ambient", "pressure")
    if target is None or target.curve is None or ambient is None:
        return
    lowest = min(target.curve.value_points)
    if lowest > ambient * _NO_BOOST:
        return
    path = ("boost_control", "target")
    as_gauge = _show(lowest + ambient, "pressure")
    message = f"asks for {_show(lowest, 'pressure')} absolute, and ambient is "
    message += f"{_show(ambient, 'pressure')}: no boost."
    if target.basis == "absolute":
        remedy = f"If a gauge is meant, write gauge; it would be {as_gauge} absolute."
    else:
        remedy = "A target in gauge is above ambient: leave the minus sign out."
    report.fault(path, target.raw, message, "above ambient", remedy)


def _spring_below_target(sections: Values, report: Report) -> None:
    """The spring sets the least boost; a target that lies below it everywhere cannot be held.

    One that lies below it at some speeds can: where the wheel gives less than the spring holds the gate is shut
    whatever is asked, and a gate opens beside its bench rating. The prediction says where the spring holds instead.
    """
    spring = sections.get("wastegate", {}).get("spring_rating")
    target = sections.get("boost_control", {}).get("target")
    ambient = _si(sections, "ambient", "pressure")
    if spring is None or spring.si is None or target is None or target.curve is None or ambient is None:
        return
    lowest, highest = min(target.curve.value_points), max(target.curve.value_points)
    if lowest <= ambient * _NO_BOOST:
        return  # said by the check of the target
    if spring.si < _SOFT_SPRING * (highest - ambient):
        gauge = f"{_show(highest - ambient, 'pressure')} gauge"
        message = f"is {100.0 * spring.si / (highest - ambient):.0f} % of the highest boost asked, {gauge}: little is "
        message += "left to hold the valve shut against the exhaust, and boost may fall away at high speed."
        usual = "50 to 70 % of the highest target (common practice)"
        remedy = "Fit a stiffer spring, or bring the signal to the upper chamber too; predict shows whether it holds."
        report.warn(("wastegate", "spring_rating"), spring.raw, message, usual, remedy)
    if spring.si + ambient <= lowest:
        return
    gauge = f"{_show(lowest - ambient, 'pressure')} gauge"
    message = f"is {_show(spring.si + ambient, 'pressure')} absolute at this ambient pressure, above the "
    message += f"lowest boost asked, {_show(lowest, 'pressure')} absolute ({gauge})."
    remedy = "Fit a softer spring, or ask for no less than the spring gives."
    held_somewhere = spring.si + ambient <= highest
    if held_somewhere:
        remedy += " Where the wheel gives less than that it does no harm; elsewhere predict names the spring."
    in_target = _text(sections, "prediction", "mode") == "target"
    say = report.fault if in_target and not held_somewhere else report.warn
    say(("wastegate", "spring_rating"), spring.raw, message, f"up to {gauge}", remedy)


def _boost_limit_above_target(sections: Values, report: Report) -> None:
    """A limit below the target binds everywhere."""
    limit = sections.get("limits", {}).get("boost")
    target = sections.get("boost_control", {}).get("target")
    if limit is None or limit.si is None or target is None or target.curve is None:
        return
    highest = max(target.curve.value_points)
    if highest > limit.si:
        message = f"is {_show(limit.si, 'pressure')} absolute, below the highest target, "
        message += f"{_show(highest, 'pressure')}."
        report.warn(("limits", "boost"), limit.raw, message)


def _gate_fits_its_pipes(sections: Values, report: Report) -> None:
    """Valve, branch and collector against each other."""
    if _text(sections, "wastegate", "kind") not in ("poppet", "flap"):
        return
    valve = _si(sections, "wastegate", "valve_diameter")
    branch = _si(sections, "wastegate", "branch_bore")
    collector = _si(sections, "exhaust_manifold", "collector_bore")
    lift = _si(sections, "wastegate", "full_lift")
    diaphragm = _si(sections, "wastegate", "diaphragm_diameter")

    def warn(key: str, message: str, remedy: str = "") -> None:
        report.warn(("wastegate", key), _written(sections, "wastegate", key), message, remedy=remedy)

    slack = 1.001
    if valve and branch and valve > branch * slack:
        bore = _written(sections, "wastegate", "branch_bore")
        remedy = "The branch then limits the flow. Is it the flange that was measured?"
        warn("valve_diameter", f"is larger than the branch that feeds it ({bore}).", remedy)
    if branch and collector and branch > collector * slack:
        bore = _written(sections, "exhaust_manifold", "collector_bore")
        warn("branch_bore", f"is larger than the collector it leaves ({bore}).")
    if valve is None:
        return
    head = _written(sections, "wastegate", "valve_diameter")
    if lift and _text(sections, "wastegate", "kind") == "poppet" and lift > valve / 2:
        remedy = "Beyond a quarter of the diameter the seat is the smaller area."
        warn("full_lift", f"is more than half the valve ({head}).", remedy)
    if diaphragm and diaphragm < valve:
        remedy = "The exhaust would then open the valve before boost does."
        warn("diaphragm_diameter", f"is smaller than the valve ({head}).", remedy)


def _curves_cover_the_speeds(sections: Values, report: Report) -> None:
    """Outside a table its end value holds; say so where it matters."""
    speeds = sections.get("prediction", {}).get("speeds")
    if speeds is None or not speeds.speeds:
        return
    low, high = speeds.speeds[0], speeds.speeds[-1]
    for section, key in (
        ("breathing", "volumetric_efficiency"),
        ("breathing", "known_torque"),
        ("breathing", "known_power"),
        ("fuel", "lambda_target"),
    ):
        value = sections.get(section, {}).get(key)
        if value is None or value.curve is None or value.curve.is_constant:
            continue
        missing = _outside(value.curve, low, high)
        if missing:
            message = f"says nothing {missing}; the end value is taken there."
            report.warn((section, key), value.raw, message, remedy="Add points, or predict fewer speeds.")


def _outside(curve: Curve, low: float, high: float) -> str:
    """Which part of the speeds a curve does not cover, by more than a step of a table."""
    slack = 1.05
    first, last = curve.speed_points[0], curve.speed_points[-1]
    parts = []
    if low * slack < first:
        parts.append(f"below {_show(first, 'rotational_speed')}")
    if high > last * slack:
        parts.append(f"above {_show(last, 'rotational_speed')}")
    return " and ".join(parts)


def _speeds_within_limit(sections: Values, report: Report) -> None:
    """Predicting above the engine's own limit."""
    speeds = sections.get("prediction", {}).get("speeds")
    limit = _si(sections, "engine", "speed_limit")
    if speeds is None or not speeds.speeds or limit is None:
        return
    if speeds.speeds[-1] > limit * 1.0001:
        message = f"goes to {_show(speeds.speeds[-1], 'rotational_speed')}, above engine.speed_limit "
        message += f"({_written(sections, 'engine', 'speed_limit')})."
        report.warn(("prediction", "speeds"), speeds.raw, message)


def _piston_speed(sections: Values, report: Report) -> None:
    """Stroke and speed limit together."""
    stroke, limit = _si(sections, "engine", "stroke"), _si(sections, "engine", "speed_limit")
    if stroke is None or limit is None:
        return
    speed = 2 * stroke * limit / (2 * math.pi)
    if speed > _PISTON_SPEED_ASK:
        message = f"with this stroke is a mean piston speed of {_show(speed, 'velocity')}."
        usual = f"up to {_show(_PISTON_SPEED_ASK, 'velocity')} with stock internals (common practice)"
        report.warn(("engine", "speed_limit"), _written(sections, "engine", "speed_limit"), message, usual)


def _faulty(report: Report, key: str) -> bool:
    """Whether a key has a fault already, so that nothing more need be said."""
    return any(fault.key.startswith(key) for fault in report.faults)


CROSS_CHECKS = (
    _station_pressure_fits_altitude,
    _mode_has_what_it_needs,
    _target_is_boost,
    _spring_below_target,
    _boost_limit_above_target,
    compressor_checks,
    turbine_checks,
    breathing_checks,
    runner_checks,
    _gate_fits_its_pipes,
    _curves_cover_the_speeds,
    _speeds_within_limit,
    _piston_speed,
)
"""Every check, in the order in which they are made."""
