"""The pocket card: how much of the plan's table each barometer leaves, and at which readings to lift."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, with_settings
from boostwright.physics.gas.standard_atmosphere import pressure_altitude
from boostwright.tasks.plan_days import DayOfPlan
from boostwright.tasks.plan_field import field_of
from boostwright.tasks.plan_knock import knock_plan
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.ready import cards_of
from boostwright.tasks.sheets.stop_values import StopValue, stop_values

__all__ = ["BaroRow", "PocketCard", "pocket_card_of"]

Array = NDArray[np.float64]

BAROMETERS = tuple(1e3 * value for value in (100, 95, 90, 85, 80, 75, 70, 65))
"""Barometers of the card [Pa], beside the build's own; those above it are left out."""

_MOST_ROWS = 7
_SAME = 500.0  # Pa
_ASK_ABSOLUTE = (
    "Does the boost controller hold absolute pressure or gauge? A gauge table must be the absolute one less this "
    "barometer: set it anew at every place.",
    "Barometer means station pressure, read at the place, not the weather report's that is brought down to sea level.",
)


@dataclass(frozen=True)
class BaroRow:
    """What one barometer leaves of the table.

    pressure_amb  [Pa] station pressure; altitude [m] at which the standard atmosphere has it
    target        (n,) [Pa absolute] the plan's table, lowered where this barometer wants it; nan where none is inside
    cap           highest of it [Pa absolute]; nan where there is none
    lowered       most by which the table comes down [Pa]; at the speed [rad/s] (nan where nowhere), held by that limit
    shaft_speed, temperature_im, temperature_em, power   highest along it [rad/s], [K], [K], [W]
    """

    pressure_amb: float
    altitude: float
    target: Array
    cap: float
    lowered: float
    speed: float
    binding: str
    shaft_speed: float
    temperature_im: float
    temperature_em: float
    power: float


@dataclass(frozen=True)
class PocketCard:
    """What goes into the pocket on the day. ``shaft_limit`` [rad/s] with where it is from; ``speeds`` (n,) [rad/s]."""

    build: str
    provenance: str
    settings: tuple[str, ...]
    temperature_amb: float
    speeds: Array
    rows: tuple[BaroRow, ...]
    shaft_limit: float
    shaft_limit_source: str
    lift_if: tuple[StopValue, ...]
    asks: tuple[str, ...]


def pocket_card_of(build: Build, plan: Plan) -> PocketCard:
    """The card of a plan. The air is as warm at every barometer as in [ambient], and boost may spike as [plan] says."""
    own = plan.pressure_amb
    rows = [
        _row(build, plan, pressure)
        for pressure in (own, *(p for p in BAROMETERS if p < own - 1e3))[:_MOST_ROWS]
    ]
    shaft = next((limit for limit in plan.prediction.limits if limit.name == "shaft-speed"), None)
    return PocketCard(
        build=plan.name,
        provenance=build.provenance,
        settings=plan.settings,
        temperature_amb=build["ambient"].si("temperature"),
        speeds=plan.speeds,
        rows=tuple(rows),
        shaft_limit=float(shaft.limit[0]) if shaft is not None else float("nan"),
        shaft_limit_source=shaft.source if shaft is not None else "",
        lift_if=tuple(stop for stop in stop_values(build, plan) if stop.quantity != "boost"),
        asks=_ASK_ABSOLUTE,
    )


def _row(build: Build, plan: Plan, pressure: float) -> BaroRow:
    """The plan's table at one barometer, brought down to that day's ceiling where it stands above."""
    gate = build["wastegate"].text("kind") != "none"
    bare = with_settings(
        build, ["boost_control.target=", f"prediction.mode={'spring' if gate else 'gate-shut'}"]
    )
    knock = knock_plan(bare, cards_of(bare)["fuel"])
    there = () if pressure == plan.pressure_amb else (f"ambient.pressure={pressure:.8g} Pa station",)
    spike = build["plan"].si("spike")
    days = [DayOfPlan("here", "at this barometer", there, 0.0)]
    days += [DayOfPlan("here, spike", "with boost over its target", there, spike)] if spike > 0.0 else []
    field = field_of(knock.build, plan.speeds, days, knock.ends)
    held = field.held()
    wanted = plan.target
    left = np.where(np.isfinite(held.pressure), np.fmin(wanted, held.pressure), np.nan)
    left = np.where(np.isfinite(wanted), left, np.nan)
    spool = held.binding == "spool"  # a wheel that gives less there is no reason to lower a table
    down = np.where(np.isfinite(wanted) & ~spool, wanted - np.nan_to_num(left, nan=pressure), 0.0)
    at = int(np.argmax(down))
    lowered = bool(down[at] > _SAME)
    asked = np.flatnonzero(np.isfinite(left))
    found = field.benches[0].ask(left[asked], asked).q if asked.size else {}

    def top(name: str) -> float:
        values = found.get(name, np.empty(0))
        values = values[np.isfinite(values)]
        return float(values.max()) if values.size else float("nan")

    return BaroRow(
        pressure_amb=pressure,
        altitude=float(pressure_altitude(pressure)),
        target=left,
        cap=float(np.max(left[asked])) if asked.size else float("nan"),
        lowered=float(down[at]) if lowered else 0.0,
        speed=float(plan.speeds[at]) if lowered else float("nan"),
        binding=str(held.limit[at]) if lowered else "",
        shaft_speed=top("shaft_speed"),
        temperature_im=top("temperature_im"),
        temperature_em=top("temperature_em"),
        power=top("power"),
    )
