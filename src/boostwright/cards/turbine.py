"""Turbine cards: one number with an assumed efficiency, or measured lines of corrected speed."""

from __future__ import annotations

import math

import numpy as np

from boostwright.cards.card import Card, CardSchema, Column, Field
from boostwright.errors import Fault

__all__ = ["SCHEMA", "choked_swallowing"]

_ONE_NUMBER, _SPEED_LINES = "one-number", "speed-lines"
_NEEDED = {
    _ONE_NUMBER: ("choked_flow", "efficiency_peak", "best_blade_speed_ratio"),
    _SPEED_LINES: ("reference_temperature", "reference_pressure"),
}


def choked_swallowing(card: Card) -> float:
    """Choked flow of a one-number card as mass flow x sqrt(total temperature) / total pressure.

    Returns [kg sqrt(K) / (s Pa)]. Raises KeyError when the card states no choked flow.
    A flow that is corrected to reference conditions is turned back with the card's own references.
    """
    value = card.si("choked_flow")
    if card.values["choked_flow"].kind == "mass_flow":
        return value * math.sqrt(card.si("reference_temperature")) / card.si("reference_pressure")
    return value


def _fault(card: Card, key: str, message: str, remedy: str = "") -> Fault:
    """A fault of one key of the card."""
    line = card.values[key].line if card.has(key) else 0
    place = f"{card.path.name}, line {line}" if line else card.path.name
    return Fault(place, f"turbine.{key}", "", message, remedy=remedy, line=line)


def _check(card: Card) -> tuple[list[Fault], list[Fault]]:
    """What the chosen form needs is there, and the lines are lines."""
    form = card.text("given_as")
    faults = [
        _fault(card, key, f"is needed for a turbine given as {form}.")
        for key in _NEEDED[form]
        if not card.has(key)
    ]
    if form == _ONE_NUMBER:
        if card.columns:
            faults.append(_fault(card, "given_as", "is one-number, yet the card has a table."))
        if card.has("choked_flow") and card.values["choked_flow"].kind == "mass_flow":
            faults += [
                _fault(card, key, "is needed, since choked_flow is a mass flow corrected to it.")
                for key in ("reference_temperature", "reference_pressure")
                if not card.has(key)
            ]
    elif not card.columns:
        faults.append(_fault(card, "given_as", "is speed-lines, yet the card has no [table]."))
    else:
        faults += _check_lines(card)
    asks = []
    if card.has("a_r") and not 0.1 <= card.si("a_r") <= 3.0:
        value = card.si("a_r")
        near = f" Did you mean {value / 100.0:g}?" if 0.1 <= value / 100.0 <= 3.0 else ""
        faults.append(_fault(card, "a_r", f"an A/R of {value:g} is not possible.{near}"))
    if not faults and form == _ONE_NUMBER:
        asks = _check_size(card)
    return faults, asks


def _check_size(card: Card) -> list[Fault]:
    """Ask when the choked flow does not belong to a wheel of that diameter.

    The effective throat follows from the choked flow of hot exhaust (heat capacity ratio 1.33,
    289 J/(kg K): 0.0396 kg sqrt(K)/(s Pa) per square metre). Radial machines lie near 0.2-0.45 of the
    wheel disc (own estimate, wide).
    """
    throat = choked_swallowing(card) / 0.0396
    share = throat / (math.pi / 4.0 * card.si("wheel_diameter") ** 2)
    if 0.10 <= share <= 0.60:
        return []
    message = f"with this wheel the throat would be {share:.2f} of the wheel's disc (usual 0.10 to 0.60): "
    return [_fault(card, "choked_flow", message + "is the unit or the diameter right?")]


def _check_lines(card: Card) -> list[Fault]:
    """Every speed has at least two points, of rising expansion ratio, none missing."""
    faults = []
    columns = card.columns
    if any(np.isnan(column).any() for column in columns.values()):
        faults.append(_fault(card, "given_as", "the table has empty cells."))
        return faults
    speeds = columns["corrected_speed"]
    for speed in np.unique(speeds):
        ratio = columns["expansion_ratio"][speeds == speed]
        rows = f"the line at {speed * 30.0 / math.pi:.0f} rpm"
        if ratio.size < 2:
            faults.append(_fault(card, "given_as", f"{rows} has a single point."))
        elif not np.all(np.diff(ratio) > 0.0):
            faults.append(_fault(card, "given_as", f"{rows} is not in order of rising expansion ratio."))
    return faults


SCHEMA = CardSchema(
    kind="turbine",
    words="a turbine stage with its housing",
    version=1,
    fields=(
        Field("form", "word", "direction of flow through the wheel", choices=("radial", "axial")),
        Field(
            "given_as", "word", "how the flow and efficiency are given", choices=(_ONE_NUMBER, _SPEED_LINES)
        ),
        Field(
            "wheel_diameter",
            "length",
            "diameter at which the blade speed is taken: tip of the inlet (radial), mean (axial)",
            low=10e-3,
            high=0.6,
            low_ask=25e-3,
            high_ask=0.15,
        ),
        Field(
            "expansion_ratio_basis",
            "word",
            "what the expansion ratio, and the ideal work of the efficiency, run to at the outlet",
            choices=("total-to-static", "total-to-total"),
        ),
        Field(
            "choked_flow",
            "swallowing|mass_flow",
            "choked flow: kg/s*sqrt(K)/kPa, or kg/s corrected to reference temperature and pressure",
            required=False,
            low=1e-9,
        ),
        Field(
            "efficiency_peak",
            "number",
            "best efficiency on the basis above",
            required=False,
            low=0.2,
            high=0.95,
        ),
        Field(
            "best_blade_speed_ratio",
            "number",
            "blade speed over spouting velocity at the best efficiency",
            required=False,
            low=0.3,
            high=1.0,
        ),
        Field(
            "reference_temperature", "temperature", "of corrected speed and flow", required=False, low=200.0
        ),
        Field(
            "reference_pressure",
            "pressure",
            "of corrected flow",
            required=False,
            low=1e4,
            basis=("absolute",),
        ),
        Field(
            "gas_heat_capacity_ratio",
            "number",
            "of the gas for which corrected values hold",
            required=False,
            low=1.1,
            high=1.67,
        ),
        Field("gas_constant", "specific_heat", "of that gas", required=False, low=100.0, high=600.0),
        Field(
            "a_r", "number", "A/R as stamped on the housing; for information, it is no area", required=False
        ),
        Field(
            "speed_limit",
            "rotational_speed",
            "highest shaft speed allowed",
            required=False,
            low=1e3,
            high=4e4,
        ),
    ),
    columns=(
        Column("corrected_speed", "rotational_speed", "corrected speed of the line", low=0.0, high=5e4),
        Column(
            "expansion_ratio",
            "number",
            "inlet total over outlet pressure, on the basis stated",
            low=1.0,
            high=20.0,
        ),
        Column("corrected_flow", "mass_flow", "corrected mass flow", low=0.0, high=100.0),
        Column("efficiency", "number", "efficiency on the basis stated", low=0.0, high=1.0),
    ),
    check=_check,
)
