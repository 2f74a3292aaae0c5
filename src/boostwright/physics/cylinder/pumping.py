"""Gas-exchange work between the two manifolds. Positive is a loss; boost above back-pressure gives work
back."""

from __future__ import annotations

from boostwright.physics.number import Number
from boostwright.physics.relation import Interval, relation

__all__ = ["pumping_mean_effective_pressure", "valve_loss", "valve_loss_orifice"]


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


@relation(
    source="definition",
    status="definition",
    domain={
        "mean_piston_speed": Interval(0.0),
        "density": Interval(0.0),
        "piston_over_valve_area": Interval(0.0),
    },
)
def valve_loss_orifice(mean_piston_speed: Number, density: Number, piston_over_valve_area: Number) -> Number:
    """Mean pressure lost over one stroke through a valve, the gas taken as incompressible.

    mean_piston_speed       (...,)  [m/s]
    density                 (...,)  [kg/m3]  of the gas that flows
    piston_over_valve_area  (...,)  [-]      area of the piston over the effective area of its open valves
    Returns (...,) [Pa]. Raises OutOfDomain for a negative argument.
    Source: Bernoulli through a constant area with a piston that moves as a sine: the mean over volume of its
    speed squared is pi^2/6 of the mean speed squared. Above an inlet Mach index of 0.5 the true loss is lower,
    since the cylinder then fills less."""
    speed = mean_piston_speed * piston_over_valve_area
    return 0.8224670334241132 * density * speed * speed  # pi^2 / 12
