"""The zero check of temperatures: cold, with the key on and the engine off, all of them agree."""

from __future__ import annotations

import numpy as np

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.other_units import temperature_unit
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView, Mask
from boostwright.logs.sensor_checks.words import apart, reading

__all__ = ["COLD", "check_cold"]

COLD = 3.0
"""[K] Temperatures of a cold car agree within this (common practice, no source)."""

_TITLE = "temperatures against each other, engine cold"
_AT_THE_TURBO = ("temperature_1", "temperature_2", "temperature_bp")
_WARM_WATER = 10.0
"""[K] by which warm water and oil may warm the compressor of an engine that stands (own estimate)."""
_MASSES = ("temperature_coolant", "temperature_oil")


def check_cold(view: LogView) -> None:
    """Find temperatures that stand apart before the first start."""
    _judge(view)
    if _TITLE not in view.made and any(n.startswith("egt_reading") for n in view.names):
        view.could_not(
            "exhaust probes off by a fixed amount",
            (),
            "hot, cylinders differ by 40 K of themselves: log ten seconds with the key on before a cold start",
        )


def _judge(view: LogView) -> None:
    before = _before_first_start(view)
    names = [
        n
        for n in view.names
        if n.startswith(("temperature_", "egt_reading")) and np.isfinite(view.on(n)[before]).sum() >= 5
    ]
    if "engine_speed" not in view.signals:
        view.could_not(_TITLE, ("engine_speed",), "whether the engine stands is not logged")
        return
    if not before.any():
        view.could_not(_TITLE, (), "the log has no stretch before the first start")
        return
    if len(names) < 3:
        more = tuple(
            n for n in ("temperature_coolant", "temperature_amb", "temperature_im") if n not in names
        )
        view.could_not(_TITLE, more, "three temperatures are needed")
        return
    level = {n: float(np.nanmedian(view.on(n)[before])) for n in names}
    middle = _agreed(level)
    if middle is None:
        view.could_not(
            _TITLE, (), "the engine was not cold: the temperatures do not agree in their greater part"
        )
        return
    out = {n: t - middle for n, t in level.items() if abs(t - middle) > COLD}
    if not _is_cold(level, out):
        exhaust = _exhaust_is_cold(level, out)
        if exhaust is None:
            view.could_not(_TITLE, (), "the engine was not cold, or nothing says that it was")
            return
        view.could_not(f"{_TITLE}, but for exhaust and compressor", (), "water or oil is warm")
        out = exhaust
    if len(level) - sum(abs(t - middle) > COLD for t in level.values()) < 3:
        view.could_not(_TITLE, (), "fewer than three temperatures agree")
        return
    view.did(_TITLE)
    for name, off in out.items():
        if any(abs(off - other) <= COLD for n, other in out.items() if n != name):
            continue  # two that stand apart together have a cause outside the sensors
        width = float(np.hypot(COLD, view.signals[name].quantum / 2))
        z = abs(off) / width
        if certainty_of_deviation(z) >= LEAST:
            _say(view, name, level[name], off, (z, middle), before)


def _before_first_start(view: LogView) -> Mask:
    ran = np.flatnonzero(view.running)
    before = view.off.copy()
    if ran.size:
        before[ran[0] :] = False
    return before


def _agreed(level: dict[str, float]) -> float | None:
    """The temperature most share: the middle of the largest group within 3 K; None where no more than half do."""
    values = np.sort(list(level.values()))
    best = max(range(values.size), key=lambda k: int((np.abs(values - values[k]) <= COLD).sum()))
    group = values[np.abs(values - values[best]) <= COLD]
    return float(np.median(group)) if group.size > 0.55 * values.size else None


def _is_cold(level: dict[str, float], out: dict[str, float]) -> bool:
    """Coolant or oil, which keep warm for hours, agree with the air; or all but one do, which is no such mass."""
    masses = [n for n in _MASSES if n in level]
    if masses:
        warm = [n for n in masses if n in out]
        if len(warm) == len(masses):
            return len(warm) == 1 and len(level) >= 5 and out[warm[0]] < 0.0
        return True
    return not any(off > 0 for off in out.values()) or len(out) <= len(level) // 4


def _exhaust_is_cold(level: dict[str, float], out: dict[str, float]) -> dict[str, float] | None:
    """Where the water is warm and the exhaust is not: what stands apart with nothing to warm it; None if neither.

    Two exhaust probes and more that agree with an air temperature show a manifold, and a turbo, as cold as the air: a
    probe in it that differs is off, and so is one at the compressor that differs by more than warm water makes there.
    """
    probes = [n for n in level if n.startswith("egt")]
    agree = [n for n in level if n not in out]
    cold = [n for n in agree if n.startswith("egt")]
    if len(cold) < 2 or len(cold) < 0.6 * len(probes) or len(cold) == len(agree):
        return None
    return {
        n: off for n, off in out.items() if n in probes or (n in _AT_THE_TURBO and abs(off) > _WARM_WATER)
    }


def _say(
    view: LogView, name: str, value: float, off: float, against: tuple[float, float], mask: Mask
) -> None:
    z, middle = against
    mixed = temperature_unit(value, middle, 2.5)
    probe = name.startswith("egt")
    code = "unit" if mixed else "offset"
    what = (
        f"{name} reads {reading(name, value)} in the cold, at {reading(name, middle)}: {mixed}."
        if mixed
        else f"{name} reads {apart(name, abs(off))} too {'high' if off > 0 else 'low'} in the cold."
    )
    others = (
        (
            "the cold-junction compensation of the amplifier is off or warm",
            "copper wire in the thermocouple's line",
        )
        if probe
        else (
            "a warm place: sun, a running fan heater, another car's exhaust",
            "the wrong curve for this thermistor",
        )
    )
    view.faults.append(
        SensorFault(
            code,
            (name,),
            what,
            certainty_of_deviation(z, 0.97),
            view.where(mask),
            (
                Evidence(name, value, "K"),
                Evidence("the temperature the others agree on", middle, "K"),
                Evidence("may differ by", COLD, "K", step=True),
            ),
            "What has stood for long has one temperature."
            + (
                " An amplifier adds its own to a thermocouple: an error there is the same hot and cold."
                if probe
                else ""
            ),
            others,
            "Hold the sensor in a cup of water beside a thermometer, cold and hot: a fixed error is the "
            "amplifier or the line, "
            "a growing one the curve.",
        )
    )
