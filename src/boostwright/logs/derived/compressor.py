"""The compressor's point on its map, by every route of the air flow; its margins to surge, choke and overspeed."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.air_flow import ROUTES
from boostwright.logs.derived.compressor_map import choke_flow, speed_from_map, surge_flow
from boostwright.logs.derived.facts import CompressorFacts
from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.uncertain import Uncertain, through
from boostwright.physics.turbo import corrected

__all__ = ["QUANTITIES"]

Array = NDArray[np.float64]

_GAMMA, _GAMMA_ERROR = (
    1.3972,
    0.002,
)  # brings real air from 1.5 to 3 to its own efficiency, see the test of this
_HEAT, _HEAT_ERROR = 1009.5, 5.0  # J/(kg K) of air, mean over a usual rise
_LEAST_RATIO = 1.15  # below it an efficiency from temperatures is mostly error


def _map(rows: Rows) -> CompressorFacts:
    if rows.facts.compressor is None:
        raise Missing(Need("the compressor's map", "a build with a compressor card"))
    return rows.facts.compressor


def _ratio(rows: Rows) -> Uncertain:
    return through(np.divide, rows.get("pressure_2"), rows.get("pressure_1"))


def _flow_at(rows: Rows, air: str, pressure: float, temperature: float) -> Uncertain:
    count = rows.facts.compressor.count if rows.facts.compressor is not None else 1
    return through(
        lambda m, t, p: corrected.corrected_flow.formula(m / count, t, p, temperature, pressure),
        rows.get(air),
        rows.get("temperature_1"),
        rows.get("pressure_1"),
    )


def _corrected_by(air: str) -> Callable[[Rows], Uncertain]:
    return lambda rows: _flow_at(rows, air, corrected.REFERENCE_PRESSURE, corrected.REFERENCE_TEMPERATURE)


def _flow_card(rows: Rows) -> Uncertain:
    facts = _map(rows)
    found = _flow_at(rows, "mass_flow_air", facts.reference_pressure, facts.reference_temperature)
    words = f"card's reference: {facts.reference_pressure / 1e3:.3f} kPa, {facts.reference_temperature:.2f} K"
    return found.with_flag("card-reference", words)


def _speed_at(rows: Rows, temperature: float) -> Uncertain:
    return through(
        lambda n, t: corrected.corrected_speed.formula(n, t, temperature),
        rows.channel("shaft_speed"),
        rows.get("temperature_1"),
    )


def _speed(rows: Rows) -> Uncertain:
    return _speed_at(rows, corrected.REFERENCE_TEMPERATURE)


def _speed_card(rows: Rows) -> Uncertain:
    return _speed_at(rows, _map(rows).reference_temperature)


def _from_map(rows: Rows) -> Uncertain:
    """Corrected speed at which the map gives this ratio at this flow, the map's own doubt with it."""
    facts = _map(rows)
    flow, ratio = rows.get("corrected_flow"), rows.get("compressor_pressure_ratio")
    wide = rows.number("flow of the map", 1.0, facts.flow_share)
    tall = rows.number("pressure ratio of the map", 1.0, facts.ratio_share)
    found = through(
        lambda m, r, f, h: speed_from_map(facts, m / f, 1.0 + (r - 1.0) / h), flow, ratio, wide, tall
    )
    return found.with_flag("map", f"map: {facts.words}")


def _speed_for_margins(rows: Rows) -> Uncertain:
    def mapped() -> Uncertain:
        found = rows.get("corrected_speed_map")
        return found.with_flag("speed-by-map", "shaft speed is not logged: the map's own speed is taken")

    return rows.first(lambda: rows.get("corrected_speed"), mapped)


def _margin_at(rows: Rows, edge: Callable[[CompressorFacts, Array], Array], *, surge: bool) -> Uncertain:
    facts = _map(rows)
    wide = rows.number("flow of the map", 1.0, facts.flow_share)

    def formula(m: Array, n: Array, f: Array) -> Array:
        limit = f * edge(facts, n)
        share = np.maximum((m - limit) / m, -1.0) if surge else (limit - m) / limit
        return np.where(m > 0.0, share, np.nan)

    found = through(formula, rows.get("corrected_flow"), _speed_for_margins(rows), wide)
    return found.with_flag("map", f"map: {facts.words}")


def _speed_margin(rows: Rows) -> Uncertain:
    facts = _map(rows)
    if not np.isfinite(facts.speed_limit):
        raise Missing(Need("the shaft's speed limit", "compressor.speed_limit of the build, or its card"))

    def by_map() -> Uncertain:
        found = through(
            lambda n, t: n * np.sqrt(t / corrected.REFERENCE_TEMPERATURE),
            rows.get("corrected_speed_map"),
            rows.get("temperature_1"),
        )
        return found.with_flag("speed-by-map", "shaft speed is not logged: the map's own speed is taken")

    speed = rows.first(lambda: rows.channel("shaft_speed"), by_map)
    return through(lambda n: 1.0 - n / facts.speed_limit, speed)


def _efficiency(rows: Rows) -> Uncertain:
    """From both temperatures and both totals; heat from the housing makes it read low."""
    gamma = rows.number("heat capacity ratio of the air", _GAMMA, _GAMMA_ERROR)

    def formula(t1: Array, t2: Array, ratio: Array, g: Array) -> Array:
        rise = t2 - t1
        ideal = t1 * (np.maximum(ratio, 1.0) ** ((g - 1.0) / g) - 1.0)
        return np.where((rise > 1.0) & (ratio > _LEAST_RATIO), ideal / rise, np.nan)

    found = through(
        formula,
        rows.get("temperature_1"),
        rows.channel("temperature_2"),
        rows.get("compressor_pressure_ratio"),
        gamma,
    )
    words = "a probe behind the compressor lags in a pull (efficiency reads high) and takes heat from the housing (low)"
    return found.with_flag("efficiency", words)


def _power(rows: Rows) -> Uncertain:
    heat = rows.number("heat capacity of the air", _HEAT, _HEAT_ERROR)
    return through(
        lambda m, t1, t2, c: m * c * (t2 - t1),
        rows.get("mass_flow_air"),
        rows.get("temperature_1"),
        rows.channel("temperature_2"),
        heat,
    )


_W = "m sqrt(T_1/T_ref) p_ref/p_1 of one compressor"

QUANTITIES = (
    Quantity(
        "compressor_pressure_ratio", "1", "compressor pressure ratio", "total to total", "p_2/p_1", _ratio
    ),
    Quantity(
        "corrected_flow",
        "kg/s",
        "corrected air flow of one compressor",
        "corrected to 101.325 kPa and 288.15 K, totals",
        _W,
        _corrected_by("mass_flow_air"),
    ),
    *(
        Quantity(
            f"corrected_flow_{route}",
            "kg/s",
            f"the same with the air flow of the route {route.replace('_', ' ')}",
            "corrected to 101.325 kPa and 288.15 K, totals",
            f"{_W}, m by {route}",
            _corrected_by(f"mass_flow_air_{route}"),
        )
        for route in ROUTES
    ),
    Quantity(
        "corrected_flow_card",
        "kg/s",
        "corrected air flow of one compressor, at its card's reference",
        "corrected to the reference of the card, totals",
        f"{_W}, reference of the card",
        _flow_card,
    ),
    Quantity(
        "corrected_speed",
        "rad/s",
        "corrected shaft speed",
        "corrected to 288.15 K, total",
        "n sqrt(T_ref/T_1)",
        _speed,
    ),
    Quantity(
        "corrected_speed_card",
        "rad/s",
        "corrected shaft speed, at the card's reference",
        "corrected to the reference of the card, total",
        "n sqrt(T_ref/T_1), reference of the card",
        _speed_card,
    ),
    Quantity(
        "corrected_speed_map",
        "rad/s",
        "corrected shaft speed at which the map gives this flow and pressure ratio",
        "corrected to 288.15 K, total",
        "n at which map(n, m_c) = p_2/p_1",
        _from_map,
    ),
    Quantity(
        "compressor_efficiency",
        "1",
        "compressor efficiency from temperatures",
        "isentropic, total to total",
        "T_1 ((p_2/p_1)^((g-1)/g) - 1)/(T_2 - T_1)",
        _efficiency,
    ),
    Quantity(
        "compressor_power",
        "W",
        "power taken up by the air in the compressor or compressors",
        "all machines together",
        "m c_p (T_2 - T_1)",
        _power,
    ),
    Quantity(
        "surge_margin",
        "1",
        "surge margin",
        "(flow - surge flow) / flow, at the same corrected shaft speed",
        "(m_c - m_surge(n_c))/m_c, not below -1",
        lambda rows: _margin_at(rows, surge_flow, surge=True),
    ),
    Quantity(
        "choke_margin",
        "1",
        "choke margin",
        "(choke flow - flow) / choke flow, at the same corrected shaft speed",
        "(m_choke(n_c) - m_c)/m_choke",
        lambda rows: _margin_at(rows, choke_flow, surge=False),
    ),
    Quantity(
        "speed_margin",
        "1",
        "speed margin",
        "1 - shaft speed / limiting shaft speed",
        "1 - n/n_limit",
        _speed_margin,
    ),
)
"""The compressor's point."""
