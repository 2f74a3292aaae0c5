"""Rules about how manifold and surroundings are made."""

from __future__ import annotations

import math
from collections.abc import Callable

from boostwright.tasks.sheets.answer import Answer, Stage, go, not_answered, stop
from boostwright.tasks.sheets.facts import Facts
from boostwright.tasks.sheets.rule import Rule, by_choice, degrees, millimetres

__all__ = ["RULES", "heat_growth"]

_ASSUMED_EXPANSION = 18e-6  # 1/K, austenitic steel; from memory
_ASSUMED_METAL = 1123.15  # K, where no table was judged
_COLD = 293.15
_THIN, _THIN_HOTTEST = 2.0e-3, 1033.15  # m, K: 1.65 mm of 304 cracked beside its welds at 760 degC held
_HOLD = 1e-9
_SCALING = "service temperature of its card"


def heat_growth(facts: Facts) -> float:
    """By how much the hot pipe of ``clearance.hot_length`` grows [m], from 20 degC to its hottest wall."""
    card = facts.material()
    expansion = card.si("thermal_expansion") if card is not None else _ASSUMED_EXPANSION
    metal = facts.hottest_metal()
    metal = metal if math.isfinite(metal) else _ASSUMED_METAL
    return expansion * facts.si("clearance.hot_length") * max(metal - _COLD, 0.0)


def _manifold_heat(facts: Facts) -> Answer:
    card, wall, metal = facts.material(), facts.si("exhaust_manifold.wall"), facts.hottest_metal()
    if card is None or not math.isfinite(wall):
        return not_answered("Write exhaust_manifold.material and exhaust_manifold.wall.")
    if not card.has("service_temperature"):
        return not_answered(f"Give the material card {card.name} its service_temperature.")
    if not math.isfinite(metal):
        return not_answered("Give boost_control.target, or make a plan: without a table no gas temperature.")
    bound = card.si("service_temperature")
    figure = f"{card.name}, {millimetres(wall)}: wall up to {degrees(metal)}, card {degrees(bound)}"
    if metal > bound:
        return stop(
            figure, "Take a material for more heat, or bring the gas down: richer, less retard, less boost."
        )
    if wall < _THIN - _HOLD and metal > _THIN_HOTTEST:
        return stop(figure, "Take 2 mm or more: thin walls crack beside their welds at this heat.")
    return go(figure)


def _support(facts: Facts) -> Answer:
    support, made = facts.text("exhaust_manifold.turbo_support"), facts.text("exhaust_manifold.growth")
    if support == "sliding":
        return go("carried by a leg that slides")
    if support == "rigid":
        return stop(
            "braced rigidly", "Let the leg slide or swing: a rigid brace blocks growth, and welds crack."
        )
    if support == "none" and made == "log":
        return go("carried by a stiff log or casting")
    if support == "none" and made:
        return stop(
            "hung on its manifold alone", "Carry its weight on a leg that lets growth go, or the studs strip."
        )
    return not_answered("Write exhaust_manifold.turbo_support and exhaust_manifold.growth.")


def _growth(facts: Facts) -> Answer:
    made = facts.text("exhaust_manifold.growth")
    figure = f"{millimetres(heat_growth(facts))} on {millimetres(facts.si('clearance.hot_length'))}"
    if not made:
        return not_answered("Write exhaust_manifold.growth.", figure)
    ways = {
        "slip-joints": "slip joints take it",
        "bends": "bends take it",
        "log": "short and stiff, of one piece",
        "blocked": "straight pipes held at both ends",
    }
    if made == "blocked":
        return stop(
            f"{figure}: {ways[made]}", "Give runners slip joints or bends, or weld and head flange crack."
        )
    return go(f"{figure}: {ways[made]}")


def _gap(key: str, least: float, mend: str, shield: bool = False) -> Callable[[Facts], Answer]:
    """Judge of one clearance, growth and movement taken off."""

    def judge(facts: Facts) -> Answer:
        cold = facts.si(f"clearance.{key}")
        if not math.isfinite(cold):
            return not_answered(f"Measure it: clearance.{key}.")
        left = cold - heat_growth(facts) - facts.si("clearance.engine_movement")
        figure = (
            f"{millimetres(cold)} cold, {millimetres(left) if left > 0.0 else 'nothing'} left hot and moving"
        )
        if shield and facts.text("clearance.fuel_shield") == "fitted" and left > 0.0:
            return _after_welding(facts, f"{figure}, shield between")
        if left < least - _HOLD:
            return stop(figure, mend)
        return _after_welding(facts, figure)

    return judge


def _after_welding(facts: Facts, figure: str) -> Answer:
    """A gap that is large enough counts once all is welded: parts move as they are welded."""
    if facts.text("clearance.measured") == "after-welding":
        return go(figure)
    return not_answered("Measure again with everything welded and bolted on: clearance.measured.", figure)


_GROWTH = "left after heat growth and the engine's movement"

RULES: tuple[Rule, ...] = (
    Rule(
        "manifold-heat",
        Stage.FIRST_BOOST,
        "Will the manifold stand its heat?",
        f"below the {_SCALING}; 2 mm or more above 760 degC (a case told by engineers)",
        _manifold_heat,
        guards=7,
    ),
    Rule(
        "manifold-growth",
        Stage.FIRST_FIRE,
        "Can the manifold grow?",
        "slip joints, bends or one stiff piece (common practice)",
        _growth,
        guards=7,
    ),
    Rule(
        "turbo-support",
        Stage.FIRST_FIRE,
        "Is the turbocharger carried, and free to move with heat?",
        "a sliding leg, or a stiff log (common practice)",
        _support,
        guards=7,
    ),
    Rule(
        "fasteners-locked",
        Stage.FIRST_FIRE,
        "Are studs and bolts of head and turbine flange locked?",
        "locking nuts, plates or wire (common practice)",
        by_choice(
            "exhaust_manifold.fasteners_locked",
            {"locking-nuts": "locking nuts", "lock-plates": "lock plates", "wire": "wired"},
            {"nothing": "nothing holds them"},
            "Lock them for heat, and tighten again after the first heat cycles.",
        ),
        guards=7,
    ),
    Rule(
        "clearance-rail",
        Stage.FIRST_FIRE,
        "Does the hot side clear the rail?",
        f"15 mm {_GROWTH} (read in an article on clearances)",
        _gap("rail", 0.015, "Move the part or notch the rail; the notch wants an inspection."),
        guards=8,
    ),
    Rule(
        "clearance-bulkhead",
        Stage.FIRST_FIRE,
        "Does the hot side clear the bulkhead?",
        f"15 mm {_GROWTH} (read in an article on clearances)",
        _gap("bulkhead", 0.015, "Move the part, or reshape the bulkhead before anything is coated."),
        guards=8,
    ),
    Rule(
        "clearance-wiring",
        Stage.FIRST_FIRE,
        "Do wiring and hoses clear the hot side?",
        f"50 mm {_GROWTH} (own estimate)",
        _gap("wiring_and_hoses", 0.050, "Route and tie them away, or shield them with air on both sides."),
        guards=8,
    ),
    Rule(
        "clearance-fuel",
        Stage.FIRST_FIRE,
        "Do fuel lines clear the exhaust?",
        f"76 mm {_GROWTH}, or a shield (read in one state's vehicle code)",
        _gap("fuel_lines", 0.076, "Move the lines or fit a shield with air on both sides.", shield=True),
        guards=8,
    ),
    Rule(
        "clearance-brakes",
        Stage.FIRST_FIRE,
        "Do brakes and steering clear the hot side?",
        f"50 mm {_GROWTH} (own estimate); they win over exhaust",
        _gap("brakes_and_steering", 0.050, "Move the exhaust, not the brakes; have it inspected."),
        guards=8,
    ),
)
"""In the order of the sheet."""
