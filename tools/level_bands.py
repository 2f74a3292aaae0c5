"""What engines of the trade reach: bands beside which every prediction can be held, each with how it is known.

A band raises a question, it decides nothing, unless it was read in a source or computed. ``measures`` gives the same
quantities of a prediction, a number a point, nan where a band does not speak of the point.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.physics.cylinder import wall_heat
from boostwright.physics.gas import mixture
from boostwright.solve.operating_point import Prediction

__all__ = ["BANDS", "Band", "measures"]

Array = NDArray[np.float64]
_DEGREE = math.pi / 180.0
_RPM = math.pi / 30.0
_SHARE_10_TO_90 = 0.49622  # of the whole duration, for the burn law used here
_NEAR_BEST = 12.0  # deg CA50
# Of Taylor and Toong's law: mean gas temperature [K] at lambda 1 and 300 K in the intake, its rise with that, coolant
# [K], viscosity [Pa s] and conductivity [W/(m K)] of the gas at that mean; from memory, properties of air.
_GAS, _GAS_RISE, _COOLANT, _VISCOSITY, _CONDUCTIVITY = 700.0, 0.35, 370.0, 3.3e-5, 0.0525


@dataclass(frozen=True)
class Band:
    """low to high in ``unit``; status 'read', 'computed', 'second-hand', 'common practice' or 'from memory'."""

    name: str
    words: str
    unit: str
    low: float
    high: float
    status: str
    source: str


_HEYWOOD = "Heywood, Internal Combustion Engine Fundamentals (1988)"
_TRADE = "no source: what dynamometers show"
_SPLIT = "Energy split of a manufacturer's consultant, engine not stated"

BANDS = (
    Band("bsfc_near_stoichiometric", "BSFC, lambda 0.95 to 1, 2000 to 5000 rpm, CA50 below 15 deg, petrol", "g/kWh",
         235.0, 300.0, "from memory", f"{_HEYWOOD}, sec. 2.7: best about 270"),
    Band("bsfc_rich", "BSFC, lambda 0.78 to 0.92, 2000 to 6000 rpm, petrol", "g/kWh", 255.0, 360.0,
         "common practice", _TRADE),
    Band("bmep_turbo", "BMEP at the peak of torque, boost above 0.5 bar", "bar", 14.0, 30.0, "from memory",
         "single stage today 18 to 24; above 30 a question"),
    Band("bmep_over_manifold", "BMEP over absolute manifold pressure, lambda 0.82 to 0.95, 2500 to 5000 rpm, CA50 "
         "below 12 deg", "bar/bar", 9.5, 11.5, "common practice", _TRADE),
    Band("bmep_unboosted", "BMEP without boost, 2500 to 5000 rpm", "bar", 8.5, 12.5, "common practice", _TRADE),
    Band("power_per_air", "brake power over air flow, 3000 to 6000 rpm", "kJ/kg", 850.0, 1100.0, "common practice",
         "no source: 9 to 11 horsepower a pound of air a minute"),
    Band("fmep", "FMEP without pumping, 1500 to 6500 rpm", "bar", 0.7, 3.0, "common practice", _TRADE),
    Band("mechanical_efficiency", "mechanical efficiency at full boost, up to 5000 rpm", "1", 0.85, 0.94,
         "second-hand", "from the energy split of the next rows: 0.906 at full load"),
    Band("gross_efficiency", "gross indicated efficiency of all the fuel, lambda 0.95 to 1, CA50 below 12 deg", "1",
         0.31, 0.40, "from memory", "35 to 38 % in boosted petrol engines at compression ratios near 10"),
    Band("split_brake", "brake work of the fuel's heat, lambda 0.97 to 1, full load", "%", 25.0, 36.0, "second-hand",
         _SPLIT),
    Band("split_coolant_oil", "heat to walls and ports, the same, from 2000 rpm", "%", 20.0, 32.0, "second-hand",
         _SPLIT),
    Band("split_exhaust", "heat of the exhaust behind the ports, the same, from 2000 rpm", "%", 33.0, 43.0,
         "second-hand", _SPLIT),
    Band("walls_over_taylor", "heat to walls and ports over Taylor and Toong's heat to the coolant, lambda 0.97 to 1, "
         "any speed and boost", "1", 0.95, 1.6, "from memory", "Taylor and Toong (1957); with oil and the rest 1.1 to "
         f"1.6, {_HEYWOOD}, table 12.1; the law itself within 15 %"),
    Band("peak_over_bmep", "peak pressure over BMEP, from 2000 rpm", "1", 3.3, 6.0, "common practice", _TRADE),
    Band("peak_over_compression", "peak pressure over that of compression alone, CA50 below 12 deg", "1", 1.8, 3.2,
         "common practice", "no source: indicator diagrams"),
    Band("compression_pressure", "pressure of compression alone over that of the manifold, compression ratio 9 to 10",
         "1", 13.0, 22.5, "computed", "polytropic exponent 1.30 to 1.34 from intake closing, 0.9 to 1.2 of the "
         "manifold's pressure there"),
    Band("phasing_boosted", "CA50 at the knock limit, boost above 0.5 bar, petrol", "deg", 8.0, 32.0,
         "common practice", _TRADE),
    Band("duration", "10 to 90 % burned, 2000 to 6500 rpm", "deg", 18.0, 35.0, "common practice", _TRADE),
    Band("residual_unboosted", "residual fraction at full load without boost", "%", 5.0, 10.0, "from memory",
         f"{_HEYWOOD}, sec. 6.4: 20 % at light load, 7 % at full load"),
    Band("residual_boosted", "residual fraction, drive-pressure ratio above 1", "%", 3.0, 12.0, "common practice",
         _TRADE),
    Band("trapped_temperature", "charge at the closing of the intake valve, petrol", "K", 320.0, 380.0,
         "common practice", _TRADE),
    Band("trapped_pressure", "pressure there over that of the manifold", "1", 0.9, 1.2, "common practice", _TRADE),
    Band("filling", "volumetric efficiency over the manifold's density", "1", 0.75, 1.08, "common practice", _TRADE),
    Band("pmep_unboosted", "PMEP at full load without boost", "bar", 0.0, 0.8, "common practice", _TRADE),
    Band("egt_unboosted", "gas at the ports without boost, 3000 to 6500 rpm, CA50 below 12 deg, petrol", "degC",
         700.0, 950.0, "from memory", f"{_HEYWOOD}, sec. 6.5: about 900 at high power"),
    Band("egt_boosted", "gas at the turbine with boost, 3000 to 6500 rpm, petrol, lambda 0.78 to 0.95, CA50 "
         "below 25 deg", "degC", 750.0, 1000.0, "common practice", _TRADE),
    Band("egt_highest", "gas at the ports, lambda 0.97 to 1, CA50 below 25 deg", "degC", 700.0, 1150.0, "from memory",
         f"{_HEYWOOD}, sec. 6.5; above it a question"),
    Band("port_drop", "temperature lost from ports to turbine inlet, 3000 rpm and more", "K", 5.0, 80.0,
         "common practice", _TRADE),
    Band("turbine_drop", "temperature drop over the wheel, over that of constant specific heats", "1", 0.93, 1.07,
         "computed", "gas at 1.30, the build's own efficiency; real gas lies at 1.27 to 1.34"),
    Band("turbo_balance", "turbine power times bearings over compressor power", "1", 0.98, 1.02, "computed",
         "energy balance of the shaft"),
    Band("energy_balance", "work, heat to walls and ports, exhaust and unburned fuel over the fuel's heat", "1",
         0.995, 1.005, "computed", "first law"),
)  # fmt: skip
"""Every band, in the order of the table."""


def _where(condition: Array, values: Array) -> Array:
    return np.where(condition, values, np.nan)


def _coolant_by_taylor(build: Build, p: Prediction, q: Mapping[str, Array]) -> Array:
    """Heat flow [W] (n,) to the coolant by Taylor and Toong's law at lambda 1."""
    engine = build["engine"]
    bore, cylinders = engine.si("bore"), engine.si("cylinders")
    charge = (q["mass_flow_air"] + q["mass_flow_fuel"]) / cylinders
    reynolds = 4.0 * charge / (math.pi * bore * _VISCOSITY)
    nusselt = np.asarray(wall_heat.nusselt_taylor_toong.formula(reynolds))
    above = _GAS + _GAS_RISE * (q["temperature_im"] - 300.0) - _COOLANT
    return np.asarray(cylinders * nusselt * _CONDUCTIVITY * 0.25 * math.pi * bore * above)


def _turbine(p: Prediction, q: Mapping[str, Array]) -> dict[str, Array]:
    """Drop over the wheel beside gas of constant specific heats, and the power balance of the shaft."""
    if p.mode == "no-turbo":
        none = np.full(p.speeds.shape, np.nan)
        return {"turbine_drop": none, "turbo_balance": none}
    bearings = p.constants["shaft_mechanical_efficiency"].values
    ratio, efficiency, t = q["turbine_expansion_ratio"], q["turbine_efficiency"], q["temperature_em"]
    simple = efficiency * t * (1.0 - ratio ** (-0.3 / 1.3))
    drop = t - q["temperature_turbine_outlet"]
    return {
        "turbine_drop": _where(drop > 10.0, drop / simple),
        "turbo_balance": _where(
            q["compressor_power"] > 100.0, q["turbine_power"] * bearings / q["compressor_power"]
        ),
    }


def _heat(p: Prediction, q: Mapping[str, Array], chemical: Array, exhaust: Array) -> dict[str, Array]:
    """Shares of the fuel's heat, and whether they add up."""
    fuel = q["mass_flow_fuel"] * p.constants["lower_heating_value"].values
    brake, walls = q["power"], q["wall_heat_flow"] + q["port_heat_flow"]
    sum_ = q["gross_indicated_power"] - q["pumping_power"] + walls + exhaust + chemical
    return {
        "brake": 100.0 * brake / fuel,
        "coolant": 100.0 * walls / fuel,
        "exhaust": 100.0 * exhaust / fuel,
        "balance": sum_ / fuel,
    }


def measures(build: Build, p: Prediction, compression_pressure: Array) -> dict[str, Array]:
    """Every band's quantity (n,) of a prediction in the band's unit; nan where the band does not speak of a point.

    compression_pressure  (n,) [Pa] of the charge at top dead centre, had nothing burned
    """
    q = {name: values.values for name, values in p.quantities.items()}
    rpm, lam = np.round(p.speeds / _RPM, 6), q["lambda"]  # 6500 rpm is not a hair above 6500
    ca50, bmep = q["angle_half_burned"] / _DEGREE, q["bmep"] / 1e5
    petrol = build["fuel"].text("card") != "e85"
    boosted = q["boost"] > 0.5e5
    free = np.full(rpm.shape, p.mode == "no-turbo")
    near_one = (lam >= 0.97) & (lam <= 1.0)
    gases = mixture.mixture_coefficients(np.stack(list(p.gases["exhaust"].values()), axis=-1))
    with np.errstate(invalid="ignore", divide="ignore"):
        cold = np.asarray(mixture.sensible_enthalpy(gases, np.nan_to_num(q["temperature_port"], nan=300.0)))
        air = np.asarray(mixture.sensible_enthalpy(_air(p), np.nan_to_num(q["temperature_im"], nan=300.0)))
        thermal = q["mass_flow_exhaust"] * cold - q["mass_flow_air"] * air
        chemical = (
            q["unburned_fuel_heat_flow"] + q["mass_flow_exhaust"] * p.constants["unburned_energy"].values
        )
        heat = _heat(p, q, chemical, thermal)
        fuel_heat = q["mass_flow_fuel"] * p.constants["lower_heating_value"].values
        bsfc = q["bsfc"] * 3.6e9
        best = ca50 < _NEAR_BEST
        ratio = build["engine"].si("compression_ratio")
        found = {
            "bsfc_near_stoichiometric": _where(
                petrol & (lam >= 0.95) & (rpm >= 2000) & (rpm <= 5000) & (ca50 < 15.0), bsfc
            ),
            "bsfc_rich": _where(petrol & (lam <= 0.92) & (rpm >= 2000) & (rpm <= 6000), bsfc),
            "bmep_turbo": _where(boosted & (bmep == np.nanmax(np.append(bmep, 0.0))), bmep),
            "bmep_over_manifold": _where(
                best & (lam >= 0.82) & (lam <= 0.95) & (rpm >= 2500) & (rpm <= 5000),
                bmep / (q["pressure_im"] / 1e5),
            ),
            "bmep_unboosted": _where(free & (rpm >= 2500) & (rpm <= 5000), bmep),
            "power_per_air": _where((rpm >= 3000) & (rpm <= 6000), q["power"] / q["mass_flow_air"] / 1e3),
            "fmep": _where(rpm <= 6500, q["fmep"] / 1e5),
            "mechanical_efficiency": _where(boosted & (rpm <= 5000), q["mechanical_efficiency"]),
            "gross_efficiency": _where(
                best & (lam >= 0.95) & (lam <= 1.0), q["gross_indicated_power"] / fuel_heat
            ),
            "split_brake": _where(near_one, heat["brake"]),
            "split_coolant_oil": _where(near_one & (rpm >= 2000), heat["coolant"]),
            "split_exhaust": _where(near_one & (rpm >= 2000), heat["exhaust"]),
            "walls_over_taylor": _where(
                near_one, heat["coolant"] * fuel_heat / 100.0 / _coolant_by_taylor(build, p, q)
            ),
            "peak_over_bmep": _where(rpm >= 2000, q["peak_pressure"] / q["bmep"]),
            "peak_over_compression": _where(best, q["peak_pressure"] / compression_pressure),
            "compression_pressure": _where(
                (9.0 <= ratio <= 10.0) & (q["trapped_pressure_ratio"] >= 0.9),
                compression_pressure / q["pressure_im"],
            ),
            "phasing_boosted": _where(petrol & boosted, ca50),
            "duration": _where((rpm >= 2000) & (rpm <= 6500), _SHARE_10_TO_90 * q["burn_duration"] / _DEGREE),
            "residual_unboosted": _where(free, 100.0 * q["residual_fraction"]),
            "residual_boosted": _where(q["drive_pressure_ratio"] > 1.0, 100.0 * q["residual_fraction"])
            if p.mode != "no-turbo"
            else np.full(rpm.shape, np.nan),
            "trapped_temperature": _where(np.full(rpm.shape, petrol), q["trapped_temperature"]),
            "trapped_pressure": q["trapped_pressure_ratio"],
            "filling": q["volumetric_efficiency"],
            "pmep_unboosted": _where(free, q["pmep"] / 1e5),
            "egt_unboosted": _where(
                petrol & free & best & (rpm >= 3000) & (rpm <= 6500), q["temperature_port"] - 273.15
            ),
            "egt_boosted": _where(
                petrol & boosted & (rpm >= 3000) & (rpm <= 6500) & (lam <= 0.95) & (ca50 < 25.0),
                q["temperature_em"] - 273.15,
            ),
            "egt_highest": _where(near_one & (ca50 < 25.0), q["temperature_port"] - 273.15),
            "port_drop": _where(rpm >= 3000, q["temperature_port"] - q["temperature_em"]),
            "energy_balance": heat["balance"],
            **_turbine(p, q),
        }
    return {band.name: found[band.name] for band in BANDS}


def _air(p: Prediction) -> Array:
    return np.asarray(mixture.mixture_coefficients(np.stack(list(p.gases["intake_air"].values()), axis=-1)))
