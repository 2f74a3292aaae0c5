"""Rules whose figures come from the model: torque, gate, housing, fuel, and every other limit of the build."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.operating_point import NoSteadyState
from boostwright.tasks.sheets.answer import Answer, Stage, go, not_answered, stop
from boostwright.tasks.sheets.facts import Facts, Worst, rpm
from boostwright.tasks.sheets.rule import Rule, by_choice, percent
from boostwright.tasks.sheets.rules_control import SENSOR_HEADROOM, kilopascal

__all__ = ["RULES"]

_SAME = 1e3  # Pa
_NO_END = 1e9  # Pa: what a wheel gives that runs away
_SHORT = 2e3  # Pa below the table that counts as not reached
_LARGER_GATE = (
    "A larger gate, a branch in the line of flow, or less behind the turbine: boostwright whatif ranks."
)
_NO_TABLE = "Give boost_control.target, or make a plan."
_STRENGTH = frozenset({"torque-cap", "peak-pressure", "driveline-torque"})
_ROOM = frozenset({"compressor-surge", "compressor-choke", "shaft-speed"})
_FUEL = frozenset({"injector", "pump"})
_APART = frozenset({"drive-pressure-ratio", "egt"})


def _strength(name: str) -> bool:
    return name in _STRENGTH or name.startswith("rod")


def _used(worst: Worst) -> str:
    """How far a limit is used, where and when."""
    return f"{worst.words}: {percent(worst.use)} of its limit at {rpm(worst.speed)} ({worst.day})"


def _limits(
    names: Callable[[str], bool], mend: str, none: str, spikes: bool = True
) -> Callable[[Facts], Answer]:
    """Judge of the limits of those names over all days."""

    def judge(facts: Facts) -> Answer:
        if facts.target is None:
            return not_answered(_NO_TABLE)
        worst = facts.worst(names, spikes or facts.text("plan.spike_limits") == "all")
        if worst is None:
            return not_answered(none)
        return stop(_used(worst), mend) if worst.exceeded else go(_used(worst))

    return judge


def _steady(facts: Facts) -> Answer:
    if facts.target is None:
        return not_answered(_NO_TABLE)
    lost = facts.unsolved()
    if lost is not None:
        day, speed, outcome = lost
        return stop(f"{outcome.reason.replace('-', ' ')} at {rpm(speed)} ({day})", outcome.message)
    return go(f"a steady state at every speed on {len(facts.days)} days")


def _creep(facts: Facts) -> Answer:
    if facts.target is None:
        return not_answered(_NO_TABLE)
    if facts.floor is None:
        return stop("no wastegate", "Fit a gate: nothing holds the boost.")
    floor = facts.floor
    for speed, outcome in zip(floor.speeds, floor.outcomes, strict=True):
        if isinstance(outcome, NoSteadyState):
            return stop(f"gate fully open it has no steady state at {rpm(speed)}", outcome.message)
    if facts.plan is not None and "creep-floor" in facts.plan.binding:
        at = facts.plan.binding.index("creep-floor")
        held, speed = kilopascal(float(facts.plan.floor[at])), rpm(float(facts.plan.speeds[at]))
        return stop(f"gate fully open {held} at {speed}: past a limit", _LARGER_GATE)
    wanted = np.array([facts.target.at(float(speed)) for speed in floor.speeds])
    if facts.plan is not None:  # a table at the barometer asks for the gate open, which is the floor itself
        wanted = np.where(wanted < facts.plan.pressure_amb + _SAME, floor["pressure_im"], wanted)
    over = floor["pressure_im"] - wanted
    at = int(np.nanargmax(over))
    figure = (
        f"gate fully open {kilopascal(float(floor['pressure_im'][at]))}, table {kilopascal(float(wanted[at]))} "
        f"at {rpm(floor.speeds[at])}"
    )
    if over[at] > _SAME:
        return stop(figure, _LARGER_GATE)
    return go(figure)


def _reached(facts: Facts) -> Answer:
    """Whether the wheel, gate shut, gives what the build's own table asks from its first speed on."""
    if facts.own is None:
        return not_answered(_NO_TABLE)
    control = facts.build["boost_control"]
    if not control.has("target") or control.curve("target").is_constant:
        return not_answered(
            "Write boost_control.target over engine speed: it says from where boost is wanted."
        )
    asked = control.curve("target")
    speeds, first = facts.own.speeds, asked.speed_points[0]
    wanted = np.array([asked.at(float(speed)) for speed in speeds])
    short = np.where(speeds >= first * (1.0 - 1e-9), wanted - _given(facts), -np.inf)
    short = np.where(np.isfinite(short), short, -np.inf)
    at = int(np.argmax(short))
    threshold = next((r for r in facts.own.remarks if r.code == "threshold" and r.value is not None), None)
    begins = f"the build asks for it from {rpm(first)}"
    if threshold is not None and threshold.value is not None:
        begins = f"threshold {rpm(threshold.value)} (a lower bound), {begins}"
    if short[at] > _SHORT:
        figure = f"{kilopascal(float(short[at]), 'short')} at {rpm(speeds[at])}; {begins}"
        return stop(figure, "A smaller housing or wheel, or begin the table later.")
    return go(f"reached everywhere; {begins}")


def _given(facts: Facts) -> NDArray[np.float64]:
    """What the wheel gives [Pa absolute] at the judged speeds, at least: held, or by the plan with the gate shut."""
    own = facts.own
    if own is None:
        return np.array([])
    held = np.where(own.solved, own["pressure_im"], np.inf)
    if facts.plan is None:
        return held
    spool = np.where(np.isfinite(facts.plan.spool), facts.plan.spool, _NO_END)
    return np.asarray(np.maximum(held, np.interp(own.speeds, facts.plan.speeds, spool)))


def _tight(facts: Facts) -> Answer:
    if facts.target is None:
        return not_answered(_NO_TABLE)
    worst = facts.worst(lambda name: name == "drive-pressure-ratio", spikes=False)
    if worst is None:
        ratio = facts.highest("drive_pressure_ratio")
        return not_answered("Write limits.drive_pressure_ratio.", f"at most {ratio:.2f}, absolute")
    figure = f"{worst.value:.2f} of {worst.bound:.2f}, absolute, at {rpm(worst.speed)} ({worst.day})"
    return stop(figure, "A larger housing, or less boost at the top.") if worst.exceeded else go(figure)


def _own_table(facts: Facts) -> Answer:
    """Whether the table that stands in the build, and perhaps in the controller, is inside the one judged."""
    control = facts.build["boost_control"]
    if facts.plan is None:
        return go("the build's own is the one judged") if control.has("target") else not_answered(_NO_TABLE)
    if not control.has("target"):
        return go("the build has none of its own; the plan's is judged")
    if facts.target is None or facts.own is None:
        return stop(
            "the plan found no table inside every limit", "Take the build's table out until there is one."
        )
    speeds, own, plan = facts.own.speeds, control.curve("target"), facts.plan
    planned = np.array([facts.target.at(float(speed)) for speed in speeds])
    spool = np.interp(speeds, plan.speeds, np.where(np.isfinite(plan.spool), plan.spool, _NO_END))
    asked = np.minimum(np.array([own.at(float(speed)) for speed in speeds]), spool)
    inside = (speeds >= facts.target.speed_points[0]) & (speeds <= facts.target.speed_points[-1])
    over = np.where(inside, asked - planned - plan.step, 0.0)
    at = int(np.argmax(over))
    if over[at] > _SAME:
        above = kilopascal(float(asked[at] - planned[at]), "above")
        figure = f"up to {above} the plan's, at {rpm(speeds[at])}"
        return stop(figure, "Put the plan's table into the build and the controller: the dyno card has it.")
    return go("nowhere above the plan's")


def _sensor_range(facts: Facts) -> Answer:
    top, highest = facts.si("sensors.manifold_pressure_highest"), facts.highest_target()
    if not math.isfinite(top):
        return not_answered(
            "Write what the manifold pressure sensor shows at most: sensors.manifold_pressure_highest."
        )
    if not math.isfinite(highest):
        return not_answered(_NO_TABLE, f"shows up to {kilopascal(top)}")
    figure = f"shows up to {kilopascal(top)}, table up to {kilopascal(highest)}"
    if top < highest + SENSOR_HEADROOM - 1.0:
        return stop(figure, f"A sensor to {kilopascal(highest + SENSOR_HEADROOM)} or more, and scale it.")
    return go(figure)


def _fuel_described(facts: Facts, key: str, absent: str) -> bool:
    return facts.text(f"fuel_system.{key}") not in ("", absent)


def _injectors(facts: Facts) -> Answer:
    if not _fuel_described(facts, "injection", "none"):
        return not_answered("Describe the injectors in [fuel_system].")
    judge = _limits(
        lambda name: name == "injector", "Larger injectors, or less boost; not more rail pressure alone.", ""
    )
    return judge(facts)


def _pump(facts: Facts) -> Answer:
    if not _fuel_described(facts, "pump", "none"):
        return not_answered("Describe the pump in [fuel_system]: its flow over pressure, its voltage.")
    return _limits(lambda name: name == "pump", "A larger pump or thicker wires to it, or less boost.", "")(
        facts
    )


def _knock(facts: Facts) -> Answer:
    own = facts.own
    phasing = ""
    if own is not None and np.isfinite(own["angle_half_burned"]).any():
        phasing = (
            f"; CA50 up to {math.degrees(float(np.nanmax(own['angle_half_burned']))):.0f} deg by the model"
        )
    heard = {"ears": "by ear", "sensor": "by its sensor"}
    word = facts.text("fail_safes.knock_heard_by")
    if word in heard:
        return go(f"{heard[word]}{phasing}")
    if word == "none":
        return stop(f"nobody listens{phasing}", "Listen on every pull: a tube to the ears, or a sensor.")
    return not_answered("Write fail_safes.knock_heard_by.", f"not known{phasing}")


def _others(facts: Facts) -> Answer:
    """Every limit that has no line of its own."""
    if facts.target is None:
        return not_answered(_NO_TABLE)

    def rest(name: str) -> bool:
        return not (_strength(name) or name in _ROOM | _FUEL | _APART)

    worst = facts.worst(rest)
    if worst is None:
        return go("the build states none")
    return (
        stop(_used(worst), "Less boost there, or see limits of the build.")
        if worst.exceeded
        else go(_used(worst))
    )


RULES: tuple[Rule, ...] = (
    Rule(
        "creep-floor",
        Stage.FIRST_BOOST,
        "Can the gate hold the table?",
        "creep floor by the model, below the table at every speed",
        _creep,
        guards=4,
    ),
    Rule(
        "steady",
        Stage.FIRST_BOOST,
        "Has the table a steady state everywhere, on every day?",
        "by the model",
        _steady,
    ),
    Rule(
        "sensor-range",
        Stage.FIRST_BOOST,
        "Does the manifold pressure sensor reach far enough?",
        f"{SENSOR_HEADROOM / 1e3:.0f} kPa above the table (common practice)",
        _sensor_range,
        guards=2,
    ),
    Rule(
        "regulator-hose",
        Stage.FIRST_BOOST,
        "Will the fuel regulator's hose stay on?",
        "clamped or screwed (common practice); off, it takes boost's pressure from the injectors",
        by_choice(
            "hoses.regulator_signal_ends",
            {"clamped": "clamped", "screwed": "screwed"},
            {"push-on": "just pushed on"},
            "Clamp both ends.",
        ),
        guards=2,
    ),
    Rule(
        "own-table",
        Stage.FULL_PULL,
        "Is the table in the build inside the plan's?",
        "boost_control.target against the plan",
        _own_table,
        guards=1,
    ),
    Rule(
        "rods-and-torque",
        Stage.FULL_PULL,
        "Do rods and driveline stand the table, with cold air and an overshoot?",
        "torque cap, rods, peak pressure with their margins, on every day of [plan]",
        _limits(
            _strength,
            "Less boost at that speed; a later ramp in the middle.",
            "Write limits.torque, or [rods].",
        ),
        guards=1,
    ),
    Rule(
        "injectors",
        Stage.FULL_PULL,
        "Do the injectors give enough?",
        "highest duty wanted, on every day of [plan]",
        _injectors,
        guards=2,
    ),
    Rule(
        "fuel-pump",
        Stage.FULL_PULL,
        "Does the pump give enough at that pressure?",
        "margin wanted, on every day of [plan]",
        _pump,
        guards=2,
    ),
    Rule(
        "housing-late",
        Stage.FULL_PULL,
        "Does boost come where the table wants it?",
        "the shut-gate balance by the model against the table",
        _reached,
        guards=5,
        safety=False,
    ),
    Rule(
        "housing-tight",
        Stage.FULL_PULL,
        "Is the housing large enough for the top end?",
        "limits.drive_pressure_ratio, absolute",
        _tight,
        guards=5,
    ),
    Rule(
        "compressor-room",
        Stage.FULL_PULL,
        "Is there room to surge, choke and shaft speed?",
        "margins of the build and the card's speed, on every day of [plan]",
        _limits(
            lambda name: name in _ROOM,
            "Another compressor, or less boost there and at height.",
            "The map says nothing at these points.",
        ),
        guards=5,
    ),
    Rule(
        "egt",
        Stage.FULL_PULL,
        "Does exhaust temperature stay below its limit?",
        "limits.egt_reading, as the probe shows it",
        _limits(
            lambda name: name == "egt",
            "Richer at the top, less retard, or less boost.",
            "Write limits.egt_reading.",
            spikes=False,
        ),
    ),
    Rule(
        "knock",
        Stage.FIRST_BOOST,
        "Will knock be noticed?",
        "by ear or sensor on every pull; knock is a stop, not a factor (common practice)",
        _knock,
    ),
    Rule("other-limits", Stage.FULL_PULL, "Does every other limit of the build hold?", "[limits]", _others),
)
"""In the order of the sheet."""
