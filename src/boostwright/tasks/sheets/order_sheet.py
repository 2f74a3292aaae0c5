"""The order sheet: what to buy with its numbers, the guesses that matter, and what to measure first."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.ready import cards_of
from boostwright.tasks.sheets.rules_control import SENSOR_HEADROOM

__all__ = ["Guess", "OrderLine", "OrderSheet", "order_sheet_of"]

_UNKNOWN = "not known to the build: take the maker's drawing or measure"
_MOST_GUESSES = 8


@dataclass(frozen=True)
class OrderLine:
    """One thing to order: part, what it must be with its numbers, and how well that is known."""

    part: str
    what: str
    known: str


@dataclass(frozen=True)
class Guess:
    """A guess that matters: what is guessed, its value and band in words, what it moves, how to know it better."""

    what: str
    value: str
    moves: str
    measure: str


@dataclass(frozen=True)
class OrderSheet:
    """What to buy; ``ranked`` where the guesses are ranked by what they move, False where they are listed."""

    build: str
    provenance: str
    settings: tuple[str, ...]
    day: str
    asks: str
    lines: tuple[OrderLine, ...]
    guesses: tuple[Guess, ...]
    ranked: bool
    unconfirmed: int
    remarks: tuple[str, ...]


def order_sheet_of(build: Build, plan: Plan, guesses: Sequence[Guess] = ()) -> OrderSheet:
    """The sheet of a plan.

    guesses  ranked contributors to what the plan gives, from sampling; without them the defaults that nobody has
             confirmed are listed, widest use first
    """
    cards = cards_of(build)
    ambient = build["ambient"]
    day = f"{plan.pressure_amb / 1e3:.1f} kPa, {ambient.si('temperature') - 273.15:.0f} degC"
    unconfirmed = [
        used
        for used in build.defaults_used
        if not used.key.startswith(("plan.", "dyno.", "clearance.", "vehicle.", "transient."))
    ]
    listed = tuple(guesses)[:_MOST_GUESSES] or tuple(_defaults(build))[:_MOST_GUESSES]
    return OrderSheet(
        build=plan.name,
        provenance=build.provenance,
        settings=plan.settings,
        day=day,
        asks=_asks(plan),
        lines=(*_turbo(build, plan, cards), *_gate(build, plan), *_pipes(build, plan), *_fuel(build, plan)),
        guesses=listed,
        ranked=bool(guesses),
        unconfirmed=len(unconfirmed),
        remarks=tuple(remark.message for remark in plan.prediction.remarks if remark.code == "threshold"),
    )


def _top(plan: Plan, name: str) -> float:
    """Highest value of a quantity over every day of the plan, SI; nan where there is none."""
    found = [day[name] for day in plan.days if name in day.quantities]
    values = np.concatenate(found) if found else np.array([])
    values = values[np.isfinite(values)]
    return float(values.max()) if values.size else math.nan


def _asks(plan: Plan) -> str:
    """What the parts have to do, in a sentence."""
    torque, power = plan["torque"], plan["power"]
    if not np.isfinite(torque).any() or not np.isfinite(plan.target).any():
        return "the plan has no point with boost inside its limits"
    at, peak = int(np.nanargmax(torque)), int(np.nanargmax(power))
    rpm = plan.speeds * 30.0 / np.pi
    return (
        f"{torque[at]:.0f} Nm at {rpm[at]:.0f} rpm and {power[peak] / 1e3:.0f} kW at {rpm[peak]:.0f} rpm, "
        f"with a table up to {np.nanmax(plan.target) / 1e3:.0f} kPa absolute"
    )


def _mm(value: float) -> str:
    return f"{1e3 * value:.1f} mm".replace(".0 mm", " mm")


def _turbo(build: Build, plan: Plan, cards: Mapping[str, Card]) -> Iterator[OrderLine]:
    compressor, turbine = build["compressor"], build["turbine"]
    count = compressor.integer("count")
    each = f"{count} of, each " if count > 1 else ""
    flow, ratio, shaft = (
        _top(plan, n) for n in ("corrected_flow", "compressor_pressure_ratio", "shaft_speed")
    )
    needs = f"up to {flow:.3f} kg/s corrected at a pressure ratio of up to {ratio:.2f}, {shaft * 30 / np.pi:.0f} rpm"
    card = cards.get("compressor")
    if card is not None:
        yield OrderLine("Compressor", f"{each}{card.name}: {needs}", f"map: {card.header.status}")
    else:
        yield OrderLine(
            "Compressor", f"{each}by its wheel: {needs}", "mean line from dimensions: an estimate"
        )
    known = f"card: {cards['turbine'].header.status}" if "turbine" in cards else "unproven until measured"
    yield OrderLine("Turbine housing", f"{each}{_housing(build, cards)}", known)
    if turbine.has("wheel_diameter"):
        yield OrderLine(
            "Turbine wheel", _mm(turbine.si("wheel_diameter")), _how(build, "turbine", "wheel_diameter")
        )
    yield OrderLine("Turbine flanges", _UNKNOWN, "not answered")


def _housing(build: Build, cards: Mapping[str, Card]) -> str:
    """Choked flow first; A/R only beside it, since it is no area."""
    turbine = build["turbine"]
    words = []
    if turbine.has("choked_flow"):
        unit = 1e3  # kg/s*sqrt(K)/Pa to /kPa
        words.append(f"choked flow {turbine.si('choked_flow') * unit:.4f} kg/s*sqrt(K)/kPa")
    if "turbine" in cards:
        words.append(cards["turbine"].name)
    for key in ("housing_ratio", "area_over_radius", "a_over_r"):
        if turbine.has(key):
            words.append(f"A/R {turbine.as_written(key)} (compares inside one wheel family only)")
    return ", ".join(words) or "by its wheel and volute, see [turbine]"


def _how(build: Build, section: str, key: str) -> str:
    """How a value is known."""
    value = build[section].values[key]
    if value.origin == "default":
        return f"default, {value.parameter.default_status}"
    return "from its card" if value.origin == "card" else f"build, {build.provenance}"


def _gate(build: Build, plan: Plan) -> Iterator[OrderLine]:
    gate = build["wastegate"]
    if gate.text("kind") == "none":
        yield OrderLine("Wastegate", "none: nothing holds the boost", "not answered")
        return
    count = gate.integer("count")
    what = f"{count} of, " if count > 1 else ""
    valve, lift = _mm(gate.si("valve_diameter")), _mm(gate.si("full_lift"))
    what += f"{gate.text('kind')}, valve {valve} across its seat, lift {lift}"
    over = np.where(np.isfinite(plan.target), plan.floor - plan.target, np.nan)
    if np.isfinite(over).any():
        at = int(np.nanargmax(over))
        what += (
            f"; fully open {plan.floor[at] / 1e3:.0f} kPa absolute at {plan.speeds[at] * 30 / np.pi:.0f} rpm, "
            f"table {plan.target[at] / 1e3:.0f}"
        )
    yield OrderLine("Wastegate", what, _how(build, "wastegate", "valve_diameter"))
    if plan.spring is not None:
        choice = plan.spring.chosen or plan.spring.fitted
        words = f"{choice.rating / 1e5:.2f} bar gauge, {plan.spring.basis}"
        words += "" if plan.spring.chosen else " as fitted: no spring looked at holds what it must"
        yield OrderLine("Spring", words, "from the plan")
    flap = gate.text("kind") == "flap"
    place = "the port in the housing" if flap else "off the collector behind the merge"
    bore = f"{_mm(gate.si('branch_bore'))} bore" if gate.has("branch_bore") else "bore not known"
    angle = (
        f", leaving {math.degrees(gate.si('takeoff_angle')):.0f} deg off the flow"
        if gate.has("takeoff_angle")
        else ""
    )
    yield OrderLine("Gate branch", f"{bore}{angle}, {place}", "takeoff loss from memory")


def _pipes(build: Build, plan: Plan) -> Iterator[OrderLine]:
    manifold = build["exhaust_manifold"]
    yield OrderLine(
        "Collector",
        f"{_mm(manifold.si('collector_bore'))} bore",
        _how(build, "exhaust_manifold", "collector_bore"),
    )
    if manifold.written("runner_bore"):
        yield OrderLine("Runners", f"{_mm(manifold.si('runner_bore'))} bore", "build")
    if manifold.has("material"):
        wall = f", {_mm(manifold.si('wall'))} wall" if manifold.has("wall") else ""
        hot = _top(plan, "temperature_em")
        yield OrderLine(
            "Manifold", f"{manifold.text('material')}{wall}; gas up to {hot - 273.15:.0f} degC", "card"
        )
    exhaust = build["exhaust"]
    drop = _top(plan, "pressure_4") - plan.pressure_amb
    yield OrderLine(
        "Downpipe and exhaust",
        f"{_mm(exhaust.si('bore'))} bore, at most {drop / 1e3:.0f} kPa above the air behind the turbine",
        _how(build, "exhaust", "pressure_drop") if exhaust.has("pressure_drop") else "build",
    )
    yield OrderLine("Throttle", f"{_mm(build['throttle'].si('bore'))} bore", _how(build, "throttle", "bore"))
    cooler = build["charge_cooler"]
    if cooler.text("kind") != "none":
        hot, heat = _top(plan, "temperature_im"), _top(plan, "cooler_heat_flow")
        loss = _loss(plan)
        yield OrderLine(
            "Charge cooler",
            f"{heat / 1e3:.0f} kW, charge up to {hot - 273.15:.0f} degC, {loss / 1e3:.0f} kPa lost from compressor to "
            "throttle at most",
            _how(build, "charge_cooler", "effectiveness") if cooler.has("effectiveness") else "build",
        )


def _loss(plan: Plan) -> float:
    day = plan.days[0]
    if not {"pressure_2", "pressure_bp"} <= set(day.quantities):
        return math.nan
    loss = day["pressure_2"] - day["pressure_bp"]
    return float(np.nanmax(loss)) if np.isfinite(loss).any() else math.nan


def _fuel(build: Build, plan: Plan) -> Iterator[OrderLine]:
    fuel = build["fuel_system"]
    if fuel.text("injection") == "none":
        flow = _top(plan, "mass_flow_fuel")
        yield OrderLine(
            "Injectors and pump",
            f"for {1e3 * flow:.1f} g/s of fuel in all; not described yet",
            "not answered",
        )
    else:
        words = f"{fuel.integer('injector_count')} of {fuel.as_written('injector_flow')}".replace('"', "")
        yield OrderLine(
            "Injectors", f"{words}: {100 * _top(plan, 'injector_duty'):.0f} % duty at most", "from the plan"
        )
        if fuel.text("pump") != "none":
            day = plan.days[0]
            least = min(
                (float(np.nanmin(d["pump_margin"])) for d in plan.days if "pump_margin" in d.quantities),
                default=math.nan,
            )
            outlet = (
                day["pump_outlet_pressure"]
                if "pump_outlet_pressure" in day.quantities
                else np.array([math.nan])
            )
            yield OrderLine(
                "Fuel pump",
                f"against {np.nanmax(outlet) / 1e3:.0f} kPa gauge, {100 * least:.0f} % unused at least",
                "from the plan",
            )
    table = float(np.nanmax(plan.target)) if np.isfinite(plan.target).any() else math.nan
    manifold = _top(plan, "pressure_em")
    yield OrderLine(
        "Pressure sensors",
        f"intake manifold to {(table + SENSOR_HEADROOM) / 1e3:.0f} kPa absolute or more; exhaust manifold mean "
        f"{manifold / 1e3:.0f} kPa absolute, pulses on top",
        "headroom common practice",
    )


def _defaults(build: Build) -> Iterator[Guess]:
    """Defaults nobody has confirmed, those with a band first."""
    found = []
    for used in build.defaults_used:
        section, _, key = used.key.partition(".")
        value = build[section].values.get(key)
        parameter = value.parameter if value is not None else None
        if parameter is None or not parameter.default_band:
            continue
        band = parameter.default_band
        spread = f"{used.value}, {band}" if " to " in band else f"{used.value} +- {band}"
        found.append(Guess(used.key, spread, used.status, parameter.measured_by))
    yield from found
