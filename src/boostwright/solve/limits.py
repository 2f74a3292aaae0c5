"""The limits that run beside every point, and which of them binds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.solve.kernel.layout import GATE_OPEN, SPRING, TARGET
from boostwright.solve.operating_point import Limit, NoSteadyState, Outcome

__all__ = ["binding_limits", "limits_of"]

Array = NDArray[np.float64]

_AT_STOP = 0.999  # of the full lift

# key in [limits], quantity, name of the limit, words
_UPPER = (
    ("torque", "torque", "torque-cap", "brake torque", "Nm"),
    ("egt_reading", "egt_reading", "egt", "exhaust temperature as the probe shows it", "K"),
    (
        "drive_pressure_ratio",
        "drive_pressure_ratio",
        "drive-pressure-ratio",
        "exhaust over intake manifold pressure, absolute",
        "1",
    ),
    ("boost", "pressure_im", "boost-limit", "intake manifold pressure, absolute", "Pa"),
    ("temperature_im", "temperature_im", "charge-temperature", "charge temperature", "K"),
)
_MARGINS = (
    ("surge_margin", "compressor-surge", "flow margin to the surge line"),
    ("choke_margin", "compressor-choke", "flow margin to choke"),
)


def limits_of(
    build: Build, q: Mapping[str, Array], lowest_line: float, speed_limit: float, speed_limit_source: str
) -> tuple[Limit, ...]:
    """Every limit with its utilisation along the points; 1 is on the limit, NaN where the quantity has no value.

    lowest_line  corrected speed [rad/s] of the card's lowest line; below it nobody has measured surge or choke, so
                 those limits do not run there
    speed_limit  [rad/s] of the shaft
    """
    section = build["limits"]
    n = q["engine_speed"].size
    found = []
    for key, quantity, name, words, unit in _UPPER:
        if section.has(key):
            value = section.si(key)
            found.append(
                Limit(
                    name,
                    words,
                    unit,
                    np.full(n, value),
                    q[quantity] / value,
                    f"build, limits.{key}",
                    quantity,
                )
            )
    for key, name, words in _MARGINS:
        wanted, source = 0.0, "the map's own line"
        if key == "surge_margin":
            wanted, source = build["compressor"].si("surge_margin_wanted"), "build, compressor"
        if section.has(key):
            wanted, source = section.si(key), f"build, limits.{key}"
        used = (1.0 - q[key]) / (1.0 - wanted)
        used = np.where(q["corrected_speed"] < lowest_line, np.nan, used)
        found.append(Limit(name, words, "1", np.full(n, wanted), used, source, key))
    found.append(
        Limit(
            "shaft-speed",
            "shaft speed of the turbocharger",
            "rad/s",
            np.full(n, speed_limit),
            q["shaft_speed"] / speed_limit,
            speed_limit_source,
            "shaft_speed",
        )
    )
    return tuple(found)


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
    for i, outcome in enumerate(outcomes):
        if isinstance(outcome, NoSteadyState):
            names.append(outcome.reason)
            continue
        used = [(limit.utilisation[i], limit.name) for limit in limits]
        over = [(value, name) for value, name in used if np.isfinite(value) and value > 1.0]
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
