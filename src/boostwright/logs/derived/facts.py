"""What must be known of the car beside its log: plain numbers in SI, each with how far it can be off.

A task takes them from a build; what a build does not say is None, and what would need it says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "SENSOR_ERRORS",
    "SENSOR_LAGS",
    "CompressorFacts",
    "CoolerFacts",
    "Day",
    "DrivelineFacts",
    "DynoFacts",
    "EngineFacts",
    "Expected",
    "Facts",
    "FuelFacts",
    "InjectorFacts",
    "Loss",
    "Number",
    "ProbeFacts",
    "SensorError",
    "Tap",
    "TurbineFacts",
    "VehicleFacts",
    "WeatherFacts",
]

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Number:
    """A number with the largest error it can have, and the words for where it is from."""

    value: float
    largest: float
    words: str


@dataclass(frozen=True)
class SensorError:
    """The largest error of a sensor at rest: ``absolute`` in SI, ``share`` [-] of the reading; ``words``: how known."""

    absolute: float
    share: float
    words: str


_CP = "common practice"
SENSOR_ERRORS: Mapping[str, SensorError] = MappingProxyType(
    {
        "barometer": SensorError(0.5e3, 0.0, _CP),
        "pressure": SensorError(2.0e3, 0.0, _CP),
        "exhaust_pressure": SensorError(5.0e3, 0.0, _CP),
        "temperature": SensorError(2.0, 0.0, _CP),
        "exhaust_temperature": SensorError(2.5, 0.0075, "larger of both in IEC 60584-1 class 2, from memory"),
        "lambda": SensorError(0.015, 0.0, _CP),
        "air_meter": SensorError(0.0, 0.03, _CP),
        "fuel_flow": SensorError(0.0, 0.02, _CP),
        "injector_time": SensorError(20e-6, 0.0, _CP),
        "engine_speed": SensorError(0.0, 0.002, _CP),
        "shaft_speed": SensorError(0.0, 0.002, _CP),
        "vehicle_speed": SensorError(0.0, 0.01, _CP),
        "torque": SensorError(0.0, 0.02, _CP),
        "humidity": SensorError(0.1, 0.0, _CP),
        "none": SensorError(0.0, 0.0, ""),
    }
)
"""Largest errors of usual sensors by kind; what a build says in [sensor_errors] goes before them."""

SENSOR_LAGS: Mapping[str, float] = MappingProxyType(
    {"temperature": 8.0, "exhaust_temperature": 3.0, "lambda": 0.3}
)
"""Longest usual time constant [s] of probes by kind: an air probe in a slow casing, a sheath of 3 mm in exhaust, a
lambda probe with the gas' way to it (common practice). A reading may be up to that late."""


@dataclass(frozen=True)
class Tap:
    """A wall tap. pipe_bore [m] there; tap_bore [m], NaN where not known; words: where the bores are from."""

    pipe_bore: float
    tap_bore: float
    words: str


@dataclass(frozen=True)
class Loss:
    """A restriction by one known point: K [Pa2 s2/(kg2 K)], the share [-] it can be off, and what it is."""

    coefficient: float
    share: float
    words: str


@dataclass(frozen=True)
class EngineFacts:
    """The engine's breathing.

    displacement [m3]; cylinders; compression_ratio [-]
    speeds (k,) [rad/s], volumetric_efficiency (k,) [-] over manifold density; share [-] it can be off
    form                 'eriksson' or 'heywood', of the loss with back-pressure
    reference_factor     (k,) that form at the back-pressure the efficiency was found at
    reference_temperature (k,) [K]; temperature_exponent [-]
    words                where the breathing is from
    """

    displacement: float
    cylinders: int
    compression_ratio: float
    speeds: Array
    volumetric_efficiency: Array
    share: float
    form: str
    reference_factor: Array
    reference_temperature: Array
    temperature_exponent: float
    words: str


@dataclass(frozen=True)
class FuelFacts:
    """The fuel: stoichiometric_ratio [-] dry air by mass, density [kg/m3], with the shares they can be off."""

    stoichiometric_ratio: float
    stoichiometric_share: float
    density: float
    density_share: float
    name: str


@dataclass(frozen=True)
class InjectorFacts:
    """The injectors.

    count; flow [kg/s] of one held open, of the liquid of flow_density [kg/m3] at flow_pressure [Pa] over it
    share            [-] by which that flow can be off
    voltage, dead_time  (k,) [V], [s]; usual_voltage [V] where none is logged
    dead_time_error  [s] largest
    pulses           per cycle; rail_pressure [Pa] held over the manifold or over the air outside
    rail_over        'manifold' or 'air'
    """

    count: int
    flow: float
    flow_density: float
    flow_pressure: float
    share: float
    voltage: Array
    dead_time: Array
    usual_voltage: float
    dead_time_error: float
    pulses: int
    rail_pressure: float
    rail_over: str


@dataclass(frozen=True)
class CompressorFacts:
    """The compressor's map at 101.325 kPa and 288.15 K, and its card's own reference.

    count; reference_pressure [Pa], reference_temperature [K] of the card
    speeds (k,) corrected [rad/s]; flow, pressure_ratio (k, m) along each line from surge to choke
    speed_limit [rad/s] of the shaft, NaN for none; flow_share, ratio_share [-] by which the map can be off, the
    second of the pressure ratio less one; words: what map it is
    """

    count: int
    reference_pressure: float
    reference_temperature: float
    speeds: Array
    flow: Array
    pressure_ratio: Array
    speed_limit: float
    flow_share: float
    ratio_share: float
    words: str


@dataclass(frozen=True)
class TurbineFacts:
    """The turbine's flow, its mean over the pulses at each engine speed.

    count; wheel_diameter [m]
    engine_speeds (s,) [rad/s], log_ratio (r,), blade_ratio (b,): the grid of
    swallowing (s, r, b) [kg sqrt(K)/(s Pa)] m sqrt(T)/p of one turbine
    flow_exponent  of sqrt(1 - ratio^-exponent), the form by which a flow is carried to the choked one
    share          [-] by which the flow can be off; words: what it was made from
    """

    count: int
    wheel_diameter: float
    engine_speeds: Array
    log_ratio: Array
    blade_ratio: Array
    swallowing: Array
    flow_exponent: float
    share: float
    words: str


@dataclass(frozen=True)
class CoolerFacts:
    """The charge cooler: air temperature it is cooled to is that outside plus coolant_rise [K]; kind in words."""

    coolant_rise: float
    words: str


@dataclass(frozen=True)
class Expected:
    """What the model expects along engine speeds (k,) [rad/s], for what no sensor shows.

    pressure_ratio  p_em/p_im; temperature_em [K]; temperature_over_reading [K] of gas over the probe's reading
    words           which prediction
    """

    speeds: Array
    pressure_ratio: Array
    temperature_em: Array
    temperature_over_reading: Array
    words: str


@dataclass(frozen=True)
class Day:
    """The air of the day, None where only the log can tell: pressure [Pa], temperature [K], humidity [-]."""

    pressure: Number | None = None
    temperature: Number | None = None
    humidity: Number | None = None


@dataclass(frozen=True)
class ProbeFacts:
    """The lambda probe: 'behind-turbine' or 'ahead-of-turbine'."""

    place: str


@dataclass(frozen=True)
class DrivelineFacts:
    """What is lost to the wheels: share [-] of the power, drag [N m] at the crankshaft."""

    share: Number
    drag: Number
    words: str


@dataclass(frozen=True)
class VehicleFacts:
    """The car on the road.

    mass [kg]; drag_area [m2]; rolling [-]; slope [-] of the road where it is stated
    wheel_inertia [kg m2] of all wheels at rolling_radius [m];
    engine_inertia [kg m2]
    """

    mass: Number
    drag_area: Number
    rolling: Number
    slope: Number | None
    wheel_inertia: Number
    rolling_radius: Number
    engine_inertia: Number


@dataclass(frozen=True)
class DynoFacts:
    """A roller.

    equivalent_mass [kg] at its surface, driven wheels counted with it; engine_inertia [kg m2]
    rolling         [N] resistance of the tyres on it
    """

    equivalent_mass: Number
    engine_inertia: Number
    rolling: Number = field(default_factory=lambda: Number(0.0, 0.0, ""))


@dataclass(frozen=True)
class WeatherFacts:
    """How power is brought to reference air.

    method  of power_correction; turbo: whether the engine is boosted
    target_speeds [rad/s], target_pressures [Pa] (k,) where boost is held absolute, empty where it is not
    """

    method: str
    turbo: bool
    target_speeds: Array
    target_pressures: Array


@dataclass(frozen=True)
class Facts:
    """All that is known beside the log; see each part.

    load        'road', 'roller' without a brake, '' where not known
    load_words  why it is taken for that, '' where the user says so
    timed       False where the log's times are only counted rows: then nothing has a rate of change
    """

    day: Day = field(default_factory=Day)
    errors: Mapping[str, SensorError] = field(default_factory=lambda: SENSOR_ERRORS)
    lags: Mapping[str, float] = field(default_factory=lambda: SENSOR_LAGS)
    taps: Mapping[str, Tap] = field(default_factory=dict)
    engine: EngineFacts | None = None
    fuel: FuelFacts | None = None
    injectors: InjectorFacts | None = None
    intake: Loss | None = None
    cooler_loss: Loss | None = None
    throttle: Loss | None = None
    exhaust: Loss | None = None
    cooler: CoolerFacts | None = None
    compressor: CompressorFacts | None = None
    turbine: TurbineFacts | None = None
    expected: Expected | None = None
    probe: ProbeFacts | None = None
    driveline: DrivelineFacts | None = None
    vehicle: VehicleFacts | None = None
    dyno: DynoFacts | None = None
    load: str = ""
    load_words: str = ""
    timed: bool = True
    weather: WeatherFacts | None = None
