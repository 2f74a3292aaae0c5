"""Static wall taps turned to total pressure with their bores; and what stands in where there is no tap."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.facts import Loss, Tap
from boostwright.logs.derived.pressures import absolute, air_gas_constant
from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.uncertain import Uncertain, through, where_valid
from boostwright.physics.gas import isentropic, restriction

__all__ = ["EXHAUST_GAMMA", "EXHAUST_R", "QUANTITIES"]

Array = NDArray[np.float64]

EXHAUST_GAMMA, EXHAUST_R = 1.32, 289.0  # petrol exhaust near lambda 0.9 at 900 to 1200 K
_AIR_GAMMA = 1.4
_HOLE_SHARE = 0.01  # of the dynamic head: what a square, clean hole adds; Shaw (1960), from memory
_LARGE_HOLE_SHARE = 0.05
_LARGEST_HOLE = 0.13  # of the pipe's bore, and 13 mm: ISO 5167-2, from memory
_BORE_SHARE = 0.01

_MACH = where_valid(isentropic.mach_number_from_static_pressure)
_DOWN = where_valid(restriction.pressure_loss_eriksson)
_UP = where_valid(restriction.upstream_pressure_eriksson)


@dataclass(frozen=True)
class _Station:
    """Words; the flow and the temperature there; whether it is exhaust; whether each compressor has its own pipe."""

    words: str
    flow: str
    temperature: str
    exhaust: bool = False
    apart: bool = False


_STATIONS = {
    "pressure_1": _Station("compressor inlet", "mass_flow_air", "temperature_1", apart=True),
    "pressure_2": _Station("compressor outlet", "mass_flow_air", "temperature_2", apart=True),
    "pressure_bp": _Station("boost pipe", "mass_flow_air", "temperature_bp"),
    "pressure_em": _Station("exhaust manifold", "mass_flow_exhaust", "temperature_em", exhaust=True),
    "pressure_g": _Station("gate branch", "mass_flow_gate", "temperature_em", exhaust=True),
    "pressure_4": _Station("downpipe", "mass_flow_exhaust", "temperature_4", exhaust=True),
}


def _total(static: Array, flow: Array, temperature: Array, bore: Array, gas: Array, gamma: Array) -> Array:
    area = np.pi / 4.0 * bore * bore
    mach = _MACH(np.maximum(flow, 0.0), static, temperature, area, gas, gamma)
    return np.asarray(static / isentropic.pressure_ratio.formula(mach, gamma))


def _at_tap(rows: Rows, name: str) -> Uncertain:
    """Total pressure at a station's tap. Raises Missing where there is no tap."""
    static = absolute(rows, f"{name}_static")
    tap = rows.facts.taps.get(name)
    if tap is None:
        return _left_static(rows, name, static, "the pipe's bore at the tap is not known ([taps])")
    try:
        head = _head(rows, name, static, tap.pipe_bore)
    except Missing as missing:
        return _left_static(rows, name, static, f"its dynamic head is not known for want of {missing}")
    return (
        _with_doubt(name, static, head, tap)
        if tap.words.startswith("assumed")
        else _added(name, static, head, tap)
    )


def _left_static(rows: Rows, name: str, static: Uncertain, why: str) -> Uncertain:
    words = f"{_STATIONS[name].words}: static pressure taken for total; {why}"
    return static.with_flag(f"static-{name}", words)


def _largest(head: Uncertain) -> float:
    return float(np.nanmax(head.value)) / 1e3 if np.isfinite(head.value).any() else 0.0


def _with_doubt(name: str, static: Uncertain, head: Uncertain, tap: Tap) -> Uncertain:
    """The static pressure, with what an assumed bore would add as a source of error."""
    words = (
        f"{_STATIONS[name].words}: static pressure taken for total; the pipe's bore at the tap is not known ([taps]). "
        f"At {1e3 * tap.pipe_bore:.0f} mm ({tap.words}) up to {_largest(head):.1f} kPa would be added"
    )
    size = np.where(np.isfinite(head.value), head.value, 0.0) / np.sqrt(3.0)
    return static.with_error(f"head not added at {name}", size).with_flag(f"static-{name}", words)


def _added(name: str, static: Uncertain, head: Uncertain, tap: Tap) -> Uncertain:
    share = _HOLE_SHARE
    found = through(np.add, static, head)
    if np.isfinite(tap.tap_bore) and tap.tap_bore > min(_LARGEST_HOLE * tap.pipe_bore, 13e-3):
        share = _LARGE_HOLE_SHARE
        words = f"{_STATIONS[name].words}: a tap of {1e3 * tap.tap_bore:.1f} mm is large for its pipe and reads high"
        found = found.with_flag(f"hole-{name}", words)
    words = (
        f"{_STATIONS[name].words}: tap turned to total with a bore of {1e3 * tap.pipe_bore:.1f} mm ({tap.words}), "
        f"up to {_largest(head):.1f} kPa added"
    )
    return found.with_error(f"hole of the tap at {name}", share * head.value).with_flag(
        f"total-{name}", words
    )


def _head(rows: Rows, name: str, static: Uncertain, bore: float) -> Uncertain:
    """Total less static pressure at a bore [m]. Raises Missing."""
    station = _STATIONS[name]
    machines = float(rows.facts.compressor.count) if station.apart and rows.facts.compressor else 1.0
    gas = (
        rows.number("gas constant of the exhaust", EXHAUST_R, 2.0)
        if station.exhaust
        else air_gas_constant(rows)
    )
    gamma = rows.number(
        "heat capacity ratio of the exhaust",
        EXHAUST_GAMMA if station.exhaust else _AIR_GAMMA,
        0.03 if station.exhaust else 0.0,
    )
    return through(
        lambda p, m, t, d, r, g: _total(p, m / machines, t, d, r, g) - p,
        static,
        rows.get(station.flow),
        rows.get(station.temperature),
        rows.number(f"bore at {name}", bore, _BORE_SHARE * bore),
        gas,
        gamma,
    )


def _loss(rows: Rows, loss: Loss | None, what: str) -> Uncertain:
    if loss is None:
        raise Missing(Need(f"the loss of the {what}", "a build knows it"))
    return rows.number(f"loss of the {what}", loss.coefficient, loss.share * loss.coefficient)


def _from_loss(
    rows: Rows, loss: Loss | None, what: str, beside: str, temperature: str, flow: str, *, upstream: bool
) -> Uncertain:
    """A pressure from that on the other side of a restriction; ``upstream``: it is the one ahead of it."""
    coefficient = _loss(rows, loss, what)
    formula: Callable[..., Array] = (
        _UP if upstream else (lambda k, m, t, p: np.asarray(p - _DOWN(k, m, t, p)))
    )
    found = through(formula, coefficient, rows.get(flow), rows.get(temperature), rows.get(beside))
    side = "ahead of" if upstream else "behind"
    return found.with_flag(
        f"by-loss-{what.replace(' ', '-')}", f"pressure {side} the {what} by its known loss"
    )


def _pressure_1(rows: Rows) -> Uncertain:
    loss = rows.facts.intake
    return rows.first(
        lambda: _at_tap(rows, "pressure_1"),
        lambda: _from_loss(
            rows, loss, "intake", "pressure_amb", "temperature_1", "mass_flow_air", upstream=False
        ),
    )


def _pressure_bp(rows: Rows) -> Uncertain:
    loss = rows.facts.throttle
    return rows.first(
        lambda: _at_tap(rows, "pressure_bp"),
        lambda: _wide_open(
            rows,
            _from_loss(
                rows,
                loss,
                "throttle wide open",
                "pressure_im",
                "temperature_bp",
                "mass_flow_air",
                upstream=True,
            ),
        ),
    )


def _wide_open(rows: Rows, found: Uncertain) -> Uncertain:
    """No value where the throttle is known to be part open: its loss is known wide open only."""
    if not rows.has("throttle_position"):
        return found.with_flag("throttle-not-logged", "the throttle is not logged: taken as wide open")
    return found.only(rows.channel("throttle_position").value > 0.9)


def _pressure_2(rows: Rows) -> Uncertain:
    loss = rows.facts.cooler_loss
    return rows.first(
        lambda: _at_tap(rows, "pressure_2"),
        lambda: _from_loss(
            rows, loss, "charge cooler", "pressure_bp", "temperature_2", "mass_flow_air", upstream=True
        ),
    )


def _pressure_4(rows: Rows) -> Uncertain:
    loss = rows.facts.exhaust
    return rows.first(
        lambda: _at_tap(rows, "pressure_4"),
        lambda: _from_loss(
            rows, loss, "exhaust", "pressure_amb", "temperature_4", "mass_flow_exhaust", upstream=True
        ),
    )


_FORMULA = "p_s (1 + (g-1)/2 M^2)^(g/(g-1)), M from m, p_s, T and the bore"
_OR = "{}; without a tap {}"


def _quantity(name: str, make: Callable[[Rows], Uncertain], otherwise: str = "") -> Quantity:
    formula = _OR.format(_FORMULA, otherwise) if otherwise else _FORMULA
    return Quantity(name, "Pa", f"{_STATIONS[name].words} pressure", "absolute, total", formula, make)


QUANTITIES = (
    _quantity("pressure_1", _pressure_1, "p_amb - K m^2 T_1/p_amb"),
    _quantity("pressure_2", _pressure_2, "p_bp plus the cooler's loss K m^2 T_2/p_2"),
    _quantity("pressure_bp", _pressure_bp, "p_im plus the throttle's loss, wide open only"),
    _quantity("pressure_em", lambda rows: _at_tap(rows, "pressure_em")),
    _quantity("pressure_g", lambda rows: _at_tap(rows, "pressure_g")),
    _quantity("pressure_4", _pressure_4, "p_amb plus the exhaust's loss K m^2 T_4/p_4"),
)
"""Total pressures, in flow order."""
