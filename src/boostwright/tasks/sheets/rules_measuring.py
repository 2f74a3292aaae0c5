"""Rules about what is measured, and by which figures the work is judged."""

from __future__ import annotations

import math

from boostwright.components.weather_correction import factor_by_name
from boostwright.tasks.sheets.answer import Answer, Stage, Verdict, go, not_answered, stop
from boostwright.tasks.sheets.facts import Facts
from boostwright.tasks.sheets.rule import Judge, Rule, by_choice, degrees

__all__ = ["RULES"]

_LAMBDA_HOTTEST = 1203.15  # K, gas at the probe
_LAMBDA_ANGLE = math.radians(10.0)


def _boss(*keys: str, dies: str) -> Judge:
    """Judge of sensors that must be fitted; ``dies`` is what cannot be decided without."""

    def judge(facts: Facts) -> Answer:
        words = {key: facts.text(f"sensors.{key}") for key in keys}
        names = {key: key.replace("_", " ") for key in keys}
        missing = [key for key, word in words.items() if word == "none"]
        if missing:
            listed = ", ".join(names[key] for key in missing)
            return stop(f"no boss for {listed}", f"Weld it before anything is coated: without it {dies}.")
        if unknown := [key for key, word in words.items() if not word]:
            return not_answered(f"Write {', '.join(f'sensors.{key}' for key in unknown)}.")
        bare = [names[key] for key, word in words.items() if word == "boss-only"]
        figure = f"bosses for {', '.join(names.values())}"
        return go(
            f"{figure}; no sensor yet in {', '.join(bare)}" if bare else f"{figure}, with their sensors"
        )

    return judge


_GATE_BOSS = _boss("gate_pressure", dies="a small gate cannot be told from a bad branch")


def _gate_boss(facts: Facts) -> Answer:
    if facts.text("wastegate.kind") == "flap":
        return go("gate in the turbine housing: no branch to tap; the rod's travel tells its lift")
    return _GATE_BOSS(facts)


def _lambda_place(facts: Facts) -> Answer:
    place, angle = facts.text("sensors.lambda_place"), facts.si("sensors.lambda_angle")
    if place == "ahead-of-turbine":
        return stop(
            "ahead of the turbine, under its pressure", "Move it behind the turbine: rich reads richer there."
        )
    if not place or not math.isfinite(angle):
        return not_answered("Write sensors.lambda_place and sensors.lambda_angle.")
    gas = facts.highest("temperature_4")
    figure = f"behind the turbine, {math.degrees(angle):.0f} deg above horizontal"
    if math.isfinite(gas):
        figure += f", gas up to {degrees(gas)}"
    if angle < _LAMBDA_ANGLE - 1e-9:
        return stop(figure, "Turn the boss up by 10 deg or more, or water kills the probe.")
    if gas > _LAMBDA_HOTTEST:
        return stop(figure, f"Move it down the pipe, below {degrees(_LAMBDA_HOTTEST)}.")
    return go(figure)


def _figures(facts: Facts) -> Answer:
    word = facts.text("dyno.figures")
    rule = facts.text("dyno.correction") or "sae-j1349"
    found = factor_by_name(rule, facts.build["ambient"])
    figure = f"{rule} on the build's day: factor {found.factor:.3f}"
    if found.invalid:
        figure += ", outside the standard"
    limit = facts.build["limits"].values.get("torque")
    if limit is not None:
        bound = limit.curve.value_points[0] if limit.curve else limit.si
        if bound:
            figure += f"; {bound:.0f} Nm on a corrected sheet is {bound / found.factor:.0f} Nm in the engine"
    if word == "corrected":
        return stop(f"corrected; {figure}", "Work by raw figures; correct only to compare days.")
    if word == "raw":
        return Answer(Verdict.GO, f"raw; {figure}")
    return not_answered("Ask the dyno's operator, and write dyno.figures.", figure)


RULES: tuple[Rule, ...] = (
    Rule(
        "boss-egt",
        Stage.FIRST_FIRE,
        "Can exhaust temperature be read in the manifold?",
        "boss before welding is done (common practice)",
        _boss("egt", dies="a hot cylinder or late spark stays unseen"),
        guards=11,
    ),
    Rule(
        "boss-exhaust-pressure",
        Stage.FIRST_FIRE,
        "Can exhaust manifold pressure be read?",
        "boss before welding is done (common practice)",
        _boss("exhaust_pressure", dies="nobody can tell a tight housing from a weak engine"),
        guards=11,
    ),
    Rule(
        "boss-gate",
        Stage.FIRST_FIRE,
        "Can pressure ahead of the gate's valve be read?",
        "boss before welding is done (own estimate)",
        _gate_boss,
        guards=11,
    ),
    Rule(
        "boss-air",
        Stage.FIRST_FIRE,
        "Can the compressor be placed on its map?",
        "compressor outlet, downpipe, shaft speed (common practice)",
        _boss(
            "compressor_outlet",
            "downpipe_pressure",
            "turbo_speed",
            dies="surge, choke and overspeed are guesses",
        ),
        guards=11,
        safety=False,
    ),
    Rule(
        "boss-life",
        Stage.FIRST_FIRE,
        "Are oil and fuel pressure watched?",
        "both, on every pull (common practice)",
        _boss("oil_pressure", "fuel_pressure", dies="a dying pump shows in the rods first"),
        guards=2,
    ),
    Rule(
        "sensors-agree",
        Stage.FIRST_FIRE,
        "Do all pressure sensors show the barometer, key on?",
        "within 1 kPa (common practice)",
        by_choice(
            "sensors.pressures_agree",
            {"yes": "all within 1 kPa"},
            {"no": "they do not agree"},
            "Mend scaling or sensor; gauge and absolute are the usual mix-up.",
        ),
        guards=2,
    ),
    Rule(
        "lambda-place",
        Stage.FIRST_BOOST,
        "Can the lambda reading be trusted where it stands?",
        "behind the turbine, 10 deg above horizontal, gas below 930 degC (read in a sensor's guide)",
        _lambda_place,
        guards=9,
    ),
    Rule(
        "exhaust-leaks",
        Stage.FIRST_BOOST,
        "Is the exhaust tight ahead of the probe?",
        "held smoke or low pressure (common practice)",
        by_choice(
            "sensors.exhaust_leak_test",
            {"held": "held"},
            {"lost": "leaks: it draws air in and reads lean"},
            "Find it with smoke, cold; face the flanges.",
        ),
        guards=9,
    ),
    Rule(
        "raw-figures",
        Stage.FULL_PULL,
        "Is the work judged by raw figures?",
        "raw first; a rod knows no correction (common practice)",
        _figures,
        guards=10,
    ),
)
"""In the order of the sheet."""
