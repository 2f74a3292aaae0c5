"""A radial turbine by its dimensions, and its flow and power at a speed and an expansion ratio (mean line).

Unproven: there is no open measured map of a radial turbine to hold it to.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.gas.air import viscosity_sutherland
from boostwright.physics.turbo import turbine_mean_line as relations
from boostwright.physics.turbo.compressor_mean_line import loss_disc_friction_daily_nece

__all__ = ["TURBINE_CONSTANTS", "Gas", "TurbineConstants", "TurbineState", "TurbineWheel", "turbine_state"]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TurbineConstants:
    """Every constant that is not a dimension.

    swirl_share       [-] angular momentum left between throat and wheel
    volute_loss       [-] total pressure lost, over the dynamic head at the wheel's inlet
    passage_factor    [-] of Glassman's passage loss
    clearance_factor  [-] work lost over relative clearance
    exit_blockage     [-] share of the wheel's exit taken by boundary layers
    """

    swirl_share: float = 0.95
    volute_loss: float = 0.10
    passage_factor: float = 0.3
    clearance_factor: float = 1.2
    exit_blockage: float = 0.05


TURBINE_CONSTANTS = TurbineConstants()
"""The set that is shipped: usual values, fixed without any map to tune to."""


@dataclass(frozen=True)
class Gas:
    """Gas and inlet state: total temperature [K], total pressure [Pa], gas constant [J/(kg K)], heat capacity ratio."""

    temperature: float = 1123.15
    pressure: float = 200e3
    constant: float = 289.0
    ratio: float = 1.33

    @property
    def heat(self) -> float:
        """Specific heat at constant pressure [J/(kg K)]."""
        return self.constant * self.ratio / (self.ratio - 1.0)


@dataclass(frozen=True)
class TurbineWheel:
    """What a caliper and a count of teeth tell of a radial turbine, and the stamp on its housing.

    inlet_diameter        [m] of the wheel where gas enters, the larger one
    inlet_width           [m] of the blade there
    exit_tip_diameter, exit_hub_diameter  [m] of the wheel where gas leaves
    exit_blade_angle      [rad] from the axis at the exit's mean diameter, against rotation
    blades                [-]
    a_over_r              [m] throat area of the housing over the radius of its centroid
    clearance             [m] between blade and housing
    blade_thickness       [m] at the exit
    """

    inlet_diameter: float
    inlet_width: float
    exit_tip_diameter: float
    exit_hub_diameter: float
    exit_blade_angle: float
    blades: int
    a_over_r: float
    clearance: float
    blade_thickness: float = 1.0e-3

    @property
    def exit_mean_diameter(self) -> float:
        """Diameter [m] that halves the exit's area."""
        return float(np.sqrt(0.5 * (self.exit_tip_diameter**2 + self.exit_hub_diameter**2)))

    @property
    def exit_annulus(self) -> float:
        """Area [m2] of the exit across the axis, less the blades."""
        ring = 0.25 * np.pi * (self.exit_tip_diameter**2 - self.exit_hub_diameter**2)
        height = 0.5 * (self.exit_tip_diameter - self.exit_hub_diameter)
        return float(ring - self.blades * self.blade_thickness * height / np.cos(self.exit_blade_angle))


@dataclass(frozen=True)
class TurbineState:
    """Results, each (n,): expansion ratio, flow [kg/s] at the gas's inlet state, efficiency, all total to static.

    blade_speed_ratio  [-] on the total-to-static spouting velocity
    swirl_exit         [m/s] absolute, in the direction of rotation
    choked             whether the throat at the wheel's exit is
    """

    expansion_ratio: Array
    flow: Array
    efficiency: Array
    blade_speed_ratio: Array
    swirl_exit: Array
    choked: NDArray[np.bool_]


@dataclass(frozen=True)
class _Inlet:
    radial: Array
    swirl: Array
    total_pressure: Array
    static_temperature: Array
    density: Array
    possible: NDArray[np.bool_]


def _volute(wheel: TurbineWheel, gas: Gas, constants: TurbineConstants, flow: Array) -> _Inlet:
    """State at the wheel's inlet for a flow; ``possible`` is False beyond what the volute passes."""
    area = np.pi * wheel.inlet_diameter * wheel.inlet_width
    total_density = gas.pressure / (gas.constant * gas.temperature)
    exponent = 1.0 / (gas.ratio - 1.0)
    sonic = 2.0 * gas.ratio * gas.constant * gas.temperature / (gas.ratio + 1.0)
    density, throat_density = np.full_like(flow, total_density), np.full_like(flow, total_density)
    possible = np.ones(flow.shape, dtype=bool)
    # Throat velocity = flow / (density A); swirl at the wheel = that times R over the wheel's radius: A/R alone counts.
    for _ in range(36):
        radial = flow / (density * area)
        swirl = (
            constants.swirl_share * flow / (throat_density * wheel.a_over_r) / (0.5 * wheel.inlet_diameter)
        )
        squared = radial**2 + swirl**2
        possible = squared < sonic * 0.999
        squared = np.minimum(squared, sonic)
        # Throat and wheel differ little in speed of gas: R_throat is not known from A/R, so the throat's state is taken
        # at the swirl it would have at 1.4 wheel radii, a usual place (weak influence, own estimate).
        throat = np.minimum((swirl / 1.4 / constants.swirl_share) ** 2, sonic)
        half = 2.0 * gas.heat * gas.temperature
        loss = constants.volute_loss * 0.5 * squared / (gas.constant * gas.temperature)
        pressure = np.exp(-loss)
        density = 0.5 * density + 0.5 * total_density * pressure * (1.0 - squared / half) ** exponent
        throat_density = 0.5 * throat_density + 0.5 * total_density * (1.0 - throat / half) ** exponent
    static = gas.temperature - squared / (2.0 * gas.heat)
    return _Inlet(radial, swirl, gas.pressure * pressure, static, density, possible)


def _throat(
    gas: Gas,
    constants: TurbineConstants,
    area: float,
    velocity: Array,
    sound: Array,
    total_relative: Array,
    mixed: Array,
    inlet_pressure: Array,
    inlet: _Inlet,
) -> tuple[Array, NDArray[np.bool_]]:
    """Flow [kg/s] that the wheel's exit passes, and whether it chokes.

    With losses that grow with velocity the most flow passes a little below the speed of sound; that is where it chokes.
    """
    power = gas.ratio / (gas.ratio - 1.0)
    best, at = np.zeros_like(velocity), np.zeros_like(velocity)
    for share in np.linspace(0.7, 1.0, 25):
        v = np.minimum(velocity, share * sound)
        ideal = total_relative - (v**2 * (1.0 + constants.passage_factor) + mixed) / (2.0 * gas.heat)
        pressure = inlet_pressure * (np.maximum(ideal, 50.0) / inlet.static_temperature) ** power
        static = total_relative - v**2 / (2.0 * gas.heat)
        passes = pressure / (gas.constant * static) * v * area
        at = np.where(passes > best, v, at)
        best = np.maximum(best, passes)
    return best, at < velocity * (1.0 - 1e-9)


def _wheel_exit(
    wheel: TurbineWheel,
    gas: Gas,
    constants: TurbineConstants,
    speed: Array | float,
    flow: Array,
    ratio: Array,
) -> tuple[Array, Array, Array, NDArray[np.bool_], Array]:
    """Flow that the exit passes for a trial flow, blade work, exit swirl, choking, density at the inlet."""
    inlet = _volute(wheel, gas, constants, flow)
    blade_in = 0.5 * speed * wheel.inlet_diameter
    blade_out = 0.5 * speed * wheel.exit_mean_diameter
    relative_swirl = inlet.swirl - blade_in
    relative = np.hypot(inlet.radial, relative_swirl)
    angle = np.arctan2(relative_swirl, inlet.radial)
    absolute = np.clip(np.arctan2(inlet.swirl, inlet.radial), 0.0, 1.57)
    incidence = angle - relations.best_relative_inlet_angle_stanitz.formula(absolute, wheel.blades)
    lost_in = relations.loss_incidence_futral_wasserbauer.formula(relative, incidence)
    # Rothalpy: static enthalpy plus half the relative velocity squared less half the blade speed squared.
    total_relative = inlet.static_temperature + (relative**2 - blade_in**2 + blade_out**2) / (2.0 * gas.heat)
    power = gas.ratio / (gas.ratio - 1.0)
    inlet_pressure = inlet.total_pressure * (inlet.static_temperature / gas.temperature) ** power
    back = gas.pressure / ratio
    isentropic = inlet.static_temperature * (back / inlet_pressure) ** (1.0 / power)
    head = 2.0 * gas.heat * (total_relative - isentropic)
    mixed = constants.passage_factor * (relative * np.cos(incidence)) ** 2 + 2.0 * lost_in
    velocity = np.sqrt(np.maximum(head - mixed, 1.0) / (1.0 + constants.passage_factor))
    open_area = wheel.exit_annulus * (1.0 - constants.exit_blockage)
    throat = open_area * np.cos(wheel.exit_blade_angle)
    sound = np.sqrt(2.0 * gas.ratio * gas.constant * total_relative / (gas.ratio + 1.0))
    passes, choked = _throat(
        gas, constants, throat, velocity, sound, total_relative, mixed, inlet_pressure, inlet
    )
    passes = np.where(head - mixed > 1.0, passes, 0.0)
    # Behind a choked throat the jet expands on and bends towards the axis: continuity gives its axial speed.
    exit_static = total_relative - velocity**2 / (2.0 * gas.heat)
    axial = passes / (back / (gas.constant * exit_static) * open_area)
    tangential = np.sqrt(np.maximum(velocity**2 - np.minimum(axial, velocity) ** 2, 0.0))
    tangential = np.where(choked, tangential, velocity * np.sin(wheel.exit_blade_angle))
    swirl_exit = blade_out - tangential
    work = blade_in * inlet.swirl - blade_out * swirl_exit
    return np.where(inlet.possible, passes, 0.0), work, swirl_exit, choked, inlet.density


def turbine_state(
    wheel: TurbineWheel,
    speed: Array | float,
    expansion_ratio: Array,
    gas: Gas,
    constants: TurbineConstants = TURBINE_CONSTANTS,
) -> TurbineState:
    """Flow and efficiency of a turbine.

    wheel            dimensions
    speed            [rad/s], from 0; one for all, or (n,)
    expansion_ratio  (n,) [-] inlet total over outlet static pressure, above 1
    gas              gas and its state at the inlet
    constants        the set of constants
    Returns a TurbineState; flow and efficiency are 0 where the wheel's own head holds all flow back.
    """
    ratio = np.asarray(expansion_ratio, dtype=float)
    low = np.zeros_like(ratio)
    high = np.full_like(
        ratio,
        1.2 * gas.pressure / np.sqrt(gas.constant * gas.temperature) * np.pi * 0.25 * wheel.inlet_diameter**2,
    )
    # What the exit passes falls as the flow through the volute grows: halving finds where both are one.
    for _ in range(40):
        middle = 0.5 * (low + high)
        more = _wheel_exit(wheel, gas, constants, speed, middle, ratio)[0] > middle
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    flow = 0.5 * (low + high)
    _, work, swirl_exit, choked, density = _wheel_exit(wheel, gas, constants, speed, flow, ratio)
    height = 0.5 * (wheel.inlet_width + 0.5 * (wheel.exit_tip_diameter - wheel.exit_hub_diameter))
    leak = relations.loss_clearance_flow_share(wheel.clearance, height, constants.clearance_factor)
    blade = 0.5 * speed * wheel.inlet_diameter
    alive = flow > 1e-5 * float(np.max(high) + 1e-12)
    windage = loss_disc_friction_daily_nece(
        np.where(alive, flow, 1.0),
        density,
        density,
        blade,
        wheel.inlet_diameter,
        viscosity_sutherland(gas.temperature),
    )
    ideal = gas.heat * gas.temperature * (1.0 - ratio ** (-(gas.ratio - 1.0) / gas.ratio))
    efficiency = np.where(alive, (work * (1.0 - leak) - windage) / ideal, 0.0)
    return TurbineState(
        ratio, np.where(alive, flow, 0.0), efficiency, blade / np.sqrt(2.0 * ideal), swirl_exit, choked
    )
