"""What a build knows beside a log, as plain numbers for the derived quantities."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, Section
from boostwright.cards.card import Card
from boostwright.components.breathing import Filling, breathing_fields
from boostwright.components.charge import charge_fields
from boostwright.components.driveline import has_driveline, loss_words
from boostwright.components.exhaust import exhaust_fields
from boostwright.components.fuel_system import has_injectors, injector_reference
from boostwright.logs.derived.facts import (
    SENSOR_ERRORS,
    SENSOR_LAGS,
    CoolerFacts,
    Day,
    DrivelineFacts,
    DynoFacts,
    EngineFacts,
    Facts,
    FuelFacts,
    InjectorFacts,
    Loss,
    Number,
    ProbeFacts,
    SensorError,
    Tap,
    VehicleFacts,
    WeatherFacts,
)
from boostwright.physics.gas import fuel as fuel_relations
from boostwright.physics.road_load import equivalent_mass

__all__ = ["facts_of_build"]

Array = NDArray[np.float64]

_BREATHING = {"table": 0.05, "cams": 0.08, "known-curve": 0.05}
"""Share by which a volumetric efficiency without a band can be off, by where it is from; own estimate."""
_LOSS_SHARE = 0.25  # of a restriction from one known point; own estimate
_GRAVITY = 9.80665  # m/s2
_ROLLING_SHARE = 0.5  # of the tyres' resistance on a roller; own estimate
_INJECTOR_SHARE = 0.03  # of the flow of a set of injectors; common practice
_DEAD_TIME = 50e-6  # s; common practice


def facts_of_build(
    build: Build, cards: dict[str, Card], filling: Filling | None, speeds: Array, load: str = ""
) -> Facts:
    """Facts for the derived quantities; what needs the model or the map is added by the task.

    cards    by kind; filling: of a known curve turned back, None where the build has none
    speeds   (k,) [rad/s] engine speeds at which curves are read
    """
    charge, hot = charge_fields(build), exhaust_fields(build)
    cooled = build["charge_cooler"].text("kind") != "none"
    words = "the build's known point"
    return Facts(
        day=_day(build["ambient"]),
        errors=_errors(build["sensor_errors"]),
        lags=_lags(build["sensor_errors"]),
        taps=_taps(build),
        engine=_engine(build, filling, speeds),
        fuel=_fuel(cards["fuel"]),
        injectors=_injectors(build["fuel_system"]),
        intake=Loss(charge["intake_loss"], _LOSS_SHARE, words),
        cooler_loss=Loss(charge["cooler_loss"], _LOSS_SHARE, words) if cooled else None,
        throttle=Loss(charge["throttle_loss"], _LOSS_SHARE, "throttle bore, wide open"),
        exhaust=Loss(hot["exhaust_loss"], _LOSS_SHARE, words),
        cooler=CoolerFacts(build["charge_cooler"].si("coolant_rise"), "the build") if cooled else None,
        driveline=_driveline(build["driveline"]),
        vehicle=_vehicle(build["vehicle"]),
        dyno=_dyno(build),
        weather=_weather(build),
        probe=_probe(build["sensors"]),
        load=load or _load(build["dyno"]),
    )


def _share_of_band(section: Section, key: str, otherwise: float) -> float:
    """Largest error of a value as a share: the end of its band (1.73 standard deviations), or what is usual."""
    value = section.values.get(key)
    if value is None or value.band is None:
        return otherwise
    middle = np.abs(value.curve.value_points if value.curve is not None else [value.si or 1.0])
    wide = np.maximum(value.band.below, value.band.above)
    reach = {"normal": np.sqrt(3.0) / 2.0, "uniform": 1.0, "triangular": 1.0 / np.sqrt(2.0)}[value.band.shape]
    return float(np.max(wide / np.maximum(middle, 1e-12)) * reach)


def _number(section: Section, key: str, share: float, words: str = "the build") -> Number:
    value = section.si(key)
    return Number(value, _share_of_band(section, key, share) * abs(value), words)


def _day(section: Section) -> Day:
    return Day(
        Number(section.si("pressure"), 2e3, "of the build, not of the day"),
        Number(section.si("temperature"), 10.0, "of the build, not of the day"),
        Number(section.si("relative_humidity"), 0.3, "of the build, not of the day"),
    )


def _errors(section: Section) -> dict[str, SensorError]:
    """The usual errors, and before them what the build says."""
    found = dict(SENSOR_ERRORS)
    for key, usual in SENSOR_ERRORS.items():
        if section.has(key):
            stated = section.si(key)
            absolute = usual.absolute > 0.0
            found[key] = SensorError(stated if absolute else 0.0, 0.0 if absolute else stated, "the build")
    return found


def _lags(section: Section) -> dict[str, float]:
    """The longest time constants of temperature probes: the usual ones, and before them what the build says."""
    stated = {kind: section.si(f"{kind}_lag") for kind in SENSOR_LAGS if section.has(f"{kind}_lag")}
    return {**SENSOR_LAGS, **stated}


def _taps(build: Build) -> dict[str, Tap]:
    """Bores at the taps: as stated, else of the part the tap stands in, else assumed from one nearby."""
    section, found = build["taps"], {}
    throttle = build["throttle"].si("bore")
    gate = build["wastegate"]
    nearby = {
        "pressure_1": (throttle, "assumed: as the throttle"),
        "pressure_2": (throttle, "assumed: as the throttle"),
        "pressure_bp": (throttle, "assumed: as the throttle"),
        "pressure_em": (build["exhaust_manifold"].si("collector_bore"), "the collector of the build"),
        "pressure_4": (build["exhaust"].si("bore"), "the downpipe of the build"),
    }
    if gate.has("branch_bore"):
        nearby["pressure_g"] = gate.si("branch_bore"), "the branch of the build"
    keys = {
        "pressure_1": "compressor_inlet",
        "pressure_2": "compressor_outlet",
        "pressure_bp": "boost_pipe",
        "pressure_em": "exhaust_manifold",
        "pressure_g": "gate_branch",
        "pressure_4": "downpipe",
    }
    for name, key in keys.items():
        hole = section.si(f"{key}_tap_bore") if section.has(f"{key}_tap_bore") else np.nan
        if section.has(f"{key}_pipe_bore"):
            found[name] = Tap(section.si(f"{key}_pipe_bore"), hole, "[taps]")
        elif name in nearby:
            found[name] = Tap(nearby[name][0], hole, nearby[name][1])
    return found


def _engine(build: Build, filling: Filling | None, speeds: Array) -> EngineFacts:
    section, breath = build["engine"], build["breathing"]
    source = breath.text("source")
    fields = {
        key: np.broadcast_to(np.asarray(value, dtype=float), speeds.shape)
        for key, value in breathing_fields(build, speeds, filling).items()
    }
    bore, stroke, count = section.si("bore"), section.si("stroke"), section.integer("cylinders")
    return EngineFacts(
        displacement=float(np.pi / 4.0 * bore * bore * stroke * count),
        cylinders=count,
        compression_ratio=section.si("compression_ratio"),
        speeds=speeds,
        volumetric_efficiency=fields["volumetric_efficiency"],
        share=_share_of_band(breath, "volumetric_efficiency", _BREATHING[source])
        if source == "table"
        else _BREATHING[source],
        form=breath.text("backpressure_relation"),
        reference_factor=fields["breathing_reference"],
        reference_temperature=fields["breathing_temperature"],
        temperature_exponent=breath.si("temperature_exponent"),
        words=f"{source} of the build",
    )


def _fuel(card: Card) -> FuelFacts:
    ratio = fuel_relations.stoichiometric_air_fuel_ratio(
        card.si("hydrogen_per_carbon"), card.si("oxygen_per_carbon")
    )
    return FuelFacts(float(ratio), 0.01, card.si("density"), 0.02, card.name)


def _injectors(section: Section) -> InjectorFacts | None:
    if not has_injectors(section):
        return None
    flow, density = injector_reference(section)
    curve = section.points("dead_time")
    direct = section.text("injection") == "direct"
    return InjectorFacts(
        count=section.integer("injector_count"),
        flow=flow,
        flow_density=density,
        flow_pressure=section.si("injector_flow_pressure"),
        share=_share_of_band(section, "injector_flow", _INJECTOR_SHARE),
        voltage=np.array(curve.axis_points),
        dead_time=np.array(curve.value_points),
        usual_voltage=section.si("injector_voltage"),
        dead_time_error=_DEAD_TIME,
        pulses=section.integer("injections_per_cycle"),
        rail_pressure=section.si("rail_pressure"),
        rail_over="manifold" if section.text("rail_reference") == "manifold" and not direct else "air",
    )


def _probe(section: Section) -> ProbeFacts | None:
    return ProbeFacts(section.text("lambda_place")) if section.has("lambda_place") else None


def _driveline(section: Section) -> DrivelineFacts | None:
    if not has_driveline(section):
        return None
    model = section.text("loss_model")
    share = drag = Number(0.0, 0.0, "")
    if model in ("share", "share-and-drag"):
        stated = section.si("loss_share")
        share = Number(stated, _share_of_band(section, "loss_share", 0.3) * stated, "[driveline]")
    if model in ("drag", "share-and-drag"):
        stated = section.si("drag_torque")
        drag = Number(stated, _share_of_band(section, "drag_torque", 0.3) * stated, "[driveline]")
    return DrivelineFacts(share, drag, f"{loss_words(section)} ({section.text('loss_status')})")


def _vehicle(section: Section) -> VehicleFacts | None:
    if not all(section.has(key) for key in ("mass", "drag_area", "rolling_radius")):
        return None
    return VehicleFacts(
        mass=_number(section, "mass", 0.03),
        drag_area=_number(section, "drag_area", 0.10),
        rolling=_number(section, "rolling_resistance", 0.3),
        slope=None,
        wheel_inertia=_number(section, "wheel_inertia", 0.33),
        rolling_radius=_number(section, "rolling_radius", 0.02),
        engine_inertia=_number(section, "engine_inertia", 0.33),
    )


def _load(section: Section) -> str:
    """What the engine pulls in logs of this build, as far as its [dyno] tells: a hub or engine brake does not."""
    kind = section.text("kind") if section.has("kind") else ""
    return kind if kind in ("road", "roller") else ""


def _dyno(build: Build) -> DynoFacts | None:
    section, vehicle = build["dyno"], build["vehicle"]
    if not (section.has("roller_inertia") and section.has("roller_radius")):
        return None
    radius = section.si("roller_radius")
    heavy = float(equivalent_mass(0.0, section.si("roller_inertia"), radius))
    wheels = 0.0
    if vehicle.has("rolling_radius"):
        half = 0.5 * vehicle.si("wheel_inertia")  # the driven axle's
        wheels = float(equivalent_mass(0.0, half, vehicle.si("rolling_radius")))
    largest = _share_of_band(section, "roller_inertia", 0.03) * heavy + 0.4 * wheels
    inertia = _number(vehicle, "engine_inertia", 0.33)
    return DynoFacts(Number(heavy + wheels, largest, "[dyno]"), inertia, _rolling_on_roller(vehicle))


def _rolling_on_roller(vehicle: Section) -> Number:
    """Force [N] of the tyres on a roller: one axle's load, and about twice the coefficient of a flat road.

    A drum bends a tyre more than a road does, by sqrt(1 + r_tyre/r_drum) of the coefficient (ISO 28580, from memory),
    and it is held down by straps: so much that the whole car's on the flat is as good a guess, within half.
    """
    if not vehicle.has("mass"):
        return Number(0.0, 0.0, "")
    force = vehicle.si("mass") * _GRAVITY * vehicle.si("rolling_resistance")
    return Number(force, _ROLLING_SHARE * force, "own estimate")


def _weather(build: Build) -> WeatherFacts:
    control, none = build["boost_control"], np.empty(0)
    speeds, targets = none, none
    if control.has("target") and control.curve("target").basis == "absolute":
        curve = control.curve("target")
        speeds = np.linspace(100.0, 900.0, 200)
        targets = curve.along(speeds)
    method = build["power_correction"].text("method")
    turbo = build["prediction"].text("mode") != "no-turbo"
    return WeatherFacts("" if method in ("none", "model") else method, turbo, speeds, targets)
