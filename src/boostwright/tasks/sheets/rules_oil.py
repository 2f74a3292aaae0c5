"""Rules about oil and water of the turbocharger."""

from __future__ import annotations

import math

from boostwright.tasks.sheets.answer import Answer, Stage, go, not_answered, stop
from boostwright.tasks.sheets.facts import Facts
from boostwright.tasks.sheets.rule import Rule, by_choice, degrees, line_near_heat, millimetres

__all__ = ["RULES"]

_FEED = {"journal": (1.5e-3, math.inf), "ball": (0.7e-3, 1.6e-3)}  # m, narrowest place of the feed
_LEAST_DRAIN_ANGLE = math.radians(30.0)
_MOST_PORT_TILT = math.radians(15.0)
_HOLD = 1e-9


def _feed(facts: Facts) -> Answer:
    bearing, bore, restrictor = (
        facts.text("oil.bearing"),
        facts.si("oil.feed_bore"),
        facts.si("oil.feed_restrictor"),
    )
    narrow = min((value for value in (bore, restrictor) if math.isfinite(value)), default=math.nan)
    if not bearing or not math.isfinite(narrow) or not math.isfinite(restrictor):
        return not_answered("Write oil.bearing, oil.feed_bore and oil.feed_restrictor.")
    low, high = _FEED[bearing]
    figure = f"{bearing} bearing, {millimetres(restrictor)} restrictor in a line of {millimetres(bore)}"
    if narrow < low - _HOLD:
        return stop(figure, f"Open the feed to {millimetres(low)} or more, or the bearing starves.")
    if narrow > high + _HOLD:
        return stop(figure, f"Fit a restrictor of {millimetres(high)} or less, or oil floods the seals.")
    return go(figure)


def _drain_bore(facts: Facts) -> Answer:
    bore, port = facts.si("oil.drain_bore"), facts.si("oil.drain_port_bore")
    if not (math.isfinite(bore) and math.isfinite(port)):
        return not_answered(
            "Measure the drain line and the housing's drain port: oil.drain_bore, oil.drain_port_bore."
        )
    figure = f"{millimetres(bore)} line on a port of {millimetres(port)}"
    if bore < port - _HOLD:
        return stop(figure, f"Fit a drain of {millimetres(port)} or more all the way, fittings included.")
    return go(figure)


def _drain_angle(facts: Facts) -> Answer:
    angle = facts.si("oil.drain_angle")
    if not math.isfinite(angle):
        return not_answered("Measure the flattest stretch of the drain: oil.drain_angle.")
    figure = f"flattest stretch {math.degrees(angle):.0f} deg below horizontal"
    if angle < _LEAST_DRAIN_ANGLE - _HOLD:
        return stop(
            figure, "Route the drain down without flat or climbing stretch, or raise the turbocharger."
        )
    return go(figure)


def _port_tilt(facts: Facts) -> Answer:
    tilt = facts.si("oil.drain_port_tilt")
    if not math.isfinite(tilt):
        return not_answered(
            "Measure how far the drain port is turned from straight down: oil.drain_port_tilt."
        )
    figure = f"port {math.degrees(tilt):.0f} deg from straight down"
    if tilt > _MOST_PORT_TILT + _HOLD:
        return stop(figure, "Turn the bearing housing in its clamps until the port points down.")
    return go(figure)


def _near_heat(facts: Facts, lines: dict[str, str], section: str) -> Answer:
    """Whether lines stand their distance from hot parts; ``lines`` is their name -> material."""
    distance, shield = facts.si(f"{section}.hot_distance"), facts.text(f"{section}.shield")
    missing = [f"{section}.{name}" for name, material in lines.items() if not material]
    missing += [] if math.isfinite(distance) else [f"{section}.hot_distance"]
    missing += [] if shield else [f"{section}.shield"]
    if missing:
        return not_answered(f"Write {', '.join(missing)}.")
    gas = facts.highest("temperature_em")
    hot = f" at up to {degrees(gas)} gas" if math.isfinite(gas) else ""
    made = ", ".join(sorted(set(lines.values())))
    guarded = "no shield" if shield == "none" else f"a {shield} between"
    figure = f"{made}, {millimetres(distance)} from parts{hot}, {guarded}"
    wrong = [fault for material in lines.values() if (fault := line_near_heat(material, distance, shield))]
    if wrong:
        return stop(figure, f"{wrong[0]}: take steel or move the line, with a shield with air on both sides.")
    return go(figure)


def _oil_near_heat(facts: Facts) -> Answer:
    lines = {key: facts.text(f"oil.{key}") for key in ("feed_material", "drain_material")}
    return _near_heat(facts, lines, "oil")


def _coolant_near_heat(facts: Facts) -> Answer:
    if facts.text("coolant.housing") == "oil-only":
        return go("no water lines: the housing is cooled by its oil")
    return _near_heat(facts, {"material": facts.text("coolant.material")}, "coolant")


_COOLANT_RISE = by_choice(
    "coolant.return_runs",
    {"rising": "rises all the way to the engine", "level": "runs level"},
    {"falling": "falls or loops: steam stays in the housing after a hot stop"},
    "Route the return upwards all the way, or fit a pump that runs on.",
)
_COOLANT_TEST = by_choice(
    "coolant.pressure_test",
    {"held": "held the pressure of its cap, cold"},
    {"lost": "lost its pressure"},
    "Find the leak; hold the cap's pressure, cold, with the lines fitted.",
)


def _return(facts: Facts) -> Answer:
    if facts.text("coolant.housing") == "oil-only":
        return go("no water lines: idle a minute before every stop")
    if not facts.text("coolant.housing"):
        return not_answered("Write coolant.housing.")
    return _COOLANT_RISE(facts)


RULES: tuple[Rule, ...] = (
    Rule(
        "oil-feed",
        Stage.FIRST_FIRE,
        "Does the turbocharger get its oil, and not too much?",
        "narrowest place 1.5 mm or more for journal bearings, 0.7 to 1.6 mm for ball bearings (common practice)",
        _feed,
        guards=6,
    ),
    Rule(
        "oil-drain-bore",
        Stage.FIRST_FIRE,
        "Is the drain at full bore all the way?",
        "no narrower than the port (read in a turbo maker's page on drains)",
        _drain_bore,
        guards=6,
    ),
    Rule(
        "oil-drain-angle",
        Stage.FIRST_FIRE,
        "Does the drain fall all the way?",
        "30 deg below horizontal or steeper (common practice)",
        _drain_angle,
        guards=6,
    ),
    Rule(
        "oil-drain-port",
        Stage.FIRST_FIRE,
        "Does the housing's drain port point down?",
        "within 15 deg of straight down (read in a turbo maker's page; another says 10)",
        _port_tilt,
        guards=6,
    ),
    Rule(
        "oil-drain-level",
        Stage.FIRST_FIRE,
        "Does the drain come in above the oil?",
        "above the level, engine running (common practice)",
        by_choice(
            "oil.drain_enters",
            {"above-oil": "above the oil"},
            {"below-oil": "below the oil: it backs up into the seals"},
            "Bring the drain in above the level, away from the crank's windage.",
        ),
        guards=6,
    ),
    Rule(
        "oil-near-heat",
        Stage.FIRST_FIRE,
        "Can an oil line melt on a hot part?",
        "distance by material and shield (own estimate); no plastic within 600 mm",
        _oil_near_heat,
        guards=6,
    ),
    Rule(
        "coolant-near-heat",
        Stage.FIRST_FIRE,
        "Can a water line melt on a hot part?",
        "distance by material and shield (own estimate)",
        _coolant_near_heat,
        guards=6,
    ),
    Rule(
        "coolant-return",
        Stage.FIRST_FIRE,
        "Does steam leave the bearing housing after a hot stop?",
        "return line rising or level (common practice)",
        _return,
        safety=False,
    ),
    Rule(
        "coolant-held",
        Stage.FIRST_FIRE,
        "Has the cooling system held its pressure?",
        "cap's pressure, cold (common practice)",
        _COOLANT_TEST,
    ),
)
"""In the order of the sheet."""
