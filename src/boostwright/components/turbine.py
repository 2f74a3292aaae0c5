"""The turbine as a table the solver reads: made from one number, or from a card's lines of corrected speed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.cards.card import Card
from boostwright.cards.turbine import choked_swallowing
from boostwright.components.how_known import EXACT, HowKnown, known_one_number, known_turbine_card
from boostwright.numerics.uniform_grid import pack_into
from boostwright.physics.turbo import turbine as relations

__all__ = [
    "EXHAUST_GAS_CONSTANT",
    "TurbineTable",
    "pack_turbine",
    "turbine_from_card",
    "turbine_from_one_number",
    "turbine_grid",
]

Array = NDArray[np.float64]

_LOG_RATIO_END = float(np.log(6.0))
_BLADE_END = 1.4
_RATIO_NODES = 49
_BLADE_NODES = 57
# exponent of the published flow form Psi = c sqrt(1 - Pi^k), k read in Sivertsson & Eriksson (SIMS 2014)
_FLOW_EXPONENT = 2.3633
EXHAUST_GAS_CONSTANT = 289.0
"""J/(kg K), petrol exhaust near lambda 0.95, to which a card's gas is carried."""


@dataclass(frozen=True)
class TurbineTable:
    """Packed table for the kernel and what is known of how well it stands for its source.

    table             1-D, see solve.kernel.turbine
    wheel_diameter    [m] at which the blade speed is taken
    choked_swallowing [kg sqrt(K)/(s Pa)] at a large expansion ratio
    flow_error, efficiency_error  root mean square of the card's points about the table [-], 0 for one number
    ratio_range, blade_range      where the source has points; outside it a result is flagged
    words                         what it was made from
    known                         how well it is known
    """

    table: Array
    wheel_diameter: float
    choked_swallowing: float
    flow_error: float
    efficiency_error: float
    ratio_range: tuple[float, float]
    blade_range: tuple[float, float]
    words: str
    known: HowKnown = EXACT


def turbine_grid() -> tuple[Array, Array]:
    """ln(expansion ratio) and blade-speed ratio at the nodes of every turbine table, each (nx, ny)."""
    log_ratio = np.linspace(0.0, _LOG_RATIO_END, _RATIO_NODES)
    blade = np.linspace(0.0, _BLADE_END, _BLADE_NODES)
    return np.meshgrid(log_ratio, blade, indexing="ij")


def _drive(log_ratio: Array) -> Array:
    """sqrt(1 - 1/ratio), with its limit's shape kept at a ratio of 1."""
    return np.sqrt(np.maximum(-np.expm1(-log_ratio), 1e-9))


def pack_turbine(flow: Array, efficiency: Array) -> Array:
    """Packed table for the kernel, or many of them.

    flow        (nx, ny) or (k, nx, ny) [kg sqrt(K)/(s Pa)] m sqrt(T)/p over sqrt(1 - 1/ratio) at the nodes of
                ``turbine_grid``
    efficiency  the same shape [-]
    Returns one row (m,), see solve.kernel.turbine, or (k, m).
    """
    head = (_RATIO_NODES, _BLADE_NODES, _LOG_RATIO_END, _BLADE_END)
    size = 4 * _RATIO_NODES * _BLADE_NODES
    many, start = flow.shape[:-2], len(head)
    table = np.empty((*many, start + 2 * size))
    table[..., :start] = head
    # splitting the last axis gives a view: what is packed stands in the table
    surfaces = table[..., start:].reshape(*many, 2, _RATIO_NODES, _BLADE_NODES, 4)
    pack_into(surfaces[..., 0, :, :, :], flow)
    pack_into(surfaces[..., 1, :, :, :], efficiency)
    return table


def turbine_from_one_number(
    choked_flow: float,
    wheel_diameter: float,
    efficiency_peak: float,
    best_blade_speed_ratio: float,
    efficiency_width: float = 1.0,
) -> TurbineTable:
    """A turbine of which only its choked flow is known.

    choked_flow             m sqrt(T)/p at a large expansion ratio [kg sqrt(K)/(s Pa)]
    wheel_diameter          [m]
    efficiency_peak, best_blade_speed_ratio  [-] of the parabola in blade-speed ratio
    efficiency_width        [-] distance from the best ratio to zero efficiency, over the best ratio; 1: zero at rest
    Flow follows Psi = c sqrt(1 - Pi^2.3633) whatever the wheel's speed (form and exponent: Sivertsson & Eriksson,
    SIMS 2014, one diesel-size turbine; a wide assumption for another).
    """
    log_ratio, blade = turbine_grid()
    pressure_share = np.exp(-log_ratio)
    with np.errstate(divide="ignore", invalid="ignore"):
        shape = np.sqrt((1.0 - pressure_share**_FLOW_EXPONENT) / (1.0 - pressure_share))
    shape[log_ratio == 0.0] = np.sqrt(_FLOW_EXPONENT)
    flow = choked_flow * shape
    curvature = efficiency_peak / (efficiency_width * best_blade_speed_ratio) ** 2
    efficiency = np.asarray(
        relations.turbine_efficiency_sivertsson_eriksson(
            blade, efficiency_peak, best_blade_speed_ratio, curvature
        ),
        dtype=float,
    )
    return TurbineTable(
        table=pack_turbine(flow, efficiency),
        wheel_diameter=wheel_diameter,
        choked_swallowing=choked_flow,
        flow_error=0.0,
        efficiency_error=0.0,
        ratio_range=(1.0, float(np.exp(_LOG_RATIO_END))),
        blade_range=(0.0, _BLADE_END),
        words="one number: choked flow with an assumed efficiency",
        known=known_one_number(),
    )


def _card_points(card: Card) -> tuple[Array, Array, Array, Array]:
    """ln(expansion ratio), blade-speed ratio, m sqrt(T)/p and efficiency of a card's measured points."""
    ratio = card.columns["expansion_ratio"]
    speed = card.columns["corrected_speed"]
    flow = card.columns["corrected_flow"]
    efficiency = card.columns["efficiency"]
    t_ref, p_ref = card.si("reference_temperature"), card.si("reference_pressure")
    gamma = card.si("gas_heat_capacity_ratio") if card.has("gas_heat_capacity_ratio") else 1.4
    constant = card.si("gas_constant") if card.has("gas_constant") else 287.05
    heat = constant * gamma / (gamma - 1.0)
    drop = heat * t_ref * (1.0 - ratio ** (-(gamma - 1.0) / gamma))
    blade = speed * card.si("wheel_diameter") / 2.0 / np.sqrt(2.0 * drop)
    # the same wheel swallows by m sqrt(RT)/p: carry the card's gas to exhaust gas
    swallow = flow * np.sqrt(t_ref) / p_ref * np.sqrt(constant / EXHAUST_GAS_CONSTANT)
    return np.log(ratio), blade, swallow, efficiency


def _flow_terms(log_ratio: Array, blade: Array) -> Array:
    one = np.ones_like(log_ratio)
    return np.stack([one, log_ratio, log_ratio**2, blade, blade * log_ratio, blade**2], axis=-1)


def _efficiency_terms(log_ratio: Array, blade: Array) -> Array:
    return np.stack(
        [blade, blade**2, blade**3, blade * log_ratio, blade**2 * log_ratio, blade * log_ratio**2], axis=-1
    )


def turbine_from_card(card: Card) -> TurbineTable:
    """A turbine from a card's lines of corrected speed, or from its one number.

    The points are fitted with low polynomials in ln(expansion ratio) and blade-speed ratio, the flow over
    sqrt(1 - 1/ratio) and the efficiency over the blade-speed ratio (so it vanishes at rest); what is left over is
    reported, and outside the measured range the flow keeps m sqrt(T)/p and the result is flagged.
    """
    if card.text("given_as") == "one-number":
        return turbine_from_one_number(
            choked_swallowing(card),
            card.si("wheel_diameter"),
            card.si("efficiency_peak"),
            card.si("best_blade_speed_ratio"),
        )
    x, b, swallow, efficiency = _card_points(card)
    good = np.isfinite(swallow) & np.isfinite(efficiency)
    x, b, swallow, efficiency = x[good], b[good], swallow[good], efficiency[good]
    shape = swallow / _drive(x)
    flow_fit = np.linalg.lstsq(_flow_terms(x, b), shape, rcond=None)[0]
    efficiency_fit = np.linalg.lstsq(_efficiency_terms(x, b), efficiency, rcond=None)[0]
    grid_x, grid_b = turbine_grid()
    inside_x = np.clip(grid_x, x.min(), x.max())
    inside_b = np.clip(grid_b, b.min(), b.max())
    flow = np.maximum(_flow_terms(inside_x, inside_b) @ flow_fit, 0.2 * shape.min())
    flow = np.where(grid_x > x.max(), flow * _drive(inside_x) / _drive(grid_x), flow)
    eta = _efficiency_terms(inside_x, inside_b) @ efficiency_fit
    low = grid_b < b.min()
    eta = np.where(low, eta * grid_b / b.min() * (2.0 - grid_b / b.min()), eta)
    beyond = grid_b > b.max()
    slope = (
        _efficiency_terms(inside_x, inside_b) @ efficiency_fit
        - _efficiency_terms(inside_x, inside_b - 0.02) @ efficiency_fit
    ) / 0.02
    eta = np.where(beyond, eta + np.minimum(slope, -0.2) * (grid_b - inside_b), eta)
    eta = np.clip(eta, -1.0, 0.95)
    flow_left = _flow_terms(x, b) @ flow_fit / shape - 1.0
    efficiency_left = _efficiency_terms(x, b) @ efficiency_fit - efficiency
    top = flow[-1, :] * _drive(np.array([_LOG_RATIO_END]))
    flow_error = float(np.sqrt(np.mean(flow_left**2)))
    efficiency_error = float(np.sqrt(np.mean(efficiency_left**2)))
    return TurbineTable(
        table=pack_turbine(flow, eta),
        wheel_diameter=card.si("wheel_diameter"),
        choked_swallowing=float(np.median(top)),
        flow_error=flow_error,
        efficiency_error=efficiency_error,
        ratio_range=(float(np.exp(x.min())), float(np.exp(x.max()))),
        blade_range=(float(b.min()), float(b.max())),
        words=f"card lines ({card.text('form')}), {card.text('expansion_ratio_basis')}",
        known=known_turbine_card(card.header.status, flow_error, efficiency_error),
    )
