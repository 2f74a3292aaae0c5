"""Two channels with each other's names: the readings only make sense the other way round."""

from __future__ import annotations

import numpy as np

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView, Mask
from boostwright.logs.sensor_checks.words import unit_of

__all__ = ["check_swapped"]


def check_swapped(view: LogView) -> None:
    """Find them, and exchange them for the checks that follow."""
    for other in ("pressure_2_static", "pressure_bp_static"):
        _manifold_and_pipe(view, other)
    _pressed(view, "pressure_1_static", "pressure_2_static")
    _pressed(view, "pressure_4_static", "pressure_em_static")
    for cold, hot in (
        ("temperature_1", "temperature_2"),
        ("temperature_bp", "temperature_2"),
        ("temperature_im", "temperature_2"),
    ):
        _warm(view, cold, hot)


def _both(view: LogView, one: str, two: str) -> bool:
    return one in view.signals and two in view.signals


def _manifold_and_pipe(view: LogView, pipe: str) -> None:
    """Throttled, the manifold is drawn down and the pipe is not."""
    if not _both(view, "pressure_im", pipe):
        return
    view.did(f"pressure_im and {pipe} in each other's place")
    air = view.barometer[0]
    manifold, other = view.absolute("pressure_im"), view.absolute(pipe)
    with np.errstate(invalid="ignore"):
        throttled = view.running & (np.minimum(manifold, other) < 0.7 * air)
        throttled &= np.minimum(manifold, other) > 8e3
        throttled = view.lasting(throttled & np.isfinite(manifold + other), 0.5, 0.0)
    if throttled.sum() * view.step < 1.5:
        return
    low_pipe = float(np.median(other[throttled]))
    level = float(np.median(manifold[throttled]))
    drawn = float((other[throttled] < manifold[throttled] - 10e3).mean())
    wide_open = float(np.nanpercentile(other[view.running], 97))
    lowest = float(np.nanpercentile(manifold[view.running], 5))
    if drawn < 0.9 or level < 0.8 * air or lowest < 0.75 * air or wide_open < 0.93 * air:
        return
    width = float(np.hypot(view.tolerance("pressure_im", level), view.tolerance(pipe, low_pipe)))
    _say(
        view,
        ("pressure_im", pipe),
        (level - low_pipe) / width,
        throttled,
        (level, low_pipe),
        "With the throttle shut the engine draws the manifold down; the pipe ahead of the throttle stays near "
        "the air's pressure.",
        "throttled",
    )


def _pressed(view: LogView, low: str, high: str) -> None:
    """On boost one of them rises far over the air's pressure and the other does not."""
    if not _both(view, low, high):
        return
    view.did(f"{low} and {high} in each other's place")
    mask = view.boosted & np.isfinite(view.on(low) + view.on(high))
    if mask.sum() * view.step < 1.0:
        return
    air = view.barometer[0]
    one = float(np.median(view.absolute(low)[mask])) - air
    two = float(np.median(view.absolute(high)[mask])) - air
    width = float(np.hypot(view.tolerance(low, one + air), view.tolerance(high, two + air)))
    if one < 20e3 or two > 0.55 * one or two < -25e3:
        return
    physics = (
        "The compressor draws its inlet below the air's pressure and presses its outlet above."
        if low == "pressure_1_static"
        else "The turbine holds gas back: the pressure before it is far above that behind it."
    )
    _say(view, (low, high), (one - two) / (2.0 * width), mask, (one + air, two + air), physics, "on boost")


def _warm(view: LogView, cold: str, hot: str) -> None:
    """On boost the compressor warms its outlet at once, and the cooler cools; the other way round is neither."""
    if not _both(view, cold, hot):
        return
    view.did(f"{cold} and {hot} in each other's place")
    mask = view.boosted & np.isfinite(view.on(cold) + view.on(hot))
    if mask.sum() * view.step < 3.0 or view.signals[cold].time.size < 30:
        return
    load = view.load
    mask &= load >= np.nanpercentile(load[mask], 40)
    if mask.sum() < 10:
        return
    ratio = np.maximum(load / view.barometer[0], 1.0)
    ideal = 290.0 * (ratio**0.2857 - 1.0)
    follows = {name: _slope(view.on(name), ideal, view.running) for name in (cold, hot)}
    level = {name: float(np.median(view.on(name)[mask])) for name in (cold, hot)}
    gap = level[cold] - level[hot]
    if not (follows[cold] > 0.25 and follows[cold] > 3.0 * max(follows[hot], 0.0)):
        return
    width = float(np.hypot(view.tolerance(cold, level[cold]), view.tolerance(hot, level[hot]))) + 2.0
    _say(
        view,
        (cold, hot),
        gap / width,
        mask,
        (level[cold], level[hot]),
        "Pressing air warms it, by 30 K and more at half a bar of boost; nothing between inlet and manifold does "
        "more.",
        "on boost",
    )


def _slope(values: np.ndarray, cause: np.ndarray, mask: Mask) -> float:
    """Kelvin a channel rises per kelvin of ideal compression, by least squares over the running engine."""
    good = mask & np.isfinite(values + cause)
    if good.sum() < 10:
        return 0.0
    x, y = cause[good] - cause[good].mean(), values[good] - values[good].mean()
    return float((x * y).sum() / max((x * x).sum(), 1e-9))


def _say(
    view: LogView,
    names: tuple[str, str],
    z: float,
    mask: Mask,
    levels: tuple[float, float],
    physics: str,
    state: str,
) -> None:
    sure = certainty_of_deviation(z, 0.97)
    if sure < LEAST:
        return
    one, two = names
    view.faults.append(
        SensorFault(
            "swapped",
            names,
            f"{one} and {two} are in each other's place.",
            sure,
            view.where(mask),
            (
                Evidence(f"{one} {state}", levels[0], unit_of(one)),
                Evidence(f"{two} {state}", levels[1], unit_of(two)),
            ),
            physics,
            ("two hoses or plugs exchanged", "two columns mapped the wrong way round"),
            "Pull one plug with the key on and see which channel goes; or exchange them with boostwright import "
            "--map.",
        )
    )
    view.exchange(one, two)
