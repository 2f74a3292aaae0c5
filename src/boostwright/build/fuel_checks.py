"""Checks of the fuel, what brings it and what lights it, and of the keys that make sense together only."""

from __future__ import annotations

from itertools import pairwise

from boostwright.build.build import Value
from boostwright.build.faults import Report
from boostwright.build.spark_checks import spark_checks
from boostwright.units import format_quantity, unit_names

__all__ = ["fuel_checks"]

Values = dict[str, dict[str, Value]]

_SMALLEST_INJECTOR, _LARGEST_INJECTOR = 2e-4, 0.15  # kg/s, of one held open


def fuel_checks(sections: Values, report: Report) -> None:
    """Run every check; each says nothing where a value of its own is missing."""
    for check in (
        _blend_is_whole,
        _fuel_system_is_named,
        _injector_flow_in_range,
        _pump_flow_falls,
        _dead_time_at_its_voltage,
        _rail_above_the_boost,
        _enough_injectors,
        _driveline_is_named,
        spark_checks,
    ):
        check(sections, report)


def _blend_is_whole(sections: Values, report: Report) -> None:
    """A share of nothing, or of the same fuel twice."""
    fuel = sections.get("fuel", {})
    share, other = fuel.get("blend_share"), fuel.get("blend_card")
    if share is not None and other is None and ("fuel", "blend_card") not in report.broken:
        remedy = "Write blend_card with the name of the second fuel's card, or take the share out."
        report.fault(
            ("fuel", "blend_share"), share.raw, "is a share of a second fuel that is not named.", "", remedy
        )
    card = fuel.get("card")
    if other is not None and card is not None and other.text == card.text:
        report.warn(("fuel", "blend_card"), other.raw, "is the fuel it is mixed into: nothing changes.")


def _written(values: dict[str, Value], key: str) -> Value | None:
    """A value somebody has written down, not a default."""
    value = values.get(key)
    return None if value is None or value.origin == "default" else value


def _fuel_system_is_named(sections: Values, report: Report) -> None:
    """Keys of injectors or of a pump beside a section that says there are none."""
    system = sections.get("fuel_system", {})
    injection, pump = system.get("injection"), system.get("pump")
    if injection is None or pump is None:
        return
    of_pump = [key for key in system if key.startswith(("pump_", "line_"))]
    of_injection = [key for key in system if key not in ("injection", "pump", *of_pump)]
    for keys, chooser, words in (
        (of_injection, injection, 'Write injection = "port" or injection = "direct"'),
        (of_pump, pump, 'Write pump = "electric"'),
    ):
        given = [(key, value) for key in keys if (value := _written(system, key)) is not None]
        if chooser.text == "none" and given:
            key, value = given[0]
            message = f"is given, but {chooser.parameter.name} is none: it would not be used."
            # none that somebody wrote is an answer; none by default is a question that was not asked
            say = report.fault if chooser.origin == "default" else report.warn
            say(("fuel_system", key), value.raw, message, "", f"{words}, or take the key out.")
    if pump.text != "none" and injection.text == "none" and injection.origin == "default":
        message = "needs the rail it works against, and injection is none."
        remedy = 'Write injection = "port" or injection = "direct" with its keys.'
        report.fault(("fuel_system", "pump"), pump.raw, message, "", remedy)


def _injector_flow_in_range(sections: Values, report: Report) -> None:
    """A flow by mass is held to the range that one by volume is."""
    flow = sections.get("fuel_system", {}).get("injector_flow")
    if flow is None or flow.si is None or flow.unit not in unit_names("mass_flow"):
        return
    if not _SMALLEST_INJECTOR <= flow.si <= _LARGEST_INJECTOR:
        ends = (
            format_quantity(end, "mass_flow", flow.unit) for end in (_SMALLEST_INJECTOR, _LARGEST_INJECTOR)
        )
        remedy = "Is it the flow of one injector, and its unit?"
        report.fault(
            ("fuel_system", "injector_flow"), flow.raw, "is out of range.", " to ".join(ends), remedy
        )


def _pump_flow_falls(sections: Values, report: Report) -> None:
    """No pump gives more against more pressure; two lists in opposite order look like that."""
    flow = sections.get("fuel_system", {}).get("pump_flow")
    if flow is None or flow.points is None:
        return
    points = zip(flow.points.axis_points, flow.points.value_points, strict=True)
    rises = [after[0] for before, after in pairwise(points) if after[1] > before[1]]
    if rises:
        at = rises[0]
        message = f"rises towards {format_quantity(at, 'pressure')}: a pump gives less against more pressure."
        remedy = "Are the two lists in the same order, and is each flow beside its own pressure?"
        report.fault(("fuel_system", "pump_flow"), flow.raw, message, "flows that fall or stay", remedy)


def _dead_time_at_its_voltage(sections: Values, report: Report) -> None:
    """Outside its curve the end value is taken."""
    system = sections.get("fuel_system", {})
    time, voltage = system.get("dead_time"), system.get("injector_voltage")
    if time is None or time.points is None or voltage is None or voltage.si is None:
        return
    low, high = time.points.axis_points[0], time.points.axis_points[-1]
    if not low <= voltage.si <= high:
        message = f"says nothing at {format_quantity(voltage.si, 'voltage')}; the end value is taken there."
        report.warn(("fuel_system", "dead_time"), time.raw, message, remedy="Add a point at that voltage.")


def _rail_above_the_boost(sections: Values, report: Report) -> None:
    """A rail that does not follow boost loses drop over the injectors with it."""
    system = sections.get("fuel_system", {})
    rail, reference = system.get("rail_pressure"), system.get("rail_reference")
    target = sections.get("boost_control", {}).get("target")
    ambient = sections.get("ambient", {}).get("pressure")
    if rail is None or rail.si is None or reference is None or reference.text != "air":
        return
    if target is None or target.curve is None or ambient is None or ambient.si is None:
        return
    boost = max(target.curve.value_points) - ambient.si
    if boost >= rail.si:
        asked = f"{format_quantity(boost, 'pressure')} gauge"
        message = f"is not above the highest boost asked, {asked}: no fuel would flow."
        mode = sections.get("prediction", {}).get("mode")
        say = report.fault if mode is not None and mode.text == "target" else report.warn
        say(("fuel_system", "rail_pressure"), rail.raw, message)


def _enough_injectors(sections: Values, report: Report) -> None:
    """Fewer injectors than cylinders is possible, but hardly meant."""
    count = sections.get("fuel_system", {}).get("injector_count")
    cylinders = sections.get("engine", {}).get("cylinders")
    if count is None or count.si is None or cylinders is None or cylinders.si is None:
        return
    if count.si < cylinders.si:
        message = f"is less than the {cylinders.si:.0f} cylinders."
        report.warn(
            ("fuel_system", "injector_count"), count.raw, message, remedy="Count all that share the fuel."
        )


def _driveline_is_named(sections: Values, report: Report) -> None:
    """A loss beside a model that does not take it."""
    line = sections.get("driveline", {})
    model = line.get("loss_model")
    if model is None:
        return
    for key, models in (
        ("loss_share", ("share", "share-and-drag")),
        ("drag_torque", ("drag", "share-and-drag")),
    ):
        value = _written(line, key)
        if value is not None and model.text not in models:
            message = f"is given, but loss_model is {model.text}: it would not be used."
            remedy = f'Write loss_model = "{models[0]}" or "{models[1]}", or take the key out.'
            off = model.text == "none" and model.origin != "default"
            say = report.warn if off else report.fault
            say(("driveline", key), value.raw, message, "", remedy)
