"""Air flow by every route the log allows: meter, speed-density, fuel times lambda; routes that stand apart."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView, Mask

__all__ = ["Route", "air_routes", "check_air_flow"]

Array = NDArray[np.float64]
_R = 287.05
_FILLING, _FILLING_HALF = 0.92, 0.24
_PETROL = 745.0
_UNITS: tuple[tuple[float, str], ...] = (
    (3.6, "kg/h and g/s"),
    (7.5599, "lb/min and g/s"),
    (2.2046, "lb and kg"),
    (60.0, "a minute and a second"),
    (10.0, "a factor of ten"),
    (1000.0, "g and kg"),
)


@dataclass(frozen=True, eq=False)
class Route:
    """Air flow by one route.

    name      in words
    flow      (m,) [kg/s] on the common times
    allowed   95 % half-width, share
    channels  what it is made of, most doubtful first
    """

    name: str
    flow: Array
    allowed: float
    channels: tuple[str, ...]


def air_routes(view: LogView) -> tuple[list[Route], list[str]]:
    """The routes a log and its build allow, and what is missing for the others."""
    routes, missing = [], []
    if "mass_flow_air" in view.signals:
        routes.append(Route("air meter", view.on("mass_flow_air"), 0.10, ("mass_flow_air",)))
    else:
        missing.append("mass_flow_air")
    charge = next((n for n in ("temperature_im", "temperature_bp") if n in view.signals), "")
    if view.facts.displacement and "engine_speed" in view.signals and np.isfinite(view.load).any():
        temperature = view.on(charge) if charge else np.full(view.grid.shape, 315.0)
        flow = (
            _FILLING * view.facts.displacement * view.speed / (4.0 * np.pi) * view.load / (_R * temperature)
        )
        names = tuple(n for n in ("pressure_im", "boost", charge, "engine_speed") if n in view.signals)
        routes.append(Route("speed-density", flow, _FILLING_HALF + (0.0 if charge else 0.06), names))
    else:
        missing.append(
            "the engine's displacement (--build)" if not view.facts.displacement else "engine_speed"
        )
    routes += _by_fuel(view, missing)
    return routes, missing


def _by_fuel(view: LogView, missing: list[str]) -> list[Route]:
    probe = next(
        (n for n in view.names if n == "lambda" or (n.startswith("lambda_") and n[-1].isdigit())), ""
    )
    ratio = view.facts.stoichiometric_ratio
    if "mass_flow_fuel" in view.signals:
        fuel, name, width = view.on("mass_flow_fuel"), "mass_flow_fuel", 0.12
    elif "volume_flow_fuel" in view.signals:
        fuel, name, width = view.on("volume_flow_fuel") * _PETROL, "volume_flow_fuel", 0.14
    else:
        missing.append("mass_flow_fuel")
        return []
    if not probe:
        missing.append("lambda")
        return []
    width += 0.0 if ratio else 0.08
    return [Route("fuel times lambda", fuel * view.on(probe) * (ratio or 14.6), width, (name, probe))]


def check_air_flow(view: LogView) -> None:
    """Find routes that stand apart by more than both allow."""
    title = "air flow by its routes"
    routes, missing = air_routes(view)
    if len(routes) < 2:
        view.could_not(title, tuple(missing), "two routes are needed")
        return
    mask = view.lasting(view.boosted, 1.5, 1.0)
    if mask.sum() * view.step < 1.0:
        view.could_not(title, (), "the log has no steady stretch on boost")
        return
    view.did(title)
    apart = []
    for k, one in enumerate(routes):
        for two in routes[k + 1 :]:
            with np.errstate(divide="ignore", invalid="ignore"):
                share = np.log(one.flow / two.flow)[mask]
            share = share[np.isfinite(share)]
            if share.size >= 5:
                middle = float(np.median(share))
                apart.append((one, two, middle, abs(middle) / float(np.hypot(one.allowed, two.allowed))))
    wrong = [x for x in apart if certainty_of_deviation(x[3]) >= LEAST]
    if not wrong:
        return
    _say(view, wrong, len(routes), mask)


def _say(view: LogView, wrong: list[tuple[Route, Route, float, float]], count: int, mask: Mask) -> None:
    one, two, middle, z = max(wrong, key=lambda x: x[3])
    odd = None
    if count == 3 and len(wrong) == 2:
        odd = next(r for r in (wrong[0][0], wrong[0][1]) if r in (wrong[1][0], wrong[1][1]))
    names = (odd.channels if odd else (*one.channels[:1], *two.channels[:1]))[:2]
    factor = float(np.exp(middle))
    allowed = float(np.hypot(one.allowed, two.allowed))
    near = [w for f, w in _UNITS if abs(abs(middle) - np.log(f)) < 0.5 * allowed + 0.02]
    # a factor near 2 is no proof of pounds while the routes are known to a quarter only
    mixed = near[0] if near and abs(middle) > 4.0 * allowed else ""
    view.faults.append(
        SensorFault(
            "unit" if mixed else "routes-apart",
            (odd.channels[:1] if odd and mixed else names),
            f"Air flow by {one.name} is {factor:.2f} times that by {two.name} on boost"
            + (f", as {mixed} differ." if mixed else f"; {odd.name} stands alone." if odd else "."),
            certainty_of_deviation(z, 0.93),
            view.where(mask),
            tuple(
                Evidence(r.name, float(np.nanmedian(r.flow[mask])), "kg/s")
                for r in dict.fromkeys(x for w in wrong for x in w[:2])
            ),
            "What goes in is what comes out: air by a meter, by filling the cylinders, and by fuel times lambda "
            "is the same air.",
            (
                "an air meter in a pipe it was not made for",
                "a leak between meter and engine",
                "a displacement or fuel of the build that is not this car's",
            ),
            "Log the third route; a leak shows on boost and not at idle, a wrong scaling everywhere.",
        )
    )
