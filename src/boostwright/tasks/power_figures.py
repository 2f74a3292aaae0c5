"""Torque and power beside the raw ones at the crankshaft: in a reference atmosphere, and at the wheels."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, with_settings
from boostwright.components.driveline import has_driveline, loss_words, wheel_power
from boostwright.components.weather_correction import (
    REFERENCE_AIR,
    WeatherFactor,
    factor_by_name,
    reference_settings,
)
from boostwright.errors import BuildError
from boostwright.solve.operating_point import Choice, Flag, Remark, Values
from boostwright.tasks.beside import Beside, flagged, joined_flags

__all__ = ["corrected_figures", "wheel_figures"]

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

_ON_BOOSTED_ENGINES = {
    "sae-j1349": "what SAE J1349 says of engines with boost control could not be read",
    "iso-1585": "ISO 1585 and UN R85 word it for engines with and without pressure charging (read second-hand), but a "
    "public calculation text sets it to 1 for any turbocharged engine, and EU rules since 2014 bar it where the "
    "engine's management compensates by itself (both read second-hand)",
    "din-70020": "what DIN 70020, withdrawn, says of boosted engines is not known to us",
}


def corrected_figures(
    build: Build, q: Mapping[str, Array], held: Mask, predicted: Callable[[Build], Mapping[str, Array]]
) -> Beside:
    """Torque and power in the reference atmosphere of the build's [power_correction]; nothing when it names none.

    q          quantities along the points, SI; raw figures in it stay as they are
    held       (n,) True where a boost target is held by the gate
    predicted  quantities of another build at the same points in the same mode
    """
    method = build["power_correction"].text("method")
    if method == "none":
        return Beside()
    if method == "model":
        return _by_model(build, q, predicted)
    control = build["boost_control"]
    absolute = control.has("target") and control.curve("target").basis == "absolute"
    turbo = build["prediction"].text("mode") != "no-turbo"
    return _by_name(factor_by_name(method, build["ambient"]), q, held & absolute, turbo)


def _figures(q: Mapping[str, Array], factor: Array) -> dict[str, Array]:
    return {
        "power_correction_factor": factor,
        "power_corrected": q["power"] * factor,
        "torque_corrected": q["torque"] * factor,
    }


def _constants(found: WeatherFactor) -> dict[str, Values]:
    single = {
        "correction_dry_pressure": ("Pa", found.dry_pressure, "barometric less vapour, of the day corrected"),
        "correction_temperature": ("K", found.temperature, "air temperature of the day corrected"),
        "correction_relative_humidity": (
            "1",
            found.relative_humidity,
            "relative humidity of the day corrected",
        ),
    }
    return {
        name: Values(name, unit, np.array([value]), words) for name, (unit, value, words) in single.items()
    }


def _day(found: WeatherFactor) -> str:
    """The air that goes into a factor, in words."""
    celsius = found.temperature - 273.15
    if found.method == "din-70020":
        return f"barometric pressure {found.pressure / 1e3:.2f} kPa, humidity ignored, and {celsius:.1f} degC"
    vapour = found.pressure - found.dry_pressure
    return (
        f"dry pressure {found.dry_pressure / 1e3:.2f} kPa (barometric {found.pressure / 1e3:.2f} kPa less "
        f"{vapour / 1e3:.2f} kPa of vapour at {100.0 * found.relative_humidity:.0f} % humidity) and "
        f"{celsius:.1f} degC"
    )


def _by_name(found: WeatherFactor, q: Mapping[str, Array], held: Mask, turbo: bool) -> Beside:
    solved = np.isfinite(q["power"])
    free = solved & ~held
    factor = np.where(held, 1.0, np.nan if found.invalid else found.factor)
    factor[~solved] = np.nan
    flags = [
        flagged(
            held & solved,
            Flag(
                "correction-boost-held",
                "power correction is 1 here: boost is held absolute, which makes up for the barometer by itself",
                "note",
            ),
        )
    ]
    message = f"Power correction by {found.method}: {_day(found)} give a factor of {found.factor:.4f}."
    if found.invalid:
        words = f"not valid by the standard: {found.invalid}; no corrected figure is given"
        flags.append(flagged(free, Flag("correction-not-valid", f"power correction is {words}")))
        message += f" It is {words}."
    elif turbo:
        words = (
            f"the factor of {found.method} is made for an engine that takes in what the barometer gives: boost on a "
            "spring or a gauge target makes up for part of it, so that the corrected figure is too high where the air "
            "is thin, and a turbo that gives all it can answers in its own way"
        )
        flags.append(flagged(free, Flag("correction-for-unboosted", words)))
    if turbo:
        message += f" On boosted engines: {_ON_BOOSTED_ENGINES[found.method]}."
        message += ' The method "model" predicts the build again in the reference air instead.'
    if (held & solved).any():
        message += " Where boost is held absolute 1 is taken, and the raw figure stands."
    return Beside(
        quantities=_figures(q, factor),
        flags=joined_flags(*flags),
        remarks=(Remark("power-correction", message, found.factor, "1", found.status),),
        choices=(Choice("power correction", found.method, "build", found.status, found.source),),
        constants=_constants(found),
    )


def _by_model(
    build: Build, q: Mapping[str, Array], predicted: Callable[[Build], Mapping[str, Array]]
) -> Beside:
    name = build["power_correction"].text("model_reference")
    reference = REFERENCE_AIR[name].words
    unknown = np.full(q["power"].shape, np.nan)
    solved = np.isfinite(q["power"])
    found = factor_by_name(name, build["ambient"])
    head = f"Power correction by model: the same build in the same mode, predicted in the air of {reference}."
    choice = Choice(
        "power correction", f"model, reference air of {reference}", "build", "model", found.source
    )
    try:
        other = predicted(with_settings(build, reference_settings(name)))["power"]
    except BuildError as error:
        first = error.faults[0]
        message = f"{head} It cannot be predicted there: {first.key} {first.message}"
        flag = Flag("correction-not-possible", "the build cannot be predicted in the reference air")
        return Beside(
            quantities=_figures(q, unknown),
            flags=flagged(solved, flag),
            remarks=(Remark("power-correction", message, None, "1", "model"),),
            choices=(choice,),
        )
    usable = solved & np.isfinite(other) & (np.where(solved, q["power"], 0.0) > 0.0)
    factor = np.divide(other, q["power"], out=unknown, where=usable)
    flags = flagged(
        solved & ~usable,
        Flag("correction-not-possible", "no steady state in the reference air: nothing to correct to"),
    )
    message = f"{head} The day has {_day(found)}."
    if usable.any():
        message += f" Its factor runs from {np.nanmin(factor):.4f} to {np.nanmax(factor):.4f}"
        message += f"; the factor of {name} from the air alone would be {found.factor:.4f}"
        message += f" ({found.invalid}, so not valid by the standard)." if found.invalid else "."
    return Beside(
        quantities=_figures(q, factor),
        flags=flags,
        remarks=(Remark("power-correction", message, None, "1", "model"),),
        choices=(choice,),
        constants=_constants(found),
    )


def wheel_figures(build: Build, q: Mapping[str, Array]) -> Beside:
    """Torque and power at the wheels by the build's [driveline]; nothing when it names no loss model."""
    section = build["driveline"]
    if not has_driveline(section):
        return Beside()
    power = wheel_power(section, q["power"], q["engine_speed"])
    choice = Choice("driveline loss", loss_words(section), "build", section.text("loss_status"))
    return Beside(
        quantities={"power_wheel": power, "torque_wheel": power / q["engine_speed"]}, choices=(choice,)
    )
