"""Limits of the user's own, held against the quantities there are: their names, units and bases."""

from __future__ import annotations

from boostwright.build import Build
from boostwright.build.build import OwnLimit
from boostwright.build.faults import nearest
from boostwright.errors import BuildError, Fault
from boostwright.solve.own_limits import KIND_OF_UNIT
from boostwright.tasks.names import QUANTITIES

__all__ = ["own_limit_faults", "refuse_own_limits"]

_BASES = ("absolute", "gauge")


def own_limit_faults(build: Build) -> tuple[Fault, ...]:
    """Every fault of [limits.own]: a quantity nobody knows, a bound in a unit or on a basis that is not its own."""
    found = (_fault(one) for one in build["limits"].records("own"))
    return tuple(fault for fault in found if fault is not None)


def refuse_own_limits(build: Build) -> None:
    """Raise BuildError with those faults, where there are any."""
    faults = own_limit_faults(build)
    if faults:
        raise BuildError(faults)


def _fault(one: OwnLimit) -> Fault | None:
    """What is wrong with one limit; None where nothing is."""
    place = f"build.toml, line {one.line}" if one.line else "build.toml"
    key = f"limits.own.{one.name}"

    def refused(below: str, value: str, message: str, allowed: str = "", remedy: str = "") -> Fault:
        return Fault(place, f"{key}.{below}", value, message, allowed, remedy, one.line)

    if one.quantity not in QUANTITIES:
        near = nearest(one.quantity, QUANTITIES)
        remedy = f"Did you mean {near}?" if near else ""
        message = "is no quantity of a prediction."
        return refused("quantity", one.quantity, message, "a name of docs/reference/names.md", remedy)
    unit, words, basis = QUANTITIES[one.quantity]
    kind = KIND_OF_UNIT.get(unit)
    side = "upper" if one.upper is not None else "lower"
    if kind is None:
        return refused("quantity", one.quantity, f"is counted in {unit}, for which no limit can be written.")
    if kind != one.kind:
        shown, own = one.kind.replace("_", " "), kind.replace("_", " ")
        message = f"is a bound in a unit of {shown}, and {one.quantity} ({words}) is counted in one of {own}."
        return refused(side, "", message.replace("dimensionless", "plain numbers"))
    counted = next((word for word in _BASES if basis.startswith(word)), "")
    if kind == "pressure" and counted != one.basis:
        message = f"is counted {counted or 'as a difference, neither gauge nor absolute'}."
        if one.basis:
            message = f"is given as {one.basis}, and {one.quantity} {message}"
        else:
            message = f"does not say whether it is gauge or absolute; {one.quantity} {message}"
        return refused(
            side,
            "",
            message,
            counted,
            f'Write for example {side} = "130 kPa {counted}".'.replace(' ".', '".'),
        )
    return None
