"""A centrifugal compressor by its dimensions, and its state at given flows on one speed line (mean line).

The published losses of ``physics.turbo.compressor_mean_line`` put together; every constant of that set stands in
``LossSet`` and is the same for all machines. Inside the iteration the bare formulas are called, without their check of
domains: a trial state may be out of them. What is fixed, and when it was, is told in docs/explain/mean-lines.md.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.components.compressor_outlet import Outlet, after_wheel
from boostwright.physics.gas.air import viscosity_sutherland
from boostwright.physics.gas.pipe import friction_factor_churchill
from boostwright.physics.turbo import compressor_mean_line as losses
from boostwright.physics.turbo import wheel_passages as passages
from boostwright.physics.turbo.compressor_similarity import choked_flow_ratio
from boostwright.physics.turbo.corrected import REFERENCE_PRESSURE, REFERENCE_TEMPERATURE
from boostwright.physics.turbo.slip import slip_factor_wiesner

__all__ = [
    "LOSS_SET",
    "CompressorWheel",
    "LossSet",
    "WheelState",
    "throat_area",
    "throat_flow",
    "wheel_state",
]

Array = NDArray[np.float64]

_R, _CP = 287.05, 1004.675
_DENSITY = REFERENCE_PRESSURE / (_R * REFERENCE_TEMPERATURE)
_FASTEST_EXIT = 0.9  # radial velocity over tip speed that keeps a trial state from running away
_SOUND = float(np.sqrt(1.4 * _R * REFERENCE_TEMPERATURE))


@dataclass(frozen=True)
class LossSet:
    """Every constant that is not a dimension; one set for all machines.

    incidence_share    [-] of Conrad's loss, middle of its 0.5 to 0.7
    wake_share         [-] of the exit area, Johnston and Dean; usual
    roughness          [m] of a cast or milled wheel
    volute_share       [-] share of the tangential head that a volute loses
    recirculation      author of the recirculation loss: "coppage" or "oh"
    exit_blockage      [-] share of the exit taken by boundary layers; None: Aungier's correlation
    """

    incidence_share: float = 0.6
    wake_share: float = 0.15
    roughness: float = 2e-6
    volute_share: float = 0.15
    recirculation: str = "coppage"
    exit_blockage: float | None = None


LOSS_SET = LossSet()
"""The set that is shipped."""
FIRST_SET = LossSet(recirculation="oh", exit_blockage=0.05)
"""The set as first fixed, kept for the comparison in studies/mean_line."""
_RECIRCULATION = {"coppage": losses.loss_recirculation_coppage, "oh": losses.loss_recirculation_oh}


@dataclass(frozen=True)
class CompressorWheel:
    """What a caliper, a protractor and a count of teeth tell of a compressor.

    inducer_hub_diameter, inducer_tip_diameter, exducer_diameter  [m]
    tip_width              [m] height of the blade at the exducer
    full_blades, splitter_blades  [-]
    inducer_blade_angle    [rad] at the inducer's tip, from the axis; falls to the hub like that of a helicoid
    backsweep              [rad] at the exducer, from radial
    clearance              [m] between blade and housing at the exducer
    axial_length           [m] of the wheel from inducer to back
    blade_thickness        [m] at the exducer
    splitter_share         [-] length of a splitter over that of a full blade
    diffuser_radius_ratio  [-] outlet radius of the diffuser over that of the wheel
    diffuser_width_start, diffuser_width_end  [-] widths of the diffuser over the tip width
    volute                 whether a volute follows
    """

    inducer_hub_diameter: float
    inducer_tip_diameter: float
    exducer_diameter: float
    tip_width: float
    full_blades: int
    splitter_blades: int
    inducer_blade_angle: float
    backsweep: float
    clearance: float
    axial_length: float
    blade_thickness: float
    splitter_share: float = 0.7
    diffuser_radius_ratio: float = 1.6
    diffuser_width_start: float = 1.0
    diffuser_width_end: float = 0.9
    volute: bool = True

    @property
    def blade_count(self) -> float:
        """Full blades and splitters, these by their length."""
        return self.full_blades + self.splitter_share * self.splitter_blades

    @property
    def mean_inducer_diameter(self) -> float:
        """Diameter [m] that halves the inducer's area."""
        return float(np.sqrt(0.5 * (self.inducer_tip_diameter**2 + self.inducer_hub_diameter**2)))

    def inducer_angle(self, diameter: float) -> float:
        """Blade angle [rad] from the axis at a diameter of the inducer, of a helicoid through the tip."""
        return float(np.arctan(np.tan(self.inducer_blade_angle) * diameter / self.inducer_tip_diameter))


@dataclass(frozen=True)
class WheelState:
    """Results at each flow; total to total from the inlet to the end of diffuser or volute.

    flow (n,) [kg/s]; pressure_ratio, efficiency (n,) [-]; work (n,) [J/kg] with all parasitic work
    flow_angle (n,) [rad] at the wheel's exit from radial; incidence (n,) [rad] at the inducer's mean diameter
    shares  losses by name, each (n,) [J/kg]
    """

    flow: Array
    pressure_ratio: Array
    efficiency: Array
    work: Array
    flow_angle: Array
    incidence: Array
    shares: dict[str, Array]


@dataclass(frozen=True)
class _Inlet:
    axial: Array
    relative_mean: Array
    relative_tip: Array
    relative_hub: Array
    incidence: Array
    density: Array
    choking: Array


def throat_area(wheel: CompressorWheel) -> float:
    """Throat of the inducer [m2] by the cosine rule, hub to tip.

    The blades' thickness is left out, for between leading edge and throat the blades turn to the axis and open the
    passage by about as much as they are thick (own estimate).
    """
    radius = np.linspace(0.5 * wheel.inducer_hub_diameter, 0.5 * wheel.inducer_tip_diameter, 41)
    slope = np.tan(wheel.inducer_blade_angle) * 2.0 / wheel.inducer_tip_diameter
    return float(np.trapezoid(2.0 * np.pi * radius / np.sqrt(1.0 + (slope * radius) ** 2), radius))


def throat_flow(wheel: CompressorWheel, speed: float) -> float:
    """Flow [kg/s] at which the inducer's throat chokes, at 288.15 K and 101 325 Pa and a speed [rad/s]."""
    mach = 0.5 * speed * wheel.mean_inducer_diameter / _SOUND
    return float(_DENSITY * _SOUND * throat_area(wheel) * choked_flow_ratio(mach * mach))


def _inlet(wheel: CompressorWheel, speed: float, flow: Array) -> _Inlet:
    """State ahead of the inducer, without swirl."""
    area = 0.25 * np.pi * (wheel.inducer_tip_diameter**2 - wheel.inducer_hub_diameter**2)
    axial = flow / (_DENSITY * area)
    density = np.full_like(flow, _DENSITY)
    for _ in range(60):
        density = _DENSITY * np.maximum(1.0 - axial**2 / (2.0 * _CP * REFERENCE_TEMPERATURE), 0.6) ** 2.5
        axial = 0.5 * (axial + flow / (density * area))
    mean, tip, hub = (
        0.5 * speed * d
        for d in (wheel.mean_inducer_diameter, wheel.inducer_tip_diameter, wheel.inducer_hub_diameter)
    )
    incidence = np.arctan2(mean, axial) - wheel.inducer_angle(wheel.mean_inducer_diameter)
    relative = np.hypot(axial, mean)
    share = flow / throat_flow(wheel, speed)
    choking = losses.choking_loss_coefficient_aungier.formula(share) * 0.5 * relative**2
    return _Inlet(axial, relative, np.hypot(axial, tip), np.hypot(axial, hub), incidence, density, choking)


def _exit_area(wheel: CompressorWheel) -> float:
    """Area at the exit [m2], less the blades."""
    blades = (wheel.full_blades + wheel.splitter_blades) * wheel.blade_thickness / np.cos(wheel.backsweep)
    ring = np.pi * wheel.exducer_diameter - blades
    return float(ring * wheel.tip_width)


def wheel_state(
    wheel: CompressorWheel,
    speed: float,
    flow: Array,
    shock: Array | float = 0.0,
    constants: LossSet = LOSS_SET,
) -> WheelState:
    """Pressure ratio, efficiency and losses at flows on one speed line.

    wheel      dimensions
    speed      [rad/s] at an inlet of 288.15 K and 101 325 Pa
    flow       (n,) [kg/s] at that inlet, up to ``throat_flow``
    shock      (n,) [J/kg] further loss behind a choked throat
    constants  the set of loss constants
    Returns a WheelState; values are nan where no subsonic exit exists.
    """
    inlet = _inlet(wheel, speed, flow)
    tip = 0.5 * speed * wheel.exducer_diameter
    slip = slip_factor_wiesner(
        wheel.blade_count, wheel.backsweep, wheel.mean_inducer_diameter / wheel.exducer_diameter
    )
    area = _exit_area(wheel)
    blockage = np.full_like(flow, 0.05)
    density = 1.3 * inlet.density
    with np.errstate(invalid="ignore", divide="ignore"):
        for _ in range(120):
            asked = flow / (density * area * (1.0 - blockage))
            radial = np.minimum(asked, _FASTEST_EXIT * tip + 1.0)
            swirl = tip * slip - radial * np.tan(wheel.backsweep)
            shares, blocked = _losses(wheel, constants, inlet, flow, tip, radial, swirl, density)
            blockage = 0.6 * blockage + 0.4 * np.minimum(blocked, 0.5)
            shares["shock"] = np.zeros_like(flow) + shock
            blade_work = tip * swirl
            work = blade_work + shares["disc friction"] + shares["recirculation"]
            inner = sum(v for k, v in shares.items() if k not in ("disc friction", "recirculation"))
            total = REFERENCE_TEMPERATURE + work / _CP
            ratio = np.maximum(1.0 + (blade_work - inner) / (_CP * REFERENCE_TEMPERATURE), 0.05) ** 3.5
            static = np.maximum(total - (radial**2 + swirl**2) / (2.0 * _CP), 100.0)
            new = REFERENCE_PRESSURE * ratio * (static / total) ** 3.5 / (_R * static)
            settled = np.abs(new / density - 1.0)
            density = np.maximum(0.6 * density + 0.4 * new, 0.1 * _DENSITY)
            if float(np.max(settled)) < 1e-8:
                break
        radius = 0.5 * wheel.exducer_diameter
        outlet = after_wheel(
            Outlet(
                radius * 1.0,
                wheel.diffuser_radius_ratio,
                wheel.tip_width * wheel.diffuser_width_start,
                wheel.tip_width * wheel.diffuser_width_end,
                constants.volute_share if wheel.volute else -1.0,
            ),
            flow,
            total,
            REFERENCE_PRESSURE * ratio,
            swirl,
        )
        pressure_ratio = outlet / REFERENCE_PRESSURE
        head = _CP * REFERENCE_TEMPERATURE * (pressure_ratio ** (1.0 / 3.5) - 1.0)
    shares["diffuser"] = _CP * REFERENCE_TEMPERATURE * (ratio ** (1 / 3.5) - pressure_ratio ** (1 / 3.5))
    # held by the bound the state is none: the exit passes less than what was asked of it
    pressure_ratio = np.where((settled < 1e-4) & (asked <= radial), pressure_ratio, np.nan)
    return WheelState(
        flow, pressure_ratio, head / work, work, np.arctan2(swirl, radial), inlet.incidence, shares
    )


def _losses(
    wheel: CompressorWheel,
    constants: LossSet,
    inlet: _Inlet,
    flow: Array,
    tip: float,
    radial: Array,
    swirl: Array,
    density: Array,
) -> tuple[dict[str, Array], Array]:
    """Each published loss [J/kg] by name, and the share of the exit that is blocked, in this step's state."""
    d1t, d1h, d2 = wheel.inducer_tip_diameter, wheel.inducer_hub_diameter, wheel.exducer_diameter
    relative_exit = np.hypot(radial, tip - swirl)
    factor = passages.diffusion_factor_coppage.formula(
        inlet.relative_tip, relative_exit, swirl / tip, wheel.blade_count, d1t / d2
    )
    cosine = 0.5 * (np.cos(wheel.inducer_angle(d1t)) + np.cos(wheel.inducer_angle(d1h)))
    length = passages.flow_path_length_jansen.formula(
        d2, d1t, d1h, wheel.tip_width, wheel.axial_length, cosine, wheel.backsweep
    )
    hydraulic = passages.hydraulic_diameter_jansen.formula(
        d2, d1t, d1h, wheel.tip_width, cosine, wheel.backsweep, wheel.blade_count
    )
    velocity = passages.mean_relative_velocity_oh.formula(
        inlet.axial, np.hypot(radial, swirl), inlet.relative_tip, inlet.relative_hub, relative_exit
    )
    viscosity = viscosity_sutherland.formula(REFERENCE_TEMPERATURE + 0.5 * tip * swirl / _CP)
    mean_density = 0.5 * (inlet.density + density)
    friction = friction_factor_churchill.formula(
        mean_density * velocity * hydraulic / viscosity, constants.roughness / hydraulic
    )
    skin = losses.loss_skin_friction_jansen.formula(friction, length, hydraulic, velocity)
    blocked = passages.exit_blockage_aungier.formula(
        skin / (0.5 * inlet.relative_mean**2), inlet.relative_mean, relative_exit, density / inlet.density,
        _exit_area(wheel) * np.cos(wheel.backsweep) / throat_area(wheel), hydraulic, length, wheel.tip_width,
        wheel.clearance,
    )  # fmt: skip
    if constants.exit_blockage is not None:
        blocked = np.full_like(flow, constants.exit_blockage)
    shares = {
        "incidence": losses.loss_incidence_conrad.formula(
            inlet.relative_mean, inlet.incidence, constants.incidence_share
        ),
        "choking": inlet.choking,
        "skin friction": skin,
        "blade loading": losses.loss_blade_loading_coppage.formula(factor, tip),
        "clearance": losses.loss_clearance_jansen.formula(
            swirl, inlet.axial, density / inlet.density, wheel.clearance, wheel.tip_width, wheel.blade_count,
            d2, d1t, d1h,
        ),
        "mixing": losses.loss_mixing_johnston_dean.formula(
            radial, swirl, constants.wake_share, wheel.diffuser_width_start
        ),
        "disc friction": losses.loss_disc_friction_daily_nece.formula(
            flow, mean_density, density, tip, d2, viscosity
        ),
        "recirculation": _RECIRCULATION[constants.recirculation].formula(
            np.clip(np.arctan2(swirl, radial), 0.0, 1.57), factor, tip
        ),
    }  # fmt: skip
    return shares, blocked
