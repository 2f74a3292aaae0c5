"""Checks of the [spark] section against the speeds that are asked for, and against what can burn at all."""

from __future__ import annotations

from boostwright.build.build import Value
from boostwright.build.faults import Report
from boostwright.units import format_quantity

__all__ = ["spark_checks"]

Values = dict[str, dict[str, Value]]

_SLACK = 1.05  # of speed: about a step of a table


def spark_checks(sections: Values, report: Report) -> None:
    """Run every check; each says nothing where a value of its own is missing."""
    _curves_cover_the_speeds(sections, report)
    _cap_is_later_than_best(sections, report)


def _curves_cover_the_speeds(sections: Values, report: Report) -> None:
    """Outside a table of spark its end value holds; say so, since too early a spark breaks pistons."""
    speeds = sections.get("prediction", {}).get("speeds")
    if speeds is None or not speeds.speeds:
        return
    low, high = speeds.speeds[0], speeds.speeds[-1]
    for key in ("phasing", "advance"):
        value = sections.get("spark", {}).get(key)
        if value is None or value.curve is None or value.curve.is_constant:
            continue
        first, last = value.curve.speed_points[0], value.curve.speed_points[-1]
        parts = [f"below {format_quantity(first, 'rotational_speed')}"] if low * _SLACK < first else []
        parts += [f"above {format_quantity(last, 'rotational_speed')}"] if high > last * _SLACK else []
        if parts:
            message = f"says nothing {' and '.join(parts)}; the end value is taken there."
            report.warn(("spark", key), value.raw, message, "", "Add points, or predict fewer speeds.")


def _cap_is_later_than_best(sections: Values, report: Report) -> None:
    """A cap earlier than the best phasing caps nothing."""
    spark = sections.get("spark", {})
    cap, best = spark.get("phasing"), spark.get("best_phasing")
    if cap is None or cap.origin == "default" or cap.curve is None or best is None or best.si is None:
        return
    latest = max(cap.curve.value_points)
    if latest < best.si:
        message = f"is earlier than best_phasing ({best.written}) at every speed: it caps nothing."
        remedy = "CA50 counts after top dead centre: is an ignition angle meant (set_by advance)?"
        report.warn(("spark", "phasing"), cap.raw, message, "", remedy)
