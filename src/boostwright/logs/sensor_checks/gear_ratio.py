"""The car's speed against the engine's: in a gear they go together by its ratio, the final drive and the tyre."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.gear import GearFacts, find_gears
from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView

__all__ = ["best_factor", "check_gear_ratio"]

Array = NDArray[np.float64]
_TITLE = "the car's speed against the engine's and its gears"
_HALF = 0.06
"""95 % half-width of engine over road speed in a gear: wear and pressure of tyres 2 %, a speedometer's advance 4 %,
slip (common practice).
"""
_SOUND = 1.8 * _HALF
_LEAST_TIME = 3.0
_NEAR = 0.03
_MOST = 0.85
_FACTORS = ((1.609344, "km/h and mph"), (3.6, "km/h and m/s"), (2.236936, "mph and m/s"))
_ROADS = ("vehicle_speed", "vehicle_speed_gps", "vehicle_speed_roller", "wheel_speed")


def check_gear_ratio(view: LogView) -> None:
    """Find a road speed off by a factor that brings every gear of the log onto one of the build's."""
    facts = view.facts.gears
    road = next((n for n in _ROADS if n in view.signals), "")
    if not road or "engine_speed" not in view.signals:
        view.could_not(_TITLE, ("vehicle_speed",) if not road else ("engine_speed",), "it is not logged")
        return
    if not (facts.ratios and facts.final_drive and facts.tyre_radius):
        view.could_not(
            _TITLE, ("gear_ratios, final_drive, rolling_radius of a build",), "no build says its gears"
        )
        return
    blamed = {c for f in view.faults for c in f.channels}
    if blamed & {road, "engine_speed"}:
        return
    gears = find_gears(
        view.grid, view.speed, view.on(road), road, view.signals[road].interval, GearFacts()
    ).gears
    seen, weight = np.log([g.ratio for g in gears]), np.array([g.time for g in gears])
    if not gears:
        view.could_not(_TITLE, (), "the car never stays in a gear for long enough")
        return
    known = np.log(np.array(facts.ratios) * facts.final_drive / facts.tyre_radius)
    away, share, distinct = _factor(view, seen, weight, known, gears[int(weight.argmax())].ratio)
    if abs(away) < _SOUND:
        view.did(_TITLE)
        return
    if share < _MOST or distinct < 2:
        why = "the ratios of the log are not the build's, and no one factor brings them there"
        one = "one gear does not say which it is; drive in two, or log the gear"
        view.could_not(_TITLE, (), why if share < _MOST else one)
        return
    view.did(_TITLE)
    if any(n in view.signals for n in _ROADS if n != road):
        view.could_not(
            "which of gears and tyre of the build is not this car's",
            (),
            f"{road} has a second speed beside it",
        )
        return
    _say(view, road, away, (share, distinct))


def _factor(
    view: LogView, seen: Array, weight: Array, known: Array, longest: float
) -> tuple[float, float, int]:
    """Logarithm by which the log is off, share of the time it explains, gears that say so: as logged, else by all."""
    if "gear" in view.signals:
        gear, ratio = np.round(view.on("gear")), np.log(view.speed / view.on(_road(view)))
        found = []
        for number in range(1, known.size + 1):
            here = ratio[(gear == number) & np.isfinite(ratio)]
            if here.size * view.step > 1.5:
                middle = float(np.median(here))
                if float((np.abs(here - middle) < 0.05).mean()) > 0.5:
                    found.append((middle - known[number - 1], here.size))
        if found:
            shifts, sizes = np.array([s for s, _ in found]), np.array([n for _, n in found])
            middle = float(shifts[np.argsort(sizes)[-1]])
            near = np.abs(shifts - middle) < _NEAR
            # a gear that is logged is a witness of its own
            return middle, float(sizes[near].sum() / sizes.sum()), int(near.sum()) + 1
    return best_factor(seen, weight, known)


def _road(view: LogView) -> str:
    return next(n for n in _ROADS if n in view.signals)


def best_factor(seen: Array, weight: Array, known: Array) -> tuple[float, float, int]:
    """The factor that brings most of the driven time to gears: its logarithm, the share of time, the gears it meets.

    seen    (k,) logarithm of the ratios of the log; weight (k,) [s] driven in each; known (g,) of the build
    No factor beyond what is sound is looked for where one within it explains half of the time: road speed lags while
    the car gathers way, so that a gear driven in for moments lies off by itself. One under 3 s is no witness either.
    """
    shifts = sorted({float(s - g) for s in seen for g in known}, key=abs)
    best = (0.0, 0.0, 0)
    for shift in shifts:
        if abs(shift) > _SOUND and abs(best[0]) <= _SOUND and best[1] >= 0.5:
            break
        apart = np.abs(seen[:, None] - known[None, :] - shift)
        right = apart.min(axis=1) < _NEAR
        share = float(weight[right].sum() / weight.sum())
        if share > best[1] + 0.05:
            witness = right & (weight >= _LEAST_TIME)
            best = shift, share, len(set(apart.argmin(axis=1)[witness].tolist()))
    return best


def _say(view: LogView, road: str, away: float, met: tuple[float, int]) -> None:
    factor = float(np.exp(-away))
    mixed = next((words for f, words in _FACTORS if abs(abs(away) - np.log(f)) < 0.5 * _HALF), "")
    sure = certainty_of_deviation(abs(away) / _HALF, 0.9)
    if sure < LEAST:
        return
    view.faults.append(
        SensorFault(
            "unit" if mixed else "scale",
            (road,),
            f"{road} is {factor:.3f} times what engine speed, gears and tyre make"
            + (f", as {mixed} differ." if mixed else "."),
            sure,
            view.where(np.isfinite(view.on(road)) & (view.on(road) > 2.0)),
            (
                Evidence("logged over what the build's gears make", factor),
                Evidence("share of the driven time this brings onto a gear", met[0]),
            ),
            "With the clutch shut a gear ties the engine to the wheels; tyres and slip change that by a few per cent.",
            (
                "another tyre, final drive or gearbox than the build's",
                "an engine speed that is off by this factor",
                "pulses for each turn of the wheel that the controller was told wrongly",
            ),
            "Compare with a satellite speed at steady pace, and engine speed with a strobe or the firing note.",
        )
    )
