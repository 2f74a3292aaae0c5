"""Checks of cylinders apart and of the exhaust probe: as many values as cylinders, a mean of 1, a tip in the gas."""

from __future__ import annotations

from dataclasses import replace

from boostwright.build.build import DefaultUsed, Value
from boostwright.build.faults import Report
from boostwright.build.schema import exhaust_manifold
from boostwright.units import format_quantity

__all__ = ["fill_runner_defaults", "runner_checks"]

Values = dict[str, dict[str, Value]]

_KEYS = ("air_share", "fuel_share", "phasing_offset")
_EXACT = 5e-4  # of a mean of 1, below which nothing need be said
_NEAR = 0.03  # up to which the shares are put right
_SHALLOW = 3.0  # diameters in the gas, below which the wall is read as much as the gas (common practice)
_RUNNER_BORE = 0.40  # of the cylinder's bore, as the port; own estimate
_RUNNER_LENGTH = 0.30  # m; own estimate


def runner_checks(sections: Values, report: Report) -> None:
    """Check the lists of [runners], put their means right in place, and see that the probe reaches the gas."""
    runners = sections.get("runners", {})
    count = sections.get("engine", {}).get("cylinders")
    for key in _KEYS:
        value = runners.get(key)
        if value is None or not value.numbers:
            continue
        if count is not None and count.si is not None and len(value.numbers) != int(count.si):
            message = f"has {len(value.numbers)} values, and the engine has {count.si:.0f} cylinders."
            report.fault(("runners", key), value.raw, message, f"{count.si:.0f} values, one a cylinder")
        elif key != "phasing_offset":
            runners[key] = _with_mean_one(key, value, report)
    _tip_in_the_gas(sections, report)


def _with_mean_one(key: str, value: Value, report: Report) -> Value:
    mean = sum(value.numbers) / len(value.numbers)
    if abs(mean - 1.0) > _NEAR:
        message = f"has a mean of {mean:.3f}: shares stand over the mean cylinder, so their mean is 1."
        remedy = f"Divide each by {mean:.3f}, if they compare the cylinders with each other."
        report.fault(("runners", key), value.raw, message, "a mean of 1", remedy)
        return value
    if abs(mean - 1.0) > _EXACT:
        message = f"has a mean of {mean:.4f}; each share is divided by it."
        report.warn(("runners", key), value.raw, message, "a mean of 1")
    return replace(value, numbers=tuple(number / mean for number in value.numbers))


def _tip_in_the_gas(sections: Values, report: Report) -> None:
    """A tip that ends in its boss reads the boss; one that touches the far wall reads that."""
    probe = sections.get("probe", {})
    length, wall, diameter = (probe.get(key) for key in ("probe_length", "wall_depth", "diameter"))
    if length is None or length.si is None:
        if wall is not None and wall.origin != "default":
            message = "says nothing without probe_length."
            report.warn(("probe", "wall_depth"), wall.raw, message, remedy="Write probe_length as well.")
        return
    if wall is None or wall.si is None:
        return
    path = ("probe", "probe_length")
    reach = length.si - wall.si
    if reach <= 0.0:
        short = format_quantity(-reach, "length", "mm")
        message = f"does not bring the tip past the wall: it ends {short} short of the gas."
        remedy = "Both are counted from the seat of the fitting. A tip in its boss reads the boss: fit a longer probe."
        report.fault(path, length.raw, message, f"more than {wall.written}", remedy)
        return
    bore = _bore(sections)
    if bore is not None and reach > bore:
        message = f"brings the tip {format_quantity(reach, 'length', 'mm')} into a pipe of "
        message += f"{format_quantity(bore, 'length', 'mm')}: it would touch the far wall."
        report.fault(path, length.raw, message, "a tip at the middle of the pipe")
    elif diameter is not None and diameter.si is not None and reach < _SHALLOW * diameter.si:
        message = f"leaves {format_quantity(reach, 'length', 'mm')} in the gas, {reach / diameter.si:.1f} diameters: "
        message += "such a probe reads the wall as much as the gas."
        remedy = "Common practice is a tip at the middle of the pipe."
        report.warn(path, length.raw, message, f"{_SHALLOW:g} diameters or more", remedy)


def _bore(sections: Values) -> float | None:
    """Bore [m] of the pipe the probe stands in, where it is known."""
    place = sections.get("probe", {}).get("place")
    key = "runner_bore" if place is not None and place.text == "runner" else "collector_bore"
    value = sections.get("exhaust_manifold", {}).get(key)
    return value.si if value is not None else None


def fill_runner_defaults(sections: Values) -> list[DefaultUsed]:
    """Bore and length of a runner, where a probe in one is asked for."""
    place = sections.get("probe", {}).get("place")
    asked = any(sections.get("runners", {}).get(key) for key in _KEYS)
    bore = sections.get("engine", {}).get("bore")
    if not asked and (place is None or place.text != "runner"):
        return []
    used = []
    manifold = sections.setdefault("exhaust_manifold", {})
    for key, si in (
        ("runner_bore", _RUNNER_BORE * bore.si if bore is not None and bore.si else None),
        ("runner_length", _RUNNER_LENGTH),
    ):
        if key in manifold or si is None:
            continue
        words = format_quantity(si, "length", "mm")
        manifold[key] = Value(exhaust_manifold.SECTION.find(key), words, "default", si=si, unit="mm")
        used.append(DefaultUsed(f"exhaust_manifold.{key}", words, "own estimate"))
    return used
