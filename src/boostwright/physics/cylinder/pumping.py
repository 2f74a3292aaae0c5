"""Gas-exchange work between the two manifolds. Positive is a loss; boost above back-pressure gives work
back."""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["pumping_mean_effective_pressure", "valve_loss"]


@relation(
    source="definition",
    status="definition",
    domain={"pressure_em": Interval(0.0), "pressure_im": Interval(0.0)},
)
def pumping_mean_effective_pressure(pressure_em: Number, pressure_im: Number, valve_loss: Number) -> Number:
    """Pumping mean effective pressure from mean manifold pressures.

    pressure_em  (...,)  [Pa]  exhaust manifold, absolute
    pressure_im  (...,)  [Pa]  intake manifold, absolute
    valve_loss   (...,)  [Pa]  extra mean pressure difference across both valves
    Returns (...,) [Pa]; negative when the charge pushes the piston more than the exhaust does. Raises
    OutOfDomain for a negative pressure.
    Source: first law for two constant-pressure strokes."""
    return pressure_em - pressure_im + valve_loss


@relation(
    source="own-work",
    status="own estimate",
    domain={"mean_piston_speed": Interval(0.0), "pressure_im": Interval(0.0)},
    valid={"mean_piston_speed": Interval(0.0, 22.0)},
)
def valve_loss(mean_piston_speed: Number, pressure_im: Number, loss_at_reference: Number) -> Number:
    """Pressure lost across the valves, as a velocity head scales: with density and speed squared.

    mean_piston_speed  (...,)  [m/s]
    pressure_im        (...,)  [Pa]  intake manifold, absolute, standing for the density
    loss_at_reference  (...,)  [Pa]  at 10 m/s and 100 kPa
    Returns (...,) [Pa]. Raises OutOfDomain for a negative argument.
    Source: scaling of ours; no correlation behind it, hence an engine datum to be fitted."""
    return loss_at_reference * (mean_piston_speed / 10.0) ** 2 * (pressure_im / 1.0e5)
