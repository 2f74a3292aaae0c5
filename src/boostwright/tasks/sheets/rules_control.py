"""Rules about what holds the boost, and what happens when it fails."""

from __future__ import annotations

import math

import numpy as np

from boostwright.solve.operating_point import NoSteadyState
from boostwright.tasks.plan_result import SpringAdvice
from boostwright.tasks.sheets.answer import Answer, Stage, go, not_answered, stop
from boostwright.tasks.sheets.facts import Facts, rpm
from boostwright.tasks.sheets.rule import Rule, by_choice, line_near_heat, millimetres

__all__ = ["RULES", "SENSOR_HEADROOM", "kilopascal"]

SENSOR_HEADROOM = 50e3
"""Pressure [Pa] a manifold sensor should show above the highest target; common practice."""

_CUT_ROOM = 1.25  # highest cut over the highest target, own estimate
_SAME = 1e3  # Pa


def kilopascal(value: float, basis: str = "absolute") -> str:
    """A pressure [Pa] as text."""
    return f"{value / 1e3:.0f} kPa {basis}".rstrip()


def _without_hose(facts: Facts) -> str:
    """What boost does with the hose off, by the model."""
    if facts.lost is None:
        return ""
    for speed, outcome in zip(facts.lost.speeds, facts.lost.outcomes, strict=True):
        if isinstance(outcome, NoSteadyState):
            return f"with the hose off it runs away above {rpm(speed)}"
    boost = facts.lost["pressure_im"]
    at = int(np.nanargmax(boost))
    return f"with the hose off {kilopascal(float(boost[at]))} at {rpm(facts.lost.speeds[at])}"


def _gate_hose(facts: Facts) -> Answer:
    if facts.lost is None:
        return stop("no wastegate", "Fit a gate: nothing holds the boost.")
    material, ends = facts.text("hoses.gate_signal_material"), facts.text("hoses.gate_signal_ends")
    distance, without = facts.si("hoses.gate_signal_hot_distance"), _without_hose(facts)
    if not material or not ends or not math.isfinite(distance):
        return not_answered(
            "Write hoses.gate_signal_material, gate_signal_ends and gate_signal_hot_distance.", without
        )
    figure = f"{material}, {ends}, {millimetres(distance)} from hot parts; {without}"
    if facts.text("wastegate.signal_source") == "plenum":
        return stop(
            f"from the plenum; {figure}",
            "Take the signal at the compressor outlet, short, not behind the throttle.",
        )
    if ends == "push-on":
        return stop(figure, "Clamp or screw both ends.")
    wrong = line_near_heat(material, distance, "none")
    return stop(figure, f"{wrong}: move it, or make it of metal.") if wrong else go(figure)


def _solenoid(facts: Facts) -> Answer:
    if facts.spring is None:
        return stop("no wastegate", "Fit a gate: nothing holds the boost.")
    word, spring = facts.text("fail_safes.solenoid_dead"), facts.spring
    boost = spring["boost"][spring.solved]
    figure = (
        f"spring alone {kilopascal(float(np.nanmax(boost)), 'gauge')}"
        if boost.size
        else "spring alone: no steady state"
    )
    if word == "highest-boost":
        return stop(
            f"plug pulled gives highest boost; {figure}",
            "Change ports: without current the gate must see its signal.",
        )
    if word != "lowest-boost":
        return not_answered(
            "Pull the plug and try it with air on the hose: fail_safes.solenoid_dead.", figure
        )
    if not spring.solved.all():
        lost = rpm(spring.speeds[int(np.argmin(spring.solved))])
        return stop(
            f"{figure}; no steady state from {lost}", "Spring or gate cannot hold boost by themselves."
        )
    return go(f"plug pulled gives lowest boost; {figure}")


def _spring(facts: Facts) -> Answer:
    if facts.spring is None or facts.target is None:
        return not_answered("It takes a gate and a boost table.")
    speeds = facts.spring.speeds
    wanted = np.array([facts.target.at(float(speed)) for speed in speeds])
    over = facts.spring["pressure_im"] - wanted
    at = int(np.nanargmax(np.where(np.isfinite(over), over, -np.inf)))
    advice = None if facts.plan is None else facts.plan.spring
    if advice is not None:
        return _planned_spring(advice)
    held, asked = kilopascal(float(facts.spring["pressure_im"][at])), kilopascal(float(wanted[at]))
    figure = f"spring {held}, table {asked} at {rpm(speeds[at])}"
    if over[at] > _SAME and facts.floor is not None and facts.floor["pressure_im"][at] <= wanted[at] + _SAME:
        return stop(figure, "Fit a softer spring: a solenoid can only raise boost above it.")
    return go(figure)


def _planned_spring(advice: SpringAdvice) -> Answer:
    """The spring fitted against the one the plan wants."""
    fitted = f"{advice.fitted.rating / 1e5:.2f} bar gauge, {advice.basis}"
    if advice.chosen is None:
        return stop(f"fitted {fitted}; no spring looked at holds what it must", advice.words)
    wanted = f"{advice.chosen.rating / 1e5:.2f} bar"
    if advice.fitted.above.any():
        return stop(
            f"fitted {fitted}, above the table alone", f"Fit {wanted}: a solenoid can only raise boost."
        )
    return go(f"fitted {fitted}; the plan would take {wanted}")


def _boost_cut(facts: Facts) -> Answer:
    cut, highest = facts.si("fail_safes.boost_cut"), facts.highest_target()
    sensor = facts.si("sensors.manifold_pressure_highest")
    if not math.isfinite(cut) or not facts.text("fail_safes.boost_cut_kind"):
        return not_answered("Set one: fail_safes.boost_cut and boost_cut_kind.")
    figure = f"{facts.text('fail_safes.boost_cut_kind')} cut at {kilopascal(cut)}"
    if not math.isfinite(highest):
        return not_answered("Give boost_control.target, or make a plan.", figure)
    figure += f", table up to {kilopascal(highest)}"
    if math.isfinite(sensor) and cut > sensor - 5e3:
        return stop(
            f"{figure}, sensor ends at {kilopascal(sensor)}",
            "The sensor never shows it: a longer range, or a lower cut.",
        )
    if cut <= highest:
        return stop(figure, "Set the cut above the table, or every pull ends in it.")
    if cut > _CUT_ROOM * highest:
        return stop(figure, f"Set it at {kilopascal(_CUT_ROOM * highest)} or below, or it guards nothing.")
    if facts.text("fail_safes.boost_cut_tried") == "no":
        return stop(f"{figure}, never tried", "Try it, set low for the trial.")
    if facts.text("fail_safes.boost_cut_tried") != "yes":
        return not_answered("Try it, set low for the trial: fail_safes.boost_cut_tried.", figure)
    return go(figure)


RULES: tuple[Rule, ...] = (
    Rule(
        "gate-hose",
        Stage.FIRST_BOOST,
        "Can the gate lose its hose?",
        "from the compressor outlet, clamped, away from heat (common practice; distances own estimate)",
        _gate_hose,
        guards=3,
    ),
    Rule(
        "solenoid-dead",
        Stage.FIRST_BOOST,
        "Does a dead solenoid give the lowest boost?",
        "plug pulled: lowest boost, and a steady one (common practice; spring by the model)",
        _solenoid,
        guards=3,
    ),
    Rule(
        "spring",
        Stage.FIRST_BOOST,
        "Is the spring below the table everywhere?",
        "boost of the spring alone by the model, against the table",
        _spring,
        guards=3,
    ),
    Rule(
        "boost-cut",
        Stage.FIRST_BOOST,
        "Is there an over-boost cut that can act?",
        f"above the table, within {100 * (_CUT_ROOM - 1):.0f} % of it (own estimate), inside the sensor's range, tried",
        _boost_cut,
        guards=3,
    ),
    Rule(
        "boost-pipes",
        Stage.FIRST_BOOST,
        "Will the boost hoses stay on?",
        "beaded ends (common practice)",
        by_choice(
            "hoses.boost_pipe_ends",
            {"beaded": "beaded ends"},
            {"plain": "plain ends: boost pushes the hoses off"},
            "Bead the pipe ends, and clamp behind the bead.",
        ),
    ),
    Rule(
        "boost-leaks",
        Stage.FIRST_BOOST,
        "Are inlet and boost pipes tight?",
        "held a low test pressure with a relief valve (common practice)",
        by_choice(
            "hoses.leak_test",
            {"held": "held"},
            {"lost": "leaks"},
            "Find the leak at low pressure, with a regulator and a relief valve.",
        ),
    ),
)
"""In the order of the sheet."""
