"""Checks of [limits] against each other and what else the build says: what no point can keep, or hardly means."""

from __future__ import annotations

import math

from boostwright.build.build import Curve, Value
from boostwright.build.faults import Report
from boostwright.build.own_limits import QUANTITIES_OF_LIMITS
from boostwright.units import format_quantity

__all__ = ["limit_checks"]

Values = dict[str, dict[str, Value]]

_SAME = 1e-3  # two numbers typed once are equal; a share


def limit_checks(sections: Values, report: Report) -> None:
    """Run every check; each says nothing where a value of its own is missing."""
    for check in (
        _torques_have_their_basis,
        _wheel_needs_a_driveline,
        _cap_is_no_wheel_curve,
        _cap_and_belief,
        _own_limits_meet_the_others,
        _exhaust_is_hotter_than_charge,
        _knock_cap_after_the_best,
        _peak_above_the_manifold,
    ):
        check(sections, report)


def _of(sections: Values, section: str, key: str) -> Value | None:
    return sections.get(section, {}).get(key)


def _text(sections: Values, section: str, key: str) -> str:
    value = _of(sections, section, key)
    return (value.text or "") if value else ""


def _curve(value: Value | None) -> Curve | None:
    return value.curve if value is not None else None


def _place(report: Report, *path: str) -> str:
    return report.place(path)[0]


def _broken(report: Report, key: str) -> bool:
    name = f"limits.{key}"
    return ("limits", key) in report.broken or any(fault.key.startswith(name) for fault in report.faults)


def _torques_have_their_basis(sections: Values, report: Report) -> None:
    """A basis without its torque is a key left over."""
    for key in ("torque", "driveline_torque"):
        basis = _of(sections, "limits", f"{key}_basis")
        if basis is not None and _of(sections, "limits", key) is None and not _broken(report, key):
            report.warn(("limits", f"{key}_basis"), basis.raw, f"is not used: there is no {key}.")


def _wheel_needs_a_driveline(sections: Values, report: Report) -> None:
    """A cap at the wheels is brought to the crank by the driveline's loss."""
    if _text(sections, "driveline", "loss_model") != "none":
        return
    for key in ("torque_basis", "driveline_torque_basis"):
        basis = _of(sections, "limits", key)
        if basis is not None and basis.text == "wheel":
            message = "says wheel, and [driveline] says no loss between crank and wheels."
            remedy = 'Write [driveline] with loss_model = "share", or the torque at the crank.'
            report.fault(("limits", key), basis.raw, message, "", remedy)


def _cap_is_no_wheel_curve(sections: Values, report: Report) -> None:
    """A cap said to be at the crank that is the very number of something at the wheels, or the other way round."""
    cap, basis = _of(sections, "limits", "torque"), _of(sections, "limits", "torque_basis")
    curve = _curve(cap)
    if cap is None or curve is None or basis is None or not basis.text:
        return
    others = []
    known, at = (
        _curve(_of(sections, "breathing", "known_torque")),
        _text(sections, "breathing", "known_curve_at"),
    )
    if known is not None:
        others.append(
            (max(known.value_points), at, "the highest torque of breathing.known_torque", "breathing")
        )
    belief, at = _of(sections, "rods", "believed_torque"), _text(sections, "rods", "believed_torque_basis")
    if belief is not None and belief.si:
        others.append((belief.si, at, "rods.believed_torque", "rods"))
    key = {"breathing": "known_torque", "rods": "believed_torque"}
    for number, at, words, section in others:
        if at and at != basis.text and math.isclose(max(curve.value_points), number, rel_tol=_SAME):
            message = (
                f"is said to be at the {basis.text}, and is the same number as {words}, which is at the {at} "
            )
            message += f"({_place(report, section, key[section])})."
            remedy = "Check on which of the two it was measured."
            report.warn(("limits", "torque"), cap.raw, message, remedy=remedy)


def _cap_and_belief(sections: Values, report: Report) -> None:
    """A cap above what the rods are believed to hold does not bind."""
    cap, belief = _curve(_of(sections, "limits", "torque")), _of(sections, "rods", "believed_torque")
    same = _text(sections, "limits", "torque_basis") == _text(sections, "rods", "believed_torque_basis")
    if cap is None or belief is None or not belief.si or not same:
        return
    if _text(sections, "rods", "allow_above_belief") == "true":
        return
    if max(cap.value_points) <= belief.si * (1.0 + _SAME):
        return
    torque = sections["limits"]["torque"]
    there = _place(report, "rods", "believed_torque")
    message = f"is above rods.believed_torque ({belief.written}, {there}), which holds."
    remedy = "Lower the cap; or write rods.allow_above_belief = true, and the force it implies still holds."
    report.warn(("limits", "torque"), torque.raw, message, "", remedy)


def _own_limits_meet_the_others(sections: Values, report: Report) -> None:
    """A lower bound of the user's against every upper bound on the same quantity."""
    limits = sections.get("limits", {})
    own = limits["own"].records if "own" in limits else ()
    uppers: dict[str, list[tuple[str, float]]] = {}
    for key, quantity in QUANTITIES_OF_LIMITS.items():
        curve = limits[key].curve if key in limits else None
        value = max(curve.value_points) if curve is not None else limits[key].si if key in limits else None
        if value is not None:
            uppers.setdefault(quantity, []).append((key, value))
    for one in own:
        if one.upper is not None:
            uppers.setdefault(one.quantity, []).append((f"own.{one.name}.upper", one.upper))
    for one in own:
        for key, upper in uppers.get(one.quantity, ()):
            if one.lower is None or key == f"own.{one.name}.upper" or one.lower < upper:
                continue
            path = ("limits", "own", one.name, "lower")
            there = _place(report, "limits", *key.split("."))
            message = (
                f"is not below limits.{key} ({there}), and both are on {one.quantity}: no value keeps both."
            )
            report.fault(path, format_quantity(one.lower, one.kind), message, "lower below upper")


def _exhaust_is_hotter_than_charge(sections: Values, report: Report) -> None:
    """An EGT limit that the charge alone would pass."""
    egt, charge = (_curve(_of(sections, "limits", key)) for key in ("egt_reading", "temperature_im"))
    if egt is None:
        return
    margin, ambient = _of(sections, "limits", "egt_reading_margin"), _of(sections, "ambient", "temperature")
    lowest = min(egt.value_points) - ((margin.si or 0.0) if margin is not None else 0.0)
    ends = [(max(charge.value_points), "limits", "temperature_im")] if charge is not None else []
    if ambient is not None and ambient.si is not None:
        ends.append((ambient.si, "ambient", "temperature"))
    for value, section, key in ends:
        if lowest <= value:
            shown = format_quantity(value, "temperature")
            message = (
                f"less its margin is {format_quantity(lowest, 'temperature')}, not above {section}.{key} "
            )
            message += f"({shown}, {_place(report, section, key)}): exhaust is hotter than what goes in."
            report.fault(("limits", "egt_reading"), sections["limits"]["egt_reading"].raw, message)
            return


def _knock_cap_after_the_best(sections: Values, report: Report) -> None:
    """A cap earlier than the phasing of best torque would bind everywhere."""
    cap, best = _of(sections, "limits", "latest_phasing"), _of(sections, "spark", "best_phasing")
    if cap is None or best is None or cap.si is None or best.si is None or cap.si > best.si:
        return
    there = _place(report, "spark", "best_phasing")
    message = f"is not later than spark.best_phasing ({best.written}, {there}): no boosted point keeps it."
    report.fault(("limits", "latest_phasing"), cap.raw, message, "a later CA50")


def _peak_above_the_manifold(sections: Values, report: Report) -> None:
    """A peak pressure that compression alone would pass at the boost that is asked for."""
    peak = _curve(_of(sections, "limits", "peak_pressure"))
    target = _curve(_of(sections, "boost_control", "target"))
    ratio = _of(sections, "engine", "compression_ratio")
    if peak is None or target is None or ratio is None or not ratio.si:
        return
    compressed = max(target.value_points) * ratio.si**1.25  # no fire, walls that cool: own estimate, low
    if min(peak.value_points) >= compressed:
        return
    there = _place(report, "boost_control", "target")
    message = (
        f"is below the {format_quantity(compressed, 'pressure', 'bar', 2)} that compression alone brings at "
    )
    message += f"the highest boost asked ({there})."
    value = sections["limits"]["peak_pressure"]
    report.fault(("limits", "peak_pressure"), value.raw, message, "", "Is it a pressure in the cylinder?")
