"""Pictures about gases, weather and pipes."""

from __future__ import annotations

import math

import numpy as np

from boostwright.physics import power_correction
from boostwright.physics.gas import air, exhaust, fittings, mixture, pipe, standard_atmosphere
from boostwright.physics.gas.species import SPECIES
from boostwright.proof.case import Case
from tools.explain.sheet import Sheet, cases_of

__all__ = ["atmosphere", "exhaust_and_pipes", "gas_properties", "power_correction_factors"]

_POINTS = ("read", "reference library")


def gas_properties() -> Sheet:
    """Specific heat of air and exhaust; composition by lambda; ratio of specific heats of a rig's humid air."""
    sheet = Sheet(3)
    t = np.linspace(250.0, 1400.0, 200)
    sheet.line(0, 0, t, mixture.specific_heat(mixture.mixture_coefficients(air.DRY_AIR), t), "dry air")
    sheet.case_points(0, cases_of("chain.dry_air_specific_heat", *_POINTS), lambda c: c.inputs["temperature"])
    found = cases_of("chain.exhaust_specific_heat", *_POINTS)
    for index, lam in ((1, 1.0), (2, 0.85)):
        shares = exhaust.exhaust_mole_fractions(lam, 1.87, 0.0, air.DRY_AIR)
        heat = mixture.specific_heat(mixture.mixture_coefficients(shares), t)
        sheet.line(0, index, t, heat, f"exhaust, lambda {lam:.2f}")
        chosen = [c for c in found if c.inputs["lambda_value"] == lam]
        sheet.case_points(0, chosen, lambda c: c.inputs["temperature"], index=index)
    sheet.finish(0, "temperature, K", "specific heat, J/(kg K)")

    lam = np.linspace(0.75, 1.10, 200)
    shares = exhaust.exhaust_mole_fractions(lam, 1.87, 0.0, air.DRY_AIR)
    found = cases_of("chain.exhaust_share", *_POINTS)
    for index, (name, words) in enumerate(
        (("CO2", "carbon dioxide"), ("CO", "carbon monoxide"), ("H2", "hydrogen"))
    ):
        place = SPECIES.index(name)
        sheet.line(1, index, lam, 100.0 * shares[:, place], words)
        chosen = [c for c in found if c.inputs["species"] == place]
        sheet.case_points(1, chosen, lambda c: c.inputs["lambda_value"], scale=_percent(chosen), index=index)
    sheet.finish(1, "lambda", "share of wet exhaust, mole %", ylim=(0.0, 16.0))

    found = cases_of("chain.heat_capacity_ratio_of_humid_air", "read")
    plenum = {name: value for name, value in found[0].inputs.items() if name != "temperature_out"}
    humid = air.humid_air(**plenum)
    t = np.linspace(285.0, 520.0, 100)
    for index, (shares, words) in enumerate(((humid, "air of the rig, 2 % water"), (air.DRY_AIR, "dry air"))):
        heat = mixture.specific_heat(mixture.mixture_coefficients(shares), t)
        sheet.line(2, index, t, mixture.heat_capacity_ratio(heat, mixture.gas_constant(shares)), words)
    sheet.case_points(2, found, lambda c: c.inputs["temperature_out"])
    sheet.finish(2, "temperature, K", "ratio of specific heats")
    return sheet


def _percent(cases: list[Case]) -> float:
    """Factor that brings the cases to per cent."""
    return 1.0 if cases and cases[0].unit == "%" else 100.0


def atmosphere() -> Sheet:
    """Standard pressure by height; how far the two vapour-pressure forms and the rig's air lie from the long one."""
    sheet = Sheet(2)
    height = np.linspace(0.0, 4500.0, 100)
    sheet.line(0, 0, height, standard_atmosphere.standard_pressure(height) / 1e3, "pressure, kPa")
    found = cases_of("gas.standard_atmosphere.standard_pressure", *_POINTS)
    sheet.case_points(0, found, lambda c: c.inputs["geopotential_height"], scale=1e-3)
    density = standard_atmosphere.standard_density(height)
    sheet.line(0, 1, height, 100.0 * density / 1.225, "density, % of sea level")
    found = cases_of("gas.standard_atmosphere.standard_density", *_POINTS)
    sheet.case_points(0, found, lambda c: c.inputs["geopotential_height"], scale=100.0 / 1.225, index=1)
    sheet.finish(0, "geopotential height, m", "kPa, %")

    t = np.linspace(273.2, 323.0, 200)
    long = air.saturation_pressure_wagner_pruss(t)
    short = air.saturation_pressure_magnus_alduchov_eskridge(t)
    sheet.line(1, 0, t - 273.15, 0.0 * t, "Wagner and Pruss")
    sheet.line(1, 1, t - 273.15, 100.0 * (short / long - 1.0), "Magnus, Alduchov and Eskridge")
    for case in cases_of("gas.air.saturation_pressure_wagner_pruss", *_POINTS):
        ours = float(air.saturation_pressure_wagner_pruss(case.inputs["temperature"]))
        at = case.inputs["temperature"] - 273.15
        sheet.library_points(1, at, 100.0 * (float(case.expected) / ours - 1.0), case.library)
    for case in cases_of("chain.water_of_weather", "read"):
        shares = air.humid_air(**case.inputs)
        away = 100.0 * (float(case.expected) / float(shares[SPECIES.index("H2O")]) - 1.0)
        sheet.read_points(1, case.inputs["temperature"] - 273.15, away, case.source, 2)
    sheet.finish(1, "temperature, degC", "vapour pressure, % off the first", ylim=(-0.6, 0.9))
    return sheet


def exhaust_and_pipes() -> Sheet:
    """Friction factor by Reynolds number; loss of bends."""
    sheet = Sheet(2)
    re = np.geomspace(4e3, 3e6, 200)
    for index, rough in enumerate((0.0, 0.001, 0.01)):
        sheet.line(0, index, re, pipe.friction_factor_colebrook(re, rough), f"relative roughness {rough:g}")
        for name in ("friction_factor_colebrook", "friction_factor_churchill", "friction_factor_haaland"):
            chosen = [
                c
                for c in cases_of(f"gas.pipe.{name}", *_POINTS)
                if c.inputs["relative_roughness"] == rough and c.inputs["reynolds_number"] > 4e3
            ]
            sheet.case_points(0, chosen, lambda c: c.inputs["reynolds_number"], index=index)
    sheet.axes[0].set_xscale("log")
    sheet.finish(0, "Reynolds number", "Darcy friction factor (Colebrook)")

    ratio = np.linspace(0.6, 5.0, 200)
    for index, angle in enumerate((30.0, 60.0, 90.0)):
        loss = fittings.loss_bend_rennels(math.radians(angle), ratio, 0.01209)
        sheet.line(1, index, ratio, loss, f"bend of {angle:.0f} deg")
    for case in cases_of("gas.fittings.loss_bend_rennels", *_POINTS):
        sheet.case_points(1, [case], lambda c: c.inputs["radius_ratio"])
    sheet.finish(1, "centre-line radius over bore", "loss at a friction factor of 0.0121", ylim=(0.0, 0.9))
    return sheet


def power_correction_factors() -> Sheet:
    """Factors by dry pressure, with the two published sums drawn at their own dry pressure."""
    sheet = Sheet(1)
    dry = np.linspace(88e3, 104e3, 100)
    at = 298.15
    sheet.line(0, 0, dry / 1e3, power_correction.correction_j1349(dry, 298.0), "SAE J1349, 25 degC")
    sheet.line(0, 1, dry / 1e3, power_correction.correction_iso_1585(dry, 298.0), "ISO 1585, 25 degC")
    sheet.line(0, 2, dry / 1e3, power_correction.correction_j607(dry, at), "SAE J607, 25 degC")
    for case in cases_of("chain.j607_of_weather", "read"):
        weather = case.inputs
        vapour = weather["relative_humidity"] * air.saturation_pressure_wagner_pruss(weather["temperature"])
        # brought to 25 degC by the factor's own root of temperature, so that it may stand beside the line
        same = float(case.expected) * math.sqrt(at / weather["temperature"])
        sheet.read_points(0, float(weather["pressure"] - vapour) / 1e3, same, case.source, 2)
    sheet.case_points(
        0, cases_of("power_correction.correction_j1349", "read"), lambda c: c.inputs["dry_pressure"] / 1e3
    )
    sheet.finish(0, "dry pressure, kPa", "factor on brake power")
    return sheet
