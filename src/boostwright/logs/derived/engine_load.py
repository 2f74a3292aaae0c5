"""Torque and power: by the dyno, or from acceleration on a roller or on the road; and in reference air."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.facts import DynoFacts, Number, VehicleFacts
from boostwright.logs.derived.pace import GearPace, paces
from boostwright.logs.derived.road import uphill
from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.slopes import UNSEEN, slope_of
from boostwright.logs.derived.uncertain import Uncertain, through, where_valid
from boostwright.physics import driveline, road_load

__all__ = ["QUANTITIES"]

Array = NDArray[np.float64]

_LEAST_SPEED = 50.0  # rad/s of the engine
_DRIVEN = 0.1  # of pedal or throttle
_SAME_GEAR = 0.12  # of road over engine speed: lag and steps of the road speed within a gear
_STEADIER = 0.6  # s of a slope behind a torque: twice the usual window has a third of the noise
_UNSETTLED = (
    0.25  # of a slope: where it changes by more within its window, as at a lift-off, it is no torque's
)
_BRAKING = 4e5  # Pa of mean pressure: no engine without fuel holds a car back by more, its brakes do
_SLIP = 0.03  # change of road over engine speed within a second, beyond which gear or clutch changes
_CRANK = where_valid(driveline.power_at_crankshaft)


def _turning(speed: Array) -> Array:
    return np.where(speed > _LEAST_SPEED, speed, np.nan)


def _to_crank(rows: Rows, wheel: Uncertain, share: Number, drag: Number) -> Uncertain:
    """Power at the crankshaft of a power at the wheels."""
    return through(
        lambda p, n, s, t: _CRANK(p, n, s, t),
        wheel,
        rows.channel("engine_speed"),
        rows.fact("driveline loss, share", share),
        rows.fact("driveline loss, drag", drag),
    )


def _crank_power(rows: Rows, wheel: Uncertain) -> Uncertain:
    """Power at the crankshaft by the driveline's loss: the build's, else a usual one with a wide band."""
    loss = rows.facts.driveline
    share = loss.share if loss is not None else Number(0.14, 0.05, "common practice")
    drag = loss.drag if loss is not None else Number(0.0, 0.0, "")
    words = (
        f"driveline: {loss.words}"
        if loss is not None
        else "driveline loss of 14 % within 5 points assumed ([driveline])"
    )
    return _to_crank(rows, wheel, share, drag).with_flag("driveline", words)


def _own_inertia(rows: Rows, crank: Uncertain, slope: Uncertain, inertia: Number) -> Uncertain:
    """Brake torque [Nm] of a power at the crankshaft, with what the engine's own inertia takes."""
    return through(
        lambda p, n, a, j: p / _turning(n) + j * a,
        crank,
        rows.channel("engine_speed"),
        slope,
        rows.fact("inertia of the engine", inertia),
    )


def _wheel_power(rows: Rows) -> Uncertain:
    """Power at the wheels or hubs: logged, or their torque times their own speed."""

    def by_torque() -> Uncertain:
        torque = rows.channel("torque_wheel")
        if rows.facts.vehicle is None:
            raise Missing(Need("the rolling radius of the tyres", "[vehicle] of a build"))
        name = next(
            (one for one in ("vehicle_speed_roller", "vehicle_speed") if rows.has(one)), "vehicle_speed"
        )
        radius = rows.fact("rolling radius", rows.facts.vehicle.rolling_radius)
        found = through(lambda t, v, r: t * v / r, torque, rows.channel(name), radius)
        words = "torque_wheel taken as that at the hubs; a dyno may print it as the engine's, by the ratio typed in"
        return found.with_flag("torque-wheel", words)

    return rows.first(lambda: rows.channel("power_wheel"), by_torque)


def _ramp(rows: Rows) -> Uncertain | None:
    """Rate of change of engine speed [rad/s2]; None where the log has none, as of a single reading.

    Half a window at an end or a gap has that of the nearest rows, which may be all wrong: a small term, so that it is
    no reason for a hole.
    """
    try:
        slope = slope_of(rows, "engine_speed", rows.facts.errors["engine_speed"].share, _STEADIER)
    except Missing:
        return None
    known = np.isfinite(slope.value)
    if not known.any():
        return None
    held = np.interp(rows.time, rows.time[known], slope.value[known])
    parts = {name: np.interp(rows.time, rows.time[known], part[known]) for name, part in slope.parts.items()}
    found = replace(slope, value=held, parts=parts)
    return found.with_error(
        "engine_speed at the ends of a slope", np.where(known, 0.0, np.abs(held) / np.sqrt(3.0))
    )


def _torque(rows: Rows) -> Uncertain:
    """As a dyno gives it, at the crankshaft: logged, from power, or from the wheels."""

    def from_power(power: Uncertain) -> Uncertain:
        return through(lambda p, n: p / _turning(n), power, rows.channel("engine_speed"))

    def from_wheels() -> Uncertain:
        crank = _crank_power(rows, _wheel_power(rows))
        known, slope = rows.facts.vehicle or rows.facts.dyno, _ramp(rows)
        if known is None or slope is None:
            words = (
                "from the wheels; what the engine's own inertia takes is not added ([vehicle] engine_inertia)"
            )
            return said(from_power(crank), words)
        words = "from the wheels: the driveline's loss, and what the engine's own inertia takes of a ramp"
        return said(_own_inertia(rows, crank, slope, known.engine_inertia), words)

    def said(found: Uncertain, words: str) -> Uncertain:
        return found.with_flag("torque", f"torque: {words}")

    return rows.first(
        lambda: said(rows.channel("torque"), "as logged at the crankshaft"),
        lambda: said(from_power(rows.channel("power")), "logged power over engine speed"),
        from_wheels,
        lambda: said(rows.get("torque_from_roller"), "from the acceleration of the roller"),
        lambda: said(rows.get("torque_from_road"), "from the car's mass and road load"),
    )


def _power(rows: Rows) -> Uncertain:
    return through(np.multiply, rows.get("torque"), rows.channel("engine_speed"))


def _pace(rows: Rows, name: str) -> Uncertain:
    """Road or roller speed over engine speed [m]: that of the gear; NaN where it changes by 3 % within a second."""
    sampled, engine = rows.samples.find(name), rows.samples.find("engine_speed")
    if sampled is None or engine is None:
        raise Missing(Need(f"channel {name}"))
    speed = rows.channel(name)
    turning = rows.channel("engine_speed")
    found = through(lambda v, n: np.where(v > 1.0, v, np.nan) / _turning(n), speed, turning)
    step = max(sampled.period, float(np.median(np.diff(rows.time))) if rows.time.size > 1 else 1.0)
    reach = max(1, round(0.5 / step))
    later, before = np.roll(found.value, -reach), np.roll(found.value, reach)
    with np.errstate(invalid="ignore"):
        held = np.abs(later / before - 1.0) < _SLIP
    held[:reach], held[-reach:] = False, False
    gears = rows.samples.once(f"gears by {name}", lambda: paces(rows.samples, name))
    return (_of_the_gear(rows, name, found, gears) if gears else found).only(held)


def _of_the_gear(rows: Rows, name: str, found: Uncertain, gears: tuple[GearPace, ...]) -> Uncertain:
    """The pace of the gear that is nearest to what a row shows; NaN where none is near."""
    pace, error = np.array([one.pace for one in gears]), np.array([one.error for one in gears])
    with np.errstate(invalid="ignore"):
        apart = np.abs(np.log(found.value[:, None] / pace))
    nearest = np.argmin(np.where(np.isfinite(apart), apart, np.inf), axis=1)
    near = apart[np.arange(nearest.size), nearest] < _SAME_GEAR
    value = np.where(near, pace[nearest], np.nan)
    share = {one: rows.facts.errors[one].share / np.sqrt(3.0) for one in ("vehicle_speed", "engine_speed")}
    made = Uncertain(value, flags=found.flags).with_error(
        f"error of {name}", share["vehicle_speed"] * pace[nearest]
    )
    made = made.with_error("error of engine_speed", -share["engine_speed"] * pace[nearest])
    return made.with_error(f"{name} over engine speed in its gear", error[nearest])


def _acceleration(rows: Rows, name: str) -> tuple[Uncertain, Uncertain, Uncertain]:
    """Speed along the way [m/s], its rate of change [m/s2] and the engine's [rad/s2], both by the engine's slope."""
    pace = _pace(rows, name)
    slope = slope_of(rows, "engine_speed", rows.facts.errors["engine_speed"].share, _STEADIER)
    unseen = slope.parts[UNSEEN.format("engine_speed")]
    with np.errstate(invalid="ignore"):
        slope = slope.only(unseen < _UNSETTLED * np.abs(slope.value))
    along = through(np.multiply, pace, rows.channel("engine_speed"))
    return along, through(np.multiply, pace, slope), slope


def _at_engine(rows: Rows, wheel: Uncertain, slope: Uncertain, inertia: Number) -> Uncertain:
    """Brake torque behind a power at the wheels: losses added, and what the engine's own inertia takes."""
    found = _own_inertia(rows, _crank_power(rows, wheel), slope, inertia)
    if not rows.facts.load_words:
        return found
    return found.with_flag("load", f"torque from acceleration: {rows.facts.load_words}")


def _vehicle(rows: Rows) -> VehicleFacts:
    if rows.facts.vehicle is None:
        raise Missing(Need("the car's mass, drag and tyres", "[vehicle] of a build"))
    return rows.facts.vehicle


def _on_road(rows: Rows) -> Uncertain:
    if rows.facts.load == "roller" and not rows.has("vehicle_speed_gps"):
        raise Missing()  # a log of the other kind: nothing is lacking
    car = _vehicle(rows)
    name = next((one for one in ("vehicle_speed_gps", "vehicle_speed") if rows.has(one)), "vehicle_speed")
    if rows.facts.load != "road" and name != "vehicle_speed_gps":
        raise Missing(
            Need("what the engine pulls", "--load road; on a roller or a brake the torque is another")
        )
    along, rate, slope = _acceleration(rows, name)

    def power(
        v: Array, a: Array, m: Array, j: Array, r: Array, c: Array, d: Array, p: Array, t: Array, g: Array
    ) -> Array:
        heavy = road_load.equivalent_mass.formula(m, j, r)
        held = road_load.road_load_force.formula(m, c, d, p / (287.05 * t), v, g)
        return np.asarray(v * (heavy * a + held))

    wheel = through(
        power,
        along,
        rate,
        rows.fact("mass of the car", car.mass),
        rows.fact("inertia of the wheels", car.wheel_inertia),
        rows.fact("rolling radius", car.rolling_radius),
        rows.fact("rolling resistance", car.rolling),
        rows.fact("drag of the air", car.drag_area),
        rows.get("pressure_amb"),
        rows.get("temperature_amb"),
        uphill(rows),
    )
    return _driven(rows, _at_engine(rows, wheel, slope, car.engine_inertia))


def _driven(rows: Rows, found: Uncertain) -> Uncertain:
    """No value where the throttle is shut, or more holds the car than an engine can: the brakes do."""
    engine = rows.facts.engine
    if engine is not None:
        with np.errstate(invalid="ignore"):
            found = found.only(found.value > -_BRAKING * engine.displacement / (4.0 * np.pi))
    name = next((one for one in ("pedal_position", "throttle_position") if rows.has(one)), "")
    if not name:
        return found.with_flag(
            "brakes", "neither pedal nor throttle is logged: where the car brakes it is no torque"
        )
    with np.errstate(invalid="ignore"):
        return found.only(rows.channel(name).value > _DRIVEN)


def _roller(rows: Rows) -> DynoFacts:
    if rows.facts.dyno is None:
        raise Missing(Need("the roller's inertia and radius", "[dyno] of a build"))
    return rows.facts.dyno


def _on_roller(rows: Rows) -> Uncertain:
    if rows.facts.load == "road":
        raise Missing()  # a log of the other kind: nothing is lacking
    dyno = _roller(rows)
    name = next((one for one in ("vehicle_speed_roller", "vehicle_speed") if rows.has(one)), "vehicle_speed")
    if rows.facts.load != "roller":
        raise Missing(Need("what the engine pulls", "--load roller, where nothing brakes the roller"))
    along, rate, slope = _acceleration(rows, name)
    wheel = through(
        lambda v, a, m, f: v * (a * m + f),
        along,
        rate,
        rows.fact("inertia of the roller", dyno.equivalent_mass),
        rows.fact("rolling on the roller", dyno.rolling),
    )
    return _driven(rows, _at_engine(rows, wheel, slope, dyno.engine_inertia))


def _bmep(rows: Rows) -> Uncertain:
    engine = rows.facts.engine
    if engine is None:
        raise Missing(Need("the engine's displacement", "a build knows it"))
    return through(lambda t: 4.0 * np.pi * t / engine.displacement, rows.get("torque"))


def _slope(name: str) -> Callable[[Rows], Uncertain]:
    return lambda rows: slope_of(rows, name, rows.facts.errors["engine_speed"].share)


QUANTITIES = (
    Quantity(
        "torque_from_roller",
        "Nm",
        "brake torque from the acceleration of a roller",
        "at the crankshaft, uncorrected for weather",
        "(v (a (J_r/r_r^2 + J_w/r_w^2) + F_r)/(1 - s) + T_d n)/n + J_e dn/dt, a = (v/n) dn/dt, v/n of the gear",
        _on_roller,
    ),
    Quantity(
        "torque_from_road",
        "Nm",
        "brake torque from the acceleration of the car",
        "at the crankshaft, uncorrected for weather",
        "(v (a (m + J_w/r_w^2) + m g (c_r + slope) + rho c_d A v^2/2)/(1 - s) + T_d n)/n + J_e dn/dt, "
        "a = (v/n) dn/dt, v/n of the gear",
        _on_road,
    ),
    Quantity(
        "torque",
        "Nm",
        "brake torque",
        "at the crankshaft, uncorrected for weather",
        "as logged; P/n; (P_wheel/(1 - s) + T_d n)/n + J_e dn/dt; from acceleration",
        _torque,
    ),
    Quantity("power", "W", "brake power", "at the crankshaft, uncorrected for weather", "T n", _power),
    Quantity(
        "bmep",
        "Pa",
        "brake mean effective pressure",
        "brake work of one cycle over displacement",
        "4 pi T/V_d",
        _bmep,
    ),
    Quantity(
        "shaft_acceleration",
        "rad/s2",
        "rate of change of the turbocharger's shaft speed",
        "",
        "dn_tc/dt, least-squares line over 0.3 s",
        _slope("shaft_speed"),
    ),
    Quantity(
        "engine_acceleration",
        "rad/s2",
        "rate of change of engine speed",
        "",
        "dn/dt, least-squares line over 0.3 s",
        _slope("engine_speed"),
    ),
)
"""Torque, power and rates of change."""
