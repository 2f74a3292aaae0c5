"""What the engine pulled in a log: the road, or a roller; as far as the log itself tells."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.facts import Facts
from boostwright.logs.derived.pace import GearPace, paces
from boostwright.logs.derived.samples import Sampled, Samples

__all__ = ["load_of_log"]

Array = NDArray[np.float64]

_FULL, _LONG = 0.8, 1.5  # of throttle, and s in a gear at it
_RISING = 5.0  # rad/s2
_SAME_GEAR = 0.06
_GEARS_APART = 1.22  # of one gear's pace over the next; wheels on a roller slip by less
_SHUT = 0.12  # of throttle over the least in the log: some open a little in overrun
_STEADY = 0.6  # s
_FEWEST = 5
_WORTH = 150.0  # N of air
_DRAG = (
    2.5e5  # Pa of mean pressure that an engine without fuel holds back with, throttle shut; common practice
)
_AT_MOST, _NEARER = np.log(2.0), 0.2  # how far off that, as a logarithm, and how much nearer than the other
_AIR_DENSITY, _GRAVITY = 1.2, 9.80665
_USUAL_LOSS = 0.14
_DEFAULT = "taken for a log of the {0}, as [dyno] kind says; --load says otherwise"


def load_of_log(samples: Samples, facts: Facts) -> tuple[str, str]:
    """(load, why): 'road', 'roller' without a brake, or '' where nothing tells.

    facts  of the build; their load is what its [dyno] says its pulls are done on
    A roller's own speed is of a roller and a speed by satellite of the road. Else coasting in gear tells: air holds a
    car on the road, and on a roller it does not. Where that does not tell, a car driven with full throttle in several
    gears was on the road, since pulls on a roller are done in one (common practice).
    """
    usual = facts.load
    if samples.find("vehicle_speed_roller") is not None:
        return ("roller", "the log has a roller's speed") if usual == "roller" else ("", "")
    if samples.find("vehicle_speed_gps") is not None:
        return "road", "the log has a speed by satellite"
    if samples.find("vehicle_speed") is None:
        return usual, ""
    found = _by_coasting(samples, facts) if usual == "roller" else ""
    if found:
        words = "is held by air" if found == "road" else "is held by no air"
        return (
            found,
            f"taken for a log of the {found}: coasting in gear the car {words}; --load says otherwise",
        )
    if _gears_at_full_throttle(samples) > 1:
        return "road", "taken for a log of the road: full throttle in several gears; --load says otherwise"
    return usual, _DEFAULT.format(usual) if usual else ""


def _by_coasting(samples: Samples, facts: Facts) -> str:
    """'road' or 'roller' by which of both leaves the engine a drag that an engine has; '' where that does not tell.

    Engine, driveline and tyres hold the car on both. What is left for the engine without fuel, throttle shut, is some
    1.5 to 4 bar of mean pressure, friction and pumping; air is worth as much again at 30 m/s. Rows where the brakes
    help look like more: the lowest quarter counts.
    """
    car, dyno, engine = facts.vehicle, facts.dyno, facts.engine
    if car is None or dyno is None or engine is None:
        return ""
    speed, rate, pace = _coasting(samples)
    air = 0.5 * _AIR_DENSITY * car.drag_area.value * speed**2
    if not air.size:
        return ""
    fast = air > max(_WORTH, 0.5 * float(np.percentile(air, 95.0)))
    if np.count_nonzero(fast) < _FEWEST:
        return ""
    speed, rate, pace, air = speed[fast], rate[fast], pace[fast], air[fast]
    rolling = car.mass.value * _GRAVITY * car.rolling.value
    turning = car.wheel_inertia.value / car.rolling_radius.value**2
    own = car.engine_inertia.value / pace**2
    share = facts.driveline.share.value if facts.driveline is not None else _USUAL_LOSS
    held = {
        "road": (car.mass.value + turning) * -rate - rolling - air,
        "roller": dyno.equivalent_mass.value * -rate - dyno.rolling.value,
    }
    pressure = {
        name: 4.0 * np.pi / engine.displacement * pace * (force * (1.0 - share) - own * rate)
        for name, force in held.items()
    }
    off = {
        name: abs(np.log(max(float(np.percentile(one, 25.0)), 1.0) / _DRAG)) for name, one in pressure.items()
    }
    near, far = sorted(off, key=lambda name: off[name])
    return near if off[near] < _AT_MOST and off[far] - off[near] > _NEARER else ""


def _coasting(samples: Samples) -> tuple[Array, Array, Array]:
    """Road speed [m/s], its rate of change [m/s2] and the gear's pace [m/rad] where the car coasts in gear."""
    road, engine, pedal, gears = _driven(samples)
    if road is None or engine is None or pedal is None or not gears:
        nothing = np.empty(0)
        return nothing, nothing, nothing
    slope, _ = engine.slopes(_STEADY)
    turning, rate = engine.at(road.time), np.interp(road.time, engine.time, slope)
    shut = float(np.percentile(pedal.value, 2)) + _SHUT
    closed = pedal.at(road.time) < shut
    for apart in (-_STEADY, _STEADY):
        closed &= pedal.at(road.time + apart) < shut
    paces_of = np.array([one.pace for one in gears])
    with np.errstate(divide="ignore", invalid="ignore"):
        off = np.abs(np.log((road.value / turning)[:, None] / paces_of))
    nearest = np.argmin(np.where(np.isfinite(off), off, np.inf), axis=1)
    near = off[np.arange(nearest.size), nearest] < _SAME_GEAR
    rows = closed & near & (rate < 0.0)
    pace = paces_of[nearest[rows]]
    return turning[rows] * pace, rate[rows] * pace, pace


def _driven(samples: Samples) -> tuple[Sampled | None, Sampled | None, Sampled | None, tuple[GearPace, ...]]:
    """Road speed, engine speed, throttle and the gears."""
    name = next((one for one in ("throttle_position", "pedal_position") if samples.find(one) is not None), "")
    gears = samples.once("gears by vehicle_speed", lambda: paces(samples, "vehicle_speed"))
    return samples.find("vehicle_speed"), samples.find("engine_speed"), samples.find(name), gears


def _gears_at_full_throttle(samples: Samples) -> int:
    """In how many gears engine speed rose with the throttle open for a while; wheels that slip make no gear."""
    road, engine, pedal, gears = _driven(samples)
    if road is None or engine is None or pedal is None:
        return 0
    slope, _ = engine.slopes(0.3)
    turning, rate = engine.at(road.time), np.interp(road.time, engine.time, np.nan_to_num(slope))
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = road.value / turning
        wanted = (pedal.at(road.time) > _FULL) & (rate > _RISING) & (road.value > 1.0)
    found: list[float] = []
    for gear in sorted(gears, key=lambda one: one.pace):
        with np.errstate(divide="ignore", invalid="ignore"):
            inside = wanted & (np.abs(np.log(ratio / gear.pace)) < _SAME_GEAR)
        another = not found or gear.pace > _GEARS_APART * found[-1]
        if another and float(inside.sum()) * road.period > _LONG:
            found.append(gear.pace)
    return len(found)
