"""Pressures of one gas path that cannot stand beside each other, and which of them is to blame."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.sensor_checks.air_routes import plain_routes
from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.drive_pressure import least_before_turbine
from boostwright.logs.sensor_checks.other_units import pressure_unit
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView, Mask
from boostwright.logs.sensor_checks.words import apart, reading

__all__ = ["RULES", "Rule", "check_stations"]

Array = NDArray[np.float64]
AIR = "the air's pressure"
_GAS = 289.0


@dataclass(frozen=True)
class Rule:
    """``low`` is never above ``factor * high + slack``, in a state of the engine.

    slack [Pa] holds the dynamic head a wall tap does not see and the pressure a moving car has ahead of its filter
    """

    low: str
    high: str
    factor: float
    slack: float
    state: str
    physics: str


_THROTTLE = "Air flows from the pipe into the manifold, and only downhill."
_DROP = "A cooler and pipes that lost a quarter of the pressure would not make this boost."
RULES: tuple[Rule, ...] = (
    Rule("pressure_im", "pressure_bp_static", 1.0, 4e3, "pressed", _THROTTLE),
    Rule("pressure_im", "pressure_2_static", 1.0, 4e3, "pressed", _THROTTLE),
    Rule("pressure_bp_static", "pressure_2_static", 1.0, 4e3, "pressed", "Air flows from the compressor to the pipe."),
    Rule("pressure_2_static", "pressure_bp_static", 1 / 0.75, 0.0, "pressed", _DROP),
    Rule("pressure_bp_static", "pressure_im", 1 / 0.78, 0.0, "wide", "An open throttle takes a few per cent."),
    Rule("pressure_2_static", "pressure_im", 1 / 0.70, 0.0, "wide", _DROP),
    Rule("pressure_1_static", AIR, 1.0, 3e3, "load", "The compressor draws: ahead of it is less than the air."),
    Rule(AIR, "pressure_1_static", 1.0, 25e3, "load", "A filter that held back that much would show in boost."),
    Rule(AIR, "pressure_4_static", 1.0, 4e3, "load", "Gas flows out of the exhaust into the air, and only downhill."),
    Rule("pressure_4_static", AIR, 1.0, 80e3, "load", "An exhaust that held back that much would leave no boost."),
    Rule("pressure_4_static", "pressure_em_static", 1.0, 0.0, "load", "The turbine takes work out of the gas."),
    Rule("pressure_em_static", "pressure_im", 3.2, 0.0, "load", "No engine runs against three times its own boost."),
    Rule("pressure_im", AIR, 1.10, 3e3, "idle", "At idle a turbocharger presses next to nothing."),
    Rule("pressure_im", "pressure_2_static", 1.0, 4e3, "idle", _THROTTLE),
    Rule("pressure_im", "pressure_bp_static", 1.0, 4e3, "idle", _THROTTLE),
)  # fmt: skip
"""What must hold wherever air and gas flow. Continuity and the second law; the widths are common practice."""


@dataclass(frozen=True)
class _Broken:
    """A rule that does not hold: z, medians of both [Pa], the samples."""

    rule: Rule
    z: float
    low: float
    high: float
    mask: Mask


def check_stations(view: LogView) -> None:
    """Find them. A pressure that breaks with several while those agree is blamed alone; else both are named."""
    masks = {
        "load": view.boosted,
        "pressed": view.pressed,
        "wide": view.pressed & _wide(view),
        "idle": view.idle,
    }
    broken: list[_Broken] = []
    kept: dict[str, int] = {}
    made = 0
    for rule in RULES:
        one = _tried(view, rule, masks[rule.state])
        if one is None:
            continue
        made += 1
        if certainty_of_deviation(one.z) >= LEAST:
            broken.append(one)
        else:
            for name in (rule.low, rule.high):
                kept[name] = kept.get(name, 0) + 1
    turbine = _drive_pressure(view, masks["load"])
    made += turbine is not None
    if turbine is not None and certainty_of_deviation(turbine.z) >= LEAST:
        broken.append(turbine)
    if made:
        view.did("pressures of the gas path against each other")
    _could_not(view, masks["load"], made)
    _blame(view, broken, kept)


def _wide(view: LogView) -> Mask:
    with np.errstate(invalid="ignore"):
        return np.asarray(view.on("throttle_position") > 0.85)


def _pressure(view: LogView, name: str) -> Array | None:
    if name == AIR:
        return np.full(view.grid.shape, view.barometer[0])
    return view.absolute(name) if name in view.signals else None


def _half(view: LogView, name: str, value: float) -> float:
    return view.barometer[1] if name == AIR else view.tolerance(name, value)


def _tried(view: LogView, rule: Rule, mask: Mask) -> _Broken | None:
    low, high = _pressure(view, rule.low), _pressure(view, rule.high)
    if low is None or high is None:
        return None
    mask = mask & np.isfinite(low + high)
    if rule.state != "idle" and mask.sum() >= 10:
        level = np.maximum(low, high)
        mask = mask & (level >= np.percentile(level[mask], 30))
    if mask.sum() < 5 or mask.sum() * view.step < 0.8:
        return None
    over = low - rule.factor * high - rule.slack
    a, b = float(np.median(low[mask])), float(np.median(high[mask]))
    late = _asynchrony(view, rule, mask)
    width = float(
        np.sqrt(_half(view, rule.low, a) ** 2 + (rule.factor * _half(view, rule.high, b)) ** 2 + late**2)
    )
    return _Broken(rule, float(np.median(over[mask])) / width, a, b, mask)


def _asynchrony(view: LogView, rule: Rule, mask: Mask) -> float:
    """How far the pressures move between their two samples [Pa]."""
    gap = sum(view.signals[n].interval for n in (rule.low, rule.high) if n in view.signals)
    load = view.load
    if not np.isfinite(load).any() or load.size < 3:
        return 0.0
    return float(np.nanmedian(np.abs(np.gradient(load, view.step))[mask])) * 0.5 * gap


def _drive_pressure(view: LogView, mask: Mask) -> _Broken | None:
    """The turbine must make the compressor's power."""
    if "pressure_em_static" not in view.signals:
        return None
    probes = view.numbered("egt_reading")
    hottest = max((float(np.percentile(view.signals[n].value, 99)) for n in probes), default=1250.0)
    pressed = [
        view.absolute(n)
        for n in ("pressure_2_static", "pressure_bp_static", "pressure_im")
        if n in view.signals
    ]
    if not pressed:
        return None
    behind = _pressure(view, "pressure_4_static")
    air = view.barometer[0]
    after = np.full(view.grid.shape, air) if behind is None else np.maximum(behind, air)
    ratio = np.maximum(pressed[-1] / air, 1.0)
    reading_em = view.absolute("pressure_em_static")
    head = _head(view, reading_em, max(hottest, 1000.0))
    known = bool(np.isfinite(head).any())
    hot = max(hottest, 1000.0) + 150.0
    least = after * (
        least_before_turbine(ratio, hot, static=1.0) if known else least_before_turbine(ratio, hot)
    )
    if known:
        least = least - head
    mask = mask & np.isfinite(least + reading_em) & (ratio > 1.3)
    if mask.sum() * view.step < 1.0 or mask.sum() < 5:
        return None
    a, b = float(np.median(least[mask])), float(np.median(reading_em[mask]))
    width = float(np.hypot(_half(view, "pressure_em_static", b), 0.04 * a))
    shown = a - 1.8 * width - air
    view.could_not(
        f"a leaking line to pressure_em_static that still shows over {max(shown, 0.0) / 1e3:.0f} kPa on boost",
        (),
        "that is enough for the turbine; pinch the line off at the sensor: the reading must stand",
    )
    rule = Rule(
        "the least the turbine needs", "pressure_em_static", 1.0, 0.0, "load",
        "The turbine must make the compressor's power; with less pressure before it there would be less boost.",
    )  # fmt: skip
    return _Broken(rule, float(np.median((least - reading_em)[mask])) / width, a, b, mask)


def _head(view: LogView, static: Array, temperature: float) -> Array:
    """Dynamic head at the tap before the turbine [Pa], by the build's bore and the plain air flow; NaN if unknown."""
    tap = view.facts.car.taps.get("pressure_em") if view.facts.car is not None else None
    flows = plain_routes(view)[0]
    if tap is None or not flows:
        return np.full(view.grid.shape, np.nan)
    flow = 1.07 * next(iter(flows.values()))[0]
    velocity_head = 0.5 * (flow / (np.pi / 4.0 * tap.pipe_bore**2)) ** 2 * _GAS * temperature / static
    return np.asarray(velocity_head)


def _could_not(view: LogView, mask: Mask, made: int) -> None:
    title = "pressures of the gas path against each other"
    pressures = (
        "pressure_2_static",
        "pressure_bp_static",
        "pressure_em_static",
        "pressure_4_static",
        "pressure_1_static",
    )
    missing = tuple(n for n in pressures if n not in view.signals)
    if not mask.any():
        view.could_not(title, (), "the log has no steady stretch on boost")
    elif not made or missing:
        view.could_not(
            title + (", as far as they are missing" if made else ""), missing, "they are not logged"
        )


def _blame(view: LogView, broken: list[_Broken], kept: dict[str, int]) -> None:
    """One fault a culprit: the channel in most broken rules and fewest kept ones first."""
    rest, doubtful = list(broken), []
    while rest:
        count: dict[str, int] = {}
        for one in rest:
            for name in (one.rule.low, one.rule.high):
                if name in view.signals:
                    count[name] = count.get(name, 0) + 1
        if not count:
            break
        # a sensor that was off at rest and is off on boost by another amount is off by a share
        again = [n for n in count if n in view.shifted]
        culprit = max(again or count, key=lambda n: (count[n], -kept.get(n, 0), n != "pressure_im"))
        mine = [one for one in rest if culprit in (one.rule.low, one.rule.high)]
        rest = [one for one in rest if one not in mine]
        if culprit in view.shifted:
            _by_a_share(view, mine, culprit)
        else:
            _say(view, mine, culprit, _partner(view, mine, culprit, kept))
        doubtful.append(culprit)
    view.condemn(*doubtful)


def _by_a_share(view: LogView, mine: list[_Broken], culprit: str) -> None:
    """Make the offset that was found at rest what it is: a wrong scaling."""
    first = max(mine, key=lambda one: one.z)
    level = first.low if culprit == first.rule.low else first.high
    more = first.low - first.rule.factor * first.high - first.rule.slack
    off = view.shifted[culprit]
    for k, fault in enumerate(view.faults):
        if fault.code == "offset" and fault.channels == (culprit,):
            grown = (
                Evidence("on boost, with the offset at rest taken off", level, "Pa"),
                Evidence("too far off there still by at least", more, "Pa", step=True),
            )
            side = "high" if off > 0 else "low"
            view.faults[k] = replace(
                fault,
                code="scale",
                what=f"{culprit} reads {apart(culprit, abs(off))} too {side} with the engine at rest and is off by "
                "more on boost: by a share, not by a fixed amount.",
                evidence=fault.evidence + grown,
                others=("an offset, and a second sensor that is off on boost", "a leaking or blocked hose"),
                check="See which sensor the controller was told it has; two known pressures tell offset from scaling.",
            )


def _partner(view: LogView, mine: list[_Broken], culprit: str, kept: dict[str, int]) -> str:
    """The other channel that explains it as well; "" where the culprit stands alone."""
    if len(mine) > 1:
        return ""
    rule = mine[0].rule
    other = rule.high if culprit == rule.low else rule.low
    if other not in view.signals:
        return "pressure_amb" if other == AIR and "pressure_amb" in view.signals and not kept.get(AIR) else ""
    return "" if kept.get(other, 0) >= kept.get(culprit, 0) + 2 else other


def _code(view: LogView, one: _Broken, culprit: str) -> tuple[str, str]:
    """Code and what was mixed up."""
    mine, other = (one.low, one.high) if culprit == one.rule.low else (one.high, one.low)
    air = view.barometer[0]
    signal = view.signals[culprit]
    if signal.basis != "gauge" and abs(other - mine - air) < 0.2 * air and mine < other:
        return "gauge-absolute", "it counts from the air's pressure, and was taken as absolute"
    if signal.basis == "gauge" and abs(mine - other - air) < 0.2 * air:
        return "gauge-absolute", "it counts from vacuum, and was taken as gauge"
    if AIR not in (one.rule.low, one.rule.high) and (mixed := pressure_unit(mine, other, 0.12)):
        return "unit", mixed
    return "impossible", ""


def _say(view: LogView, mine: list[_Broken], culprit: str, partner: str) -> None:
    first = max(mine, key=lambda one: one.z)
    code, mixed = _code(view, first, culprit)
    state = "at idle" if first.rule.state == "idle" else "on boost"
    names = (culprit,) if not partner or mixed else (culprit, partner)
    excess = first.low - first.rule.factor * first.high - first.rule.slack
    if mixed:
        shown = first.low if culprit == first.rule.low else first.high
        what = f"{culprit} reads {reading(culprit, shown)} {state}: {mixed}."
    elif len(names) == 2:
        one, two = first.rule.low, first.rule.high
        what = f"{one} is above what {two} allows by {apart(culprit, excess)} {state}: one of them is off."
    else:
        side = "high" if culprit == first.rule.low else "low"
        what = f"{culprit} reads too {side} {state}, by {apart(culprit, excess)} at least."
    evidence = [
        Evidence(f"{one.rule.low}, with {one.rule.high} at {one.high / 1e3:.1f} kPa", one.low, "Pa")
        for one in mine
    ]
    view.faults.append(
        SensorFault(
            code,
            names,
            what,
            certainty_of_deviation(first.z, 0.95),
            view.where(first.mask),
            tuple(evidence),
            first.rule.physics,
            _others(names, culprit, first),
            "Compare both with the engine off; then exchange the two sensors and see whether the error goes with "
            "the sensor "
            "or stays with the place.",
        )
    )


def _others(names: tuple[str, ...], culprit: str, one: _Broken) -> tuple[str, ...]:
    if len(names) == 2:
        return tuple(f"{name} is off" for name in names)
    side = one.low if culprit == one.rule.low else one.high
    if side == one.high:
        return (
            "a leak or a crack in its hose: it then shows part of the pressure only",
            "a tap where the flow is fast",
        )
    return ("a tap that looks into the flow", "a blocked hose that keeps an old pressure")
