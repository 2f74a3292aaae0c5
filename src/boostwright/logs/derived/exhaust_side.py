"""Turbine, wastegate and drive pressure: what the taps ahead of and behind the turbine say."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import RegularGridInterpolator

from boostwright.logs.derived.facts import TurbineFacts
from boostwright.logs.derived.pressures import absolute
from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.taps import EXHAUST_GAMMA, EXHAUST_R
from boostwright.logs.derived.uncertain import Uncertain, through

__all__ = ["QUANTITIES"]

Array = NDArray[np.float64]

_LEAST_EXPANSION = 1.1  # below it what follows from it is mostly error
_USUAL_BLADE = (0.65, 0.15)  # blade-speed ratio where no shaft speed is logged, and largest error
_LEAST_BOOST = 10e3  # Pa, below which a ratio of gauge pressures says nothing
_SHUT = 0.02
_EMPTYING = 0.7  # of the turbine's flow: less comes from the engine only while the manifold empties


def _turbine(rows: Rows) -> TurbineFacts:
    if rows.facts.turbine is None:
        raise Missing(Need("the turbine's flow", "a build with a turbine"))
    return rows.facts.turbine


def _expansion(rows: Rows) -> Uncertain:
    return through(np.divide, rows.get("pressure_em"), rows.get("pressure_4"))


def _drive(rows: Rows) -> Uncertain:
    return through(np.divide, rows.get("pressure_em"), rows.get("pressure_im"))


def _drive_gauge(rows: Rows) -> Uncertain:
    return through(
        lambda em, amb, boost: np.where(boost > _LEAST_BOOST, (em - amb) / boost, np.nan),
        rows.get("pressure_em"),
        rows.get("pressure_amb"),
        rows.get("boost"),
    )


def _count(rows: Rows) -> float:
    return float(rows.facts.turbine.count) if rows.facts.turbine is not None else 1.0


def _swallowing(rows: Rows) -> Uncertain:
    """All the exhaust as if it went through the turbines: with the gate open, too much."""
    count = _count(rows)
    found = through(
        lambda m, t, p: np.where(m > 0.0, m / count * np.sqrt(t) / p, np.nan),
        rows.get("mass_flow_exhaust"),
        rows.get("temperature_em"),
        rows.get("pressure_em"),
    )
    return found.with_flag(
        "gate", "all the exhaust is counted, gate gas with it: the turbine alone has no more"
    )


def _shut(rows: Rows) -> NDArray[np.bool_] | None:
    """Where the gate is known to be shut; None where nothing tells."""
    if not rows.has("gate_position"):
        return None
    return np.asarray(np.abs(rows.channel("gate_position").value) < _SHUT)


def _choked(rows: Rows) -> Uncertain:
    """The flow carried to a large expansion ratio by the form of the turbine; all of it where the gate is shut."""
    facts = _turbine(rows)
    found = through(
        lambda w, er: np.where(
            er > _LEAST_EXPANSION, w / np.sqrt(1.0 - np.maximum(er, 1.0) ** -facts.flow_exponent), np.nan
        ),
        rows.get("turbine_swallowing"),
        rows.get("turbine_expansion_ratio"),
    )
    shut = _shut(rows)
    if shut is None:
        words = "gate_position is not logged: with the gate open this is turbine and gate together, an upper bound"
        return found.with_flag("gate", words)
    found = found.with_flag("gate", "rows with the gate shut only")
    return found.only(shut)


def _blade(rows: Rows, facts: TurbineFacts) -> Uncertain:
    """Blade-speed ratio: tip speed over the speed of isentropic expansion."""
    if not rows.has("shaft_speed"):
        return rows.number("blade-speed ratio assumed", *_USUAL_BLADE)
    gamma = EXHAUST_GAMMA
    heat = EXHAUST_R * gamma / (gamma - 1.0)

    def formula(n: Array, t: Array, er: Array) -> Array:
        drop = heat * t * (1.0 - np.maximum(er, 1.0 + 1e-6) ** (-(gamma - 1.0) / gamma))
        return np.asarray(0.5 * facts.wheel_diameter * n / np.sqrt(2.0 * drop))

    return through(
        formula,
        rows.channel("shaft_speed"),
        rows.get("temperature_em"),
        rows.get("turbine_expansion_ratio"),
    )


def _through_turbine(rows: Rows) -> Uncertain:
    """What the turbine's card passes at this expansion ratio, temperature and pressure, all machines together."""
    facts = _turbine(rows)
    axes = (facts.engine_speeds, facts.log_ratio, facts.blade_ratio)
    grid = RegularGridInterpolator(axes, facts.swallowing, bounds_error=False, fill_value=None)

    def formula(n: Array, er: Array, blade: Array, t: Array, p: Array, share: Array) -> Array:
        at = np.stack(
            [
                np.clip(n, axes[0][0], axes[0][-1]),
                np.clip(np.log(np.maximum(er, 1.0)), axes[1][0], axes[1][-1]),
                np.clip(blade, axes[2][0], axes[2][-1]),
            ],
            axis=-1,
        )
        return np.asarray(facts.count * share * grid(at) * p / np.sqrt(t))

    return through(
        formula,
        rows.channel("engine_speed"),
        rows.get("turbine_expansion_ratio"),
        _blade(rows, facts),
        rows.get("temperature_em"),
        rows.get("pressure_em"),
        rows.number("flow of the turbine's card", 1.0, facts.share),
    ).with_flag("turbine", f"turbine: {facts.words}")


def _gate_share(rows: Rows) -> Uncertain:
    return through(
        lambda turbine, all_of_it, er: np.where(
            (all_of_it > _EMPTYING * turbine) & (er > _LEAST_EXPANSION), 1.0 - turbine / all_of_it, np.nan
        ),
        rows.get("mass_flow_turbine"),
        rows.get("mass_flow_exhaust"),
        rows.get("turbine_expansion_ratio"),
    )


def _gate_flow(rows: Rows) -> Uncertain:
    return through(np.subtract, rows.get("mass_flow_exhaust"), rows.get("mass_flow_turbine"))


def _recovery(rows: Rows) -> Uncertain:
    """Share of the manifold's pressure ahead of the valve; the downpipe's error is in both differences."""
    for name in ("pressure_g_static", "pressure_em_static"):
        if not rows.has(name):
            raise Missing(Need(f"channel {name}", "a tap ahead of the gate valve"))
    absolute(rows, "pressure_g_static")
    return through(
        lambda g, em, behind: np.where(em - behind > 5e3, (g - behind) / (em - behind), np.nan),
        rows.get("pressure_g"),
        rows.get("pressure_em"),
        rows.get("pressure_4"),
    )


QUANTITIES = (
    Quantity(
        "turbine_expansion_ratio",
        "1",
        "turbine expansion ratio",
        "pressure_em / pressure_4, totals",
        "p_em/p_4",
        _expansion,
    ),
    Quantity(
        "drive_pressure_ratio",
        "1",
        "drive-pressure ratio",
        "absolute: total pressure_em / total pressure_im",
        "p_em/p_im",
        _drive,
    ),
    Quantity(
        "drive_pressure_ratio_gauge",
        "1",
        "drive-pressure ratio in gauge pressures",
        "gauge: (pressure_em - pressure_amb) / boost",
        "(p_em - p_amb)/(p_im - p_amb), above 10 kPa of boost",
        _drive_gauge,
    ),
    Quantity(
        "turbine_swallowing",
        "kg*sqrt(K)/(s*Pa)",
        "flow of turbine and gate by their inlet state",
        "of one turbine, gate gas counted with it",
        "m_exh sqrt(T_em)/p_em",
        _swallowing,
    ),
    Quantity(
        "choked_flow_implied",
        "kg*sqrt(K)/(s*Pa)",
        "choked flow of one turbine that this point implies",
        "an upper bound where the gate is not known to be shut",
        "m_exh sqrt(T_em)/p_em / sqrt(1 - (p_4/p_em)^k), k of the turbine's flow form",
        _choked,
    ),
    Quantity(
        "mass_flow_turbine",
        "kg/s",
        "gas flow through the turbine or turbines by their card",
        "all machines together",
        "card(p_em/p_4, u/c_0, pulses) p_em/sqrt(T_em)",
        _through_turbine,
    ),
    Quantity(
        "mass_flow_gate",
        "kg/s",
        "gas flow through the gate or gates",
        "all together",
        "m_exh - m_t",
        _gate_flow,
    ),
    Quantity(
        "gate_flow_share",
        "1",
        "share of the exhaust gas that goes through the gate",
        "mass_flow_gate / mass_flow_exhaust",
        "1 - m_t/m_exh, above an expansion ratio of 1.1",
        _gate_share,
    ),
    Quantity(
        "takeoff_recovery",
        "1",
        "share of the manifold's pressure that stands ahead of the valve",
        "(pressure_g - pressure_4) / (pressure_em - pressure_4)",
        "(p_g - p_4)/(p_em - p_4)",
        _recovery,
    ),
)
"""Turbine and gate."""
