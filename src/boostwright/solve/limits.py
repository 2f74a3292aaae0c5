"""The limits that run beside every point, and which of them binds.

Every limit is arrays over the points, so a sweep, many days and a cloud of samples are judged in one call.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.components.driveline import has_driveline, wheel_power
from boostwright.components.rods import wheel_to_crank
from boostwright.solve.kernel.layout import GATE_OPEN, SPRING, TARGET
from boostwright.solve.operating_point import Limit, NoSteadyState, Outcome
from boostwright.solve.own_limits import own_limits
from boostwright.solve.rod_limits import rod_limits

__all__ = ["binding_limits", "limit_at", "limits_of"]

Array = NDArray[np.float64]

_AT_STOP = 0.999  # of the full lift

# key in [limits], quantity, name of the limit, words, unit, kind of its margin
_UPPER = (
    ("torque", "torque", "torque-cap", "brake torque", "Nm", "share"),
    ("driveline_torque", "torque", "driveline-torque", "torque in clutch, gearbox and axle", "Nm", "share"),
    (
        "peak_pressure",
        "peak_pressure_strong",
        "peak-pressure",
        "peak cylinder pressure of a strong cycle",
        "Pa",
        "share",
    ),
    ("egt_reading", "egt_reading", "egt", "exhaust temperature as the probe shows it", "K", "difference"),
    (
        "drive_pressure_ratio",
        "drive_pressure_ratio",
        "drive-pressure-ratio",
        "exhaust over intake manifold pressure, absolute",
        "1",
        "share",
    ),
    ("boost", "pressure_im", "boost-limit", "intake manifold pressure, absolute", "Pa", "share"),
    ("temperature_im", "temperature_im", "charge-temperature", "charge temperature", "K", "difference"),
)
_MARGINS = (
    ("surge_margin", "compressor-surge", "flow margin to the surge line"),
    ("choke_margin", "compressor-choke", "flow margin to choke"),
)


def limits_of(
    build: Build, q: Mapping[str, Array], lowest_line: float, speed_limit: float, speed_limit_source: str
) -> tuple[Limit, ...]:
    """Every limit with its utilisation along the points; 1 where only its margin is left, NaN where it does not run.

    q            quantities along the points (n,), SI; the order of the points does not matter
    lowest_line  corrected speed [rad/s] of the card's lowest line; below it nobody has measured surge or choke, so
                 those limits do not run there
    speed_limit  [rad/s] of the shaft
    Raises BuildError where a limit of the user's is on a quantity that is not in q.
    """
    section = build["limits"]
    return (
        *_uppers(build, q),
        *_knock(build, q),
        *_margins(build, q, lowest_line),
        _shaft(section, q, speed_limit, speed_limit_source),
        *rod_limits(build, q),
        *own_limits(section, _with_wheel(build, q)),
    )


def limit_at(section: Section, key: str, speed: Array) -> Array:
    """Limit (n,) at engine speeds (n,): one number, or a curve over engine speed."""
    value = section.values[key]
    if value.curve is None or value.curve.is_constant:
        return np.full(speed.shape, section.si(key))
    return np.interp(speed, value.curve.speed, value.curve.value)


def _uppers(build: Build, q: Mapping[str, Array]) -> Iterator[Limit]:
    """Upper bounds of [limits]."""
    section = build["limits"]
    for key, quantity, name, words, unit, kept in _UPPER:
        if not section.has(key):
            continue
        limit = limit_at(section, key, q["engine_speed"])
        source = f"build, limits.{key}"
        if section.has(f"{key}_basis") and section.text(f"{key}_basis") == "wheel":
            source += f", {section.as_written(key)} at the wheels brought to the crank"
            limit = wheel_to_crank(build["driveline"], limit)
        margin = section.si(f"{key}_margin")
        usable = limit - margin if kept == "difference" else limit * (1.0 - margin)
        yield Limit(name, words, unit, limit, q[quantity] / usable, source, quantity, margin, kept, "stated")


def _knock(build: Build, q: Mapping[str, Array]) -> Iterator[Limit]:
    """How late knock may push the spark; the strict end of its band while nobody has fitted the multiplier."""
    section = build["limits"]
    if not section.has("latest_phasing"):
        return
    fitted = build["spark"].written("knock_multiplier")
    quantity = "knock_limited_phasing" if fitted else "knock_limited_phasing_late"
    words = "earliest CA50 that does not knock" + ("" if fitted else ", strict end of its band")
    limit = limit_at(section, "latest_phasing", q["engine_speed"])
    used = q[quantity] / limit
    source = "build, limits.latest_phasing"
    yield Limit("knock-phasing", words, "rad", limit, used, source, quantity, status="stated")


def _margins(build: Build, q: Mapping[str, Array], lowest_line: float) -> Iterator[Limit]:
    """Flow margins to both ends of the compressor map; they are margins themselves."""
    section, wheel = build["limits"], build["compressor"]
    for key, name, words in _MARGINS:
        wanted, source, status = 0.0, "the map's own line", "card"
        if key == "surge_margin":
            wanted, source, status = wheel.si("surge_margin_wanted"), "build, compressor", "stated"
            if not wheel.written("surge_margin_wanted"):
                status = wheel.values["surge_margin_wanted"].parameter.default_status
        if section.has(key):
            wanted, source, status = section.si(key), f"build, limits.{key}", "stated"
        used = (1.0 - q[key]) / (1.0 - wanted)
        used = np.where(q["corrected_speed"] < lowest_line, np.nan, used)
        yield Limit(name, words, "1", np.full(used.shape, wanted), used, source, key, status=status)


def _shaft(section: Section, q: Mapping[str, Array], limit: float, source: str) -> Limit:
    """Shaft speed of the turbocharger."""
    margin, speed = section.si("shaft_speed_margin"), q["shaft_speed"]
    return Limit(
        "shaft-speed",
        "shaft speed of the turbocharger",
        "rad/s",
        np.full(speed.shape, limit),
        speed / (limit * (1.0 - margin)),
        source,
        "shaft_speed",
        margin,
        "share",
        "stated" if source.startswith("build") else "card",
    )


def _with_wheel(build: Build, q: Mapping[str, Array]) -> Mapping[str, Array]:
    """The quantities with those at the wheels, on which a limit of the user's may be."""
    if "torque_wheel" in q or not has_driveline(build["driveline"]):
        return q
    power = wheel_power(build["driveline"], q["power"], q["engine_speed"])
    return {**q, "power_wheel": power, "torque_wheel": power / q["engine_speed"]}


def _held_by(mode: str, held: int, pushed_open: bool, lift: float, full: float, gates: float) -> str:
    """What keeps boost where it is when no limit is exceeded."""
    if mode == "no-turbo":
        return "no-turbo"
    if held == TARGET:
        return "boost-target"
    if held == GATE_OPEN:
        return "creep-floor"
    if held == SPRING:
        if lift >= _AT_STOP * full:
            return "creep-floor"
        if pushed_open:
            return "gate-pushed-open"
        return "spring" if lift > 0.0 else "spool"
    if gates == 0.0 and mode in ("target", "spring"):
        return "no-gate"
    return "spool"


def binding_limits(
    mode: str,
    states: NDArray[np.void],
    points: NDArray[np.void],
    limits: Sequence[Limit],
    outcomes: Sequence[Outcome],
) -> tuple[str, ...]:
    """Per point: the reason where there is no steady state; else the limit exceeded (shaft speed
    first, then the one exceeded most); else what holds boost."""
    names = []
    used = [(limit.utilisation.tolist(), limit.name) for limit in limits]
    for i, outcome in enumerate(outcomes):
        if isinstance(outcome, NoSteadyState):
            names.append(outcome.reason)
            continue
        over = [(values[i], name) for values, name in used if 1.0 < values[i] < np.inf]
        if over:
            # a wheel beyond its speed comes first: whatever else is exceeded there hangs on a map that says nothing
            first = [name for _, name in over if name == "shaft-speed"]
            names.append(first[0] if first else max(over)[1])
            continue
        names.append(
            _held_by(
                mode,
                int(states["mode_held"][i]),
                bool(states["gate_pushed_open"][i]),
                float(states["gate_lift"][i]),
                float(points["gate_full_lift"][i]),
                float(points["gate_count"][i]),
            )
        )
    return tuple(names)
