"""Temperatures of the charge on boost: the compressor warms, the cooler cools, and neither by any amount."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.other_units import temperature_unit
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView, Mask
from boostwright.logs.sensor_checks.words import apart, unit_of

__all__ = ["check_charge_temperatures"]

Array = NDArray[np.float64]
_SLOWEST = 10.0
_BEST, _WORST = 0.85, 0.40


def check_charge_temperatures(view: LogView) -> None:
    """Find them, where the temperatures themselves are settled: a slow probe in a short pull shows nothing."""
    if not _too_hot(view):
        _compressor(view)
    _order(
        view,
        "temperature_im",
        "temperature_2",
        "Nothing between compressor and manifold warms the charge further on boost.",
    )
    _order(view, "temperature_bp", "temperature_2", "A charge cooler cools.")
    for name in ("temperature_bp", "temperature_im"):
        _not_below_air(view, name)


def _settled(view: LogView, mask: Mask, *names: str) -> Mask:
    """Samples where the probes would change by less than 3 K if they were as slow as 10 s."""
    for name in names:
        values = view.on(name)
        width = max(1, round(3.0 / view.step))
        trend = np.abs(values - np.concatenate([np.full(width, np.nan), values[:-width]]))[: values.size] / (
            width * view.step
        )
        with np.errstate(invalid="ignore"):
            mask = mask & (trend * _SLOWEST < 5.0) & np.isfinite(values)
    return mask


def _compressor(view: LogView) -> None:
    title = "compressor efficiency from its temperatures"
    missing = tuple(n for n in ("temperature_2",) if n not in view.signals)
    inlet = next((n for n in ("temperature_1", "temperature_amb") if n in view.signals), "")
    if missing or not inlet:
        view.could_not(title, missing or ("temperature_1",), "it is not logged")
        return
    outlet = next(
        (n for n in ("pressure_2_static", "pressure_bp_static", "pressure_im") if n in view.signals), ""
    )
    if not outlet:
        view.could_not(title, ("pressure_2_static",), "no pressure behind the compressor is logged")
        return
    mask = _settled(view, view.boosted, "temperature_2", inlet)
    if mask.sum() * view.step < 2.0 or mask.sum() < 5:
        view.could_not(title, (), "the temperatures never settle on boost: hold it for half a minute")
        return
    view.did(title)
    inlet_pressure = (
        view.absolute("pressure_1_static") if "pressure_1_static" in view.signals else view.barometer[0]
    )
    ratio = np.maximum(view.absolute(outlet) / inlet_pressure, 1.0)[mask]
    ideal = float(np.median(view.on(inlet)[mask] * (ratio**0.2857 - 1.0)))
    t1, t2 = (float(np.median(view.on(n)[mask])) for n in (inlet, "temperature_2"))
    rise = t2 - t1
    error = float(np.hypot(view.tolerance("temperature_2", t2), view.tolerance(inlet, t1)))
    error = float(np.hypot(error, 0.06 * ideal + (0.0 if inlet == "temperature_1" else 4.0)))
    if ideal < 15.0:
        return
    least, most = ideal / _BEST, ideal / _WORST + 5.0
    off = rise - most if rise > most else rise - least if rise < least else 0.0
    sure = certainty_of_deviation(abs(off) / error, 0.93)
    if sure < LEAST:
        return
    _say_efficiency(view, inlet, sure, (rise, ideal, off, t1, t2, float(np.median(ratio))), mask)


def _say_efficiency(view: LogView, inlet: str, sure: float, figures: tuple[float, ...], mask: Mask) -> None:
    rise, ideal, off, t1, t2, ratio = figures
    shown = ideal / rise if abs(rise) > 1.0 else np.inf
    mixed = temperature_unit(t2, t1 + ideal / 0.68, 0.25 * ideal / 0.68 + 4.0)
    what = (
        f"temperature_2 fits another unit on boost: {mixed}."
        if mixed
        else f"temperature_2 rises by {apart('temperature_2', rise)} over {inlet} on boost, "
        f"{apart('temperature_2', abs(off))} too "
        f"{'much' if off > 0 else 'little'}."
    )
    view.faults.append(
        SensorFault(
            "unit" if mixed else "impossible",
            ("temperature_2",) if mixed or inlet == "temperature_amb" else ("temperature_2", inlet),
            what,
            sure,
            view.where(mask),
            (
                Evidence("rise over the compressor", rise, "K", step=True),
                Evidence("rise of an ideal compressor", ideal, "K", step=True),
                Evidence("efficiency that would be", float(shown)),
                Evidence("pressure ratio", ratio),
            ),
            "By its pressure ratio the compressor warms the air, by no less than at an efficiency of 0.85 and, "
            "in use, by no "
            "more than at 0.40.",
            (
                "temperature_2 is off",
                f"{inlet} is off, or heated by the engine",
                "a pressure of the ratio is off",
                "heat from the turbine",
            ),
            "Check both cold (they agree within 3 K); move the probe away from the turbine's heat.",
        )
    )


def _too_hot(view: LogView) -> bool:
    """A reading behind the compressor that no boost of this log explains; a slow probe lags and is never too hot."""
    inlet = next((n for n in ("temperature_1", "temperature_amb", "temperature_im") if n in view.signals), "")
    if "temperature_2" not in view.signals or not inlet:
        return False
    outlet = "pressure_2_static" in view.signals
    pressure = view.absolute("pressure_2_static") if outlet else view.load
    readings = view.on("temperature_2")[np.isfinite(pressure)]
    readings = readings[np.isfinite(readings)]
    if readings.size < 50:
        return False
    ratio = float(np.nanpercentile(pressure, 99.5)) / view.barometer[0] * (1.02 if outlet else 1.08)
    cold = float(np.nanpercentile(view.on(inlet), 60))
    ideal = cold * (max(ratio, 1.0) ** 0.2857 - 1.0)
    low, hot = (float(x) for x in np.percentile(readings, [2, 99]))
    most, likely = cold + ideal / _WORST + 20.0, cold + ideal / 0.68
    mixed = temperature_unit(hot, likely, 0.3 * ideal / 0.68 + 15.0) == "degF read as degC"
    z = (hot - most) / float(np.hypot(view.tolerance("temperature_2", hot), 5.0))
    if mixed:
        z = max(z, _lowest_in_fahrenheit(view, inlet, low))
    sure = certainty_of_deviation(z, 0.93)
    if sure < LEAST:
        return False
    _say_too_hot(view, sure, (low, hot, most, ratio), mixed=mixed)
    view.condemn("temperature_2")
    return True


def _lowest_in_fahrenheit(view: LogView, inlet: str, lowest: float) -> float:
    """z of the coolest reading over the inlet's and 30 K, where in degF it would be the inlet's."""
    cold = float(np.percentile(view.signals[inlet].value, 10))
    if temperature_unit(lowest, cold + 8.0, 18.0) != "degF read as degC":
        return 0.0
    return (lowest - cold - 30.0) / 8.0


def _say_too_hot(
    view: LogView, sure: float, figures: tuple[float, float, float, float], *, mixed: bool
) -> None:
    low, hot, most, ratio = figures
    view.faults.append(
        SensorFault(
            "unit" if mixed else "impossible",
            ("temperature_2",),
            "temperature_2 fits another unit, cold and hot: degF read as degC."
            if mixed
            else "temperature_2 is hotter than any boost of this log can make it.",
            sure,
            view.where(np.isfinite(view.on("temperature_2")) & view.running),
            (
                Evidence("highest temperature_2", hot, "K"),
                Evidence("lowest temperature_2", low, "K"),
                Evidence("the most at an efficiency of 0.40 and 20 K of heat", most, "K"),
                Evidence("highest pressure ratio", ratio),
            ),
            "By its pressure ratio the compressor warms the air, in use by no more than at an efficiency of 0.40.",
            ("a probe in the turbine's heat", "the wrong curve for this probe", "a compressor deep in surge"),
            "Check it cold beside the others (they agree within 3 K), and in a cup of hot water.",
        )
    )


def _order(view: LogView, cool: str, warm: str, physics: str) -> None:
    if cool not in view.signals or warm not in view.signals:
        return
    mask = _settled(view, view.boosted, cool, warm)
    if mask.sum() * view.step < 2.0 or mask.sum() < 5:
        return
    view.did(f"{cool} against {warm} on boost")
    a, b = float(np.median(view.on(cool)[mask])), float(np.median(view.on(warm)[mask]))
    _say(view, (cool, warm), (a, b), (3.0, physics), mask)


def _not_below_air(view: LogView, name: str) -> None:
    if name not in view.signals or "temperature_amb" not in view.signals:
        return
    mask = view.boosted
    if "vehicle_speed" in view.signals:
        with np.errstate(invalid="ignore"):
            mask = mask & (view.on("vehicle_speed") > 8.0)
    mask = _settled(view, mask, name)
    if mask.sum() * view.step < 2.0 or mask.sum() < 5:
        return
    view.did(f"{name} against temperature_amb on boost")
    a, b = float(np.median(view.on("temperature_amb")[mask])), float(np.median(view.on(name)[mask]))
    physics = "Charge that was pressed and cooled by the air outside is never colder than that air."
    _say(view, ("temperature_amb", name), (a, b), (6.0, physics), mask)


def _say(
    view: LogView, names: tuple[str, str], levels: tuple[float, float], rule: tuple[float, str], mask: Mask
) -> None:
    """The first must not be above the second by more than the slack in ``rule``."""
    (cool, warm), (a, b), (slack, physics) = names, levels, rule
    width = float(np.hypot(view.tolerance(cool, a), view.tolerance(warm, b)))
    sure = certainty_of_deviation((a - b - slack) / width, 0.93)
    if sure < LEAST:
        return
    mixed = {n: temperature_unit(x, other - 8.0, 14.0) for n, x, other in ((cool, a, b), (warm, b, a))}
    unit = next((n for n in names if mixed[n] and not n.endswith("amb")), "")
    view.faults.append(
        SensorFault(
            "unit" if unit else "impossible",
            (unit,) if unit else names,
            f"{unit} fits another unit on boost: {mixed[unit]}."
            if unit
            else f"{cool} stands {apart(cool, a - b)} above {warm} on boost.",
            sure,
            view.where(mask),
            (Evidence(cool, a, unit_of(cool)), Evidence(warm, b, unit_of(warm))),
            physics,
            (
                f"{cool} is off or heated by what it is screwed into",
                f"{warm} is off",
                "the two are in each other's place",
            ),
            "Check both cold (they agree within 3 K) and in a cup of hot water.",
        )
    )
