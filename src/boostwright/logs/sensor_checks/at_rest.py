"""The zero check: with the engine at rest every pressure is the air's; at idle nearly so away from the throttle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.other_units import PRESSURE_FACTORS, pressure_unit
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.tolerances import half_width
from boostwright.logs.sensor_checks.view import LogView, Mask
from boostwright.logs.sensor_checks.words import apart, reading

__all__ = ["AT_REST", "check_at_rest"]

AT_REST = 1.0e3
"""[Pa] All pressures agree with the barometer within this, key on and engine off (common practice, no source)."""

_BUILD = 4e3
"""[Pa] half-width of the build's air pressure on another day."""

_REST = (
    "pressure_amb", "pressure_im", "boost", "pressure_1_static", "pressure_2_static", "pressure_bp_static",
    "pressure_em_static", "pressure_g_static", "pressure_4_static", "pressure_crankcase",
)  # fmt: skip
_IDLE: dict[str, tuple[float, float]] = {
    "pressure_amb": (0.0, 0.0),
    "pressure_1_static": (-1.5e3, 0.3e3),
    "pressure_2_static": (-1.5e3, 9e3),
    "pressure_bp_static": (-1.5e3, 9e3),
    "pressure_em_static": (-1.0e3, 20e3),
    "pressure_g_static": (-1.0e3, 20e3),
    "pressure_4_static": (-0.5e3, 2.0e3),
}
"""Lowest and highest reading over the air's at idle [Pa]: flow is a twentieth of full flow, drops go with its
square.
"""


@dataclass(frozen=True)
class _Level:
    """A median at rest [Pa], its allowance, its basis, and the logger's step."""

    name: str
    value: float
    allowance: float
    gauge: bool
    step: float = 0.0


def check_at_rest(view: LogView) -> None:
    """Find pressures that do not show the air's."""
    levels = _levels(view, view.off, at_rest=True)
    if len(levels) >= 2 or (levels and (levels[0].gauge or view.facts.barometer is not None)):
        view.did("pressures against the air's, key on and engine off")
        _judge(view, levels, view.off, at_rest=True)
    else:
        _why_not(view, len(levels))
    done = {level.name for level in levels}
    idle = [
        level
        for level in _levels(view, view.idle, at_rest=False)
        if level.name not in done or level.name == "pressure_amb"
    ]
    if len(idle) >= 2 or (idle and idle[0].gauge):
        view.did("pressures against the air's, at idle")
        _judge(view, idle, view.idle, at_rest=False)


def _why_not(view: LogView, count: int) -> None:
    title = "pressures against the air's, key on and engine off"
    if "engine_speed" not in view.signals:
        view.could_not(title, ("engine_speed",), "whether the engine stands is not logged")
    elif not view.off.any():
        view.could_not(
            title,
            (),
            "the log has no stretch with the key on and the engine off; log ten seconds before starting",
        )
    else:
        wanted = "pressure_amb" if count else "pressure_im"
        view.could_not(title, (wanted,), "there is nothing to compare with")


def _levels(view: LogView, mask: Mask, *, at_rest: bool) -> list[_Level]:
    found = []
    for name in _REST if at_rest else _IDLE:
        if name not in view.signals:
            continue
        signal = view.signals[name]
        values = view.on(name)[mask]
        values = values[np.isfinite(values)]
        if values.size < 5:
            continue
        if at_rest and float(np.percentile(values, 90) - np.percentile(values, 10)) > 3e3 + 5 * signal.noise:
            continue  # a pipe that still fills
        own = view.facts.tolerance.get(name)
        samples = signal.value[np.interp(signal.time, view.grid, mask.astype(float)) > 0.99]
        count = max(float(min(samples.size, 100)), 1.0)
        scatter = max(signal.noise, float(np.std(samples)) if samples.size > 3 else 0.0)
        base = max(AT_REST, own or 0.0) if at_rest else max(half_width(name, 100e3, own), AT_REST)
        fine = np.hypot(signal.quantum / 2, 2 * scatter / np.sqrt(count))
        gauge = name == "boost" or signal.basis == "gauge"
        found.append(
            _Level(name, float(np.median(values)), float(np.hypot(base, fine)), gauge, signal.quantum)
        )
    return found


def _judge(view: LogView, levels: list[_Level], mask: Mask, *, at_rest: bool) -> None:
    air, known, source = _air(view, levels, at_rest=at_rest)
    ceiling = 0.99 if at_rest else 0.9
    odd = []
    for level in levels:
        low, high = (0.0, 0.0) if at_rest else _IDLE[level.name]
        expected = 0.0 if level.gauge else air
        if not level.gauge and not np.isfinite(air):
            continue
        over = level.value - expected
        off = over - high if over > high else over - low if over < low else 0.0
        width = level.allowance if level.gauge or source == "" else float(np.hypot(level.allowance, known))
        z = abs(off) / width
        if certainty_of_deviation(z) >= LEAST:
            odd.append((level, off, z, expected))
    if len(odd) == 2 and sum(not level.gauge for level in levels) == 2 and not any(x[0].gauge for x in odd):
        odd, near = _by_barometer(view, odd) if at_rest else (odd, "")
        if not near:
            _say_pair(view, odd, mask, at_rest=at_rest)
            return
        source, ceiling = f"{near}, which the build's bears out", 0.9
    for level, off, z, expected in odd:
        _say(view, level, off, z, (expected, source, ceiling), mask, at_rest=at_rest)
    for level, off, _, expected in odd:
        _put_right(view, level, off, expected)


def _by_barometer(
    view: LogView, odd: list[tuple[_Level, float, float, float]]
) -> tuple[list[tuple[_Level, float, float, float]], str]:
    """Of two that are apart the one that the build's barometer speaks against, and the other's name; '' for neither.

    The build's may be off by 4 kPa: weather, or 300 m of height. The other one then stands for the air.
    """
    build = view.facts.barometer
    if build is None:
        return odd, ""
    z = {x[0].name: abs(x[0].value - build) / float(np.hypot(_BUILD, x[0].allowance)) for x in odd}
    near, far = sorted((x[0] for x in odd), key=lambda level: z[level.name])
    if z[near.name] > 0.8 or certainty_of_deviation(z[far.name]) < LEAST:
        return odd, ""
    gap = far.value - near.value
    return [(far, gap, abs(gap) / float(np.hypot(far.allowance, near.allowance)), near.value)], near.name


def _air(view: LogView, levels: list[_Level], *, at_rest: bool) -> tuple[float, float, str]:
    """The air's pressure by most of the sensors, its half-width [Pa], and whose word it is ("" = each other's).

    With two absolute sensors the middle is taken, so that both stand apart by half: neither can be blamed alone.
    """
    absolute = [x for x in levels if not x.gauge]
    if not at_rest:
        absolute = [
            x for x in absolute if x.name in ("pressure_amb", "pressure_1_static", "pressure_4_static")
        ] or absolute
    sane = [x for x in absolute if 50e3 < x.value < 110e3]
    if len(sane) >= 3:
        middle = float(np.median([x.value for x in sane]))
        near = [x.value for x in sane if abs(x.value - middle) < 3e3] or [middle]
        return float(np.mean(near)), 0.0, f"{len(near)} pressures that agree"
    if len(sane) == 2:
        one, two = sane
        if abs(one.value - two.value) < 1.8 * float(np.hypot(one.allowance, two.allowance)):
            return 0.5 * (one.value + two.value), 0.0, "two pressures that agree"
        return 0.5 * (one.value + two.value), 0.0, ""
    if len(sane) == 1:
        if view.facts.barometer is not None and len(levels) == 1:
            return view.facts.barometer, _BUILD, "the build's air pressure"
        return sane[0].value, 0.0, sane[0].name
    if view.facts.barometer is not None:
        return view.facts.barometer, _BUILD, "the build's air pressure"
    return np.nan, 0.0, ""


def _code(level: _Level, off: float, air: float) -> tuple[str, str]:
    """Code and what was mixed up."""
    if not level.gauge and abs(level.value) < 5e3 and air > 50e3:
        return "gauge-absolute", "it counts from the air's pressure, and was taken as absolute"
    if level.gauge and 60e3 < level.value < 108e3:
        return "gauge-absolute", "it counts from vacuum, and was taken as gauge"
    if not level.gauge and (mixed := pressure_unit(level.value, air, _within(level))):
        return "unit", mixed
    return "offset", ""


def _within(level: _Level) -> float:
    """How near another unit must fit, as a share: 4 %, and the step of a coarse logger."""
    return 0.04 + level.step / max(2.0 * abs(level.value), 1.0)


def _say(
    view: LogView,
    level: _Level,
    off: float,
    z: float,
    against: tuple[float, str, float],
    mask: Mask,
    *,
    at_rest: bool,
) -> None:
    expected, source, ceiling = against
    code, mixed = _code(level, off, expected)
    state = "with the engine at rest" if at_rest else "at idle"
    if code == "offset":
        what = f"{level.name} reads {apart(level.name, abs(off))} too {'high' if off > 0 else 'low'} {state}."
    else:
        what = f"{level.name} reads {reading(level.name, level.value)} {state}: {mixed}."
    evidence = [
        Evidence(f"{level.name} {state}", level.value, "Pa"),
        Evidence("may differ by", level.allowance, "Pa", step=True),
    ]
    if not level.gauge:
        evidence.insert(
            1, Evidence(f"the air's pressure, by {source or 'the middle of both'}", expected, "Pa")
        )
    others = {
        "offset": (
            "a gain that is wrong by the same share, not an offset",
            "a sensor drawn upon by a hose with water or a kink",
        ),
        "unit": ("a sensor whose scaling in the controller is that of another one",),
        "gauge-absolute": ("a sensor whose scaling in the controller is that of another one",),
    }[code]
    view.faults.append(
        SensorFault(
            code,
            (level.name,),
            what,
            certainty_of_deviation(z, ceiling),
            view.where(mask),
            tuple(evidence),
            "With the engine at rest every pipe is open to the air, so every pressure is the air's."
            if at_rest
            else "At idle the flow is a twentieth of full flow and drops go with its square: only the throttle "
            "holds air back.",
            others,
            "Take the hose off and read it against a barometer at the place; a second known pressure tells "
            "offset from gain."
            if code == "offset"
            else "Put unit and basis right: boostwright import the log again with --unit; then look at this list "
            "anew.",
        )
    )


def _put_right(view: LogView, level: _Level, off: float, expected: float) -> None:
    """As it must have been meant, so that the checks that follow do not accuse it again."""
    code, mixed = _code(level, off, expected)
    if code == "gauge-absolute":
        view.put_right(level.name, basis="absolute" if level.gauge else "gauge")
    elif code == "unit":
        near = [f for f, words in PRESSURE_FACTORS if words == mixed]
        factor = min(near, key=lambda f: abs(level.value * f / expected - 1.0))
        view.put_right(level.name, factor=factor)
    else:
        view.put_right(level.name, more=-off)
        view.shifted[level.name] = off


def _say_pair(
    view: LogView, odd: list[tuple[_Level, float, float, float]], mask: Mask, *, at_rest: bool
) -> None:
    (one, *_), (two, *_) = odd
    gap = one.value - two.value
    z = abs(gap) / float(np.hypot(one.allowance, two.allowance))
    view.faults.append(
        SensorFault(
            "offset",
            (one.name, two.name),
            f"{one.name} and {two.name} are {apart(one.name, abs(gap))} apart "
            f"{'with the engine at rest' if at_rest else 'at idle'}: one of them is off.",
            certainty_of_deviation(z, 0.97 if at_rest else 0.9),
            view.where(mask),
            (Evidence(one.name, one.value, "Pa"), Evidence(two.name, two.value, "Pa")),
            "With the engine at rest every pipe is open to the air, so both read the air's pressure.",
            (
                "a hose with water in it or a kink, that keeps an old pressure",
                "a reference voltage that only one of them is fed by",
            ),
            f"{_unsettled(view)}Read a barometer at the place, not one reduced to sea level: the one that differs from "
            "it is off. A third pressure in the log would say it too.",
        )
    )


def _unsettled(view: LogView) -> str:
    """Why the build's barometer does not say which."""
    build = view.facts.barometer
    return (
        ""
        if build is None
        else f"The build's {build / 1e3:.1f} kPa, within {_BUILD / 1e3:.0f}, fits neither alone. "
    )
