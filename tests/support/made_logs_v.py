"""Made logs of a car whose truth is drawn: sensors off by what they may be off, and facts off by what they may be off.

Numpy only, and none of the formulas under test: a truth first, then what taps, probes and meters would show of it.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from boostwright.logs.derived.facts import CoolerFacts, Day, Facts, Loss, Number
from boostwright.logs.series import ChannelsInMemory, Series
from tests.support.steady_log import compressor, engine, petrol, turbine, with_taps

__all__ = ["FACTS", "drawn_log"]

Array = NDArray[np.float64]
_ROWS, _STEP = 24, 0.1
_VOLUME, _VE, _STOICHIOMETRIC, _K_INTAKE = 2.0e-3, 0.92, 14.6, 5.0e7
_BORES = {"pressure_2": 0.052, "pressure_em": 0.050, "pressure_4": 0.070}

FACTS = with_taps(
    Facts(
        engine=engine(_VE, _VOLUME),
        fuel=petrol(_STOICHIOMETRIC),
        intake=Loss(_K_INTAKE, 0.25, "made up"),
        cooler=CoolerFacts(0.0, "made up"),
        compressor=compressor(),
        turbine=turbine(2.0e-5),
        day=Day(None, None, Number(0.5, 0.4, "made up")),
    ),
    **_BORES,
)
"""What is believed of the car."""


def _static(total: float, flow: float, hot: float, bore: float, gas: float, gamma: float) -> float:
    """Static pressure at which density times area times velocity is the flow; energy gives the velocity."""
    heat = gas * gamma / (gamma - 1.0)

    def excess(static: float) -> float:
        cold = hot * (static / total) ** ((gamma - 1.0) / gamma)
        velocity = np.sqrt(2.0 * heat * (hot - cold))
        return float(static / (gas * cold) * np.pi / 4.0 * bore**2 * velocity - flow)

    return float(brentq(excess, 0.6 * total, total * (1.0 - 1e-12)))


class _World:
    """One car on one day at one point."""

    def __init__(self, seed: int) -> None:
        self.rng = np.random.default_rng(seed)
        self.true: dict[str, float] = {}
        self.shown: dict[str, float] = {}
        self._air()
        self._compressor()
        self._exhaust()

    def off(self, largest: float) -> float:
        """An error within bounds, any size alike."""
        return float(self.rng.uniform(-largest, largest))

    def _air(self) -> None:
        t, r = self.true, self.rng
        t["pressure_amb"], t["temperature_amb"] = r.uniform(85e3, 101e3), r.uniform(270.0, 305.0)
        t["pressure_im"], t["temperature_im"] = r.uniform(140e3, 240e3), r.uniform(300.0, 330.0)
        t["engine_speed"], t["lambda"] = r.uniform(300.0, 680.0), r.uniform(0.78, 0.95)
        t["pressure_em"] = r.uniform(0.95, 1.5) * t["pressure_im"]
        ratio = t["pressure_em"] / t["pressure_im"]
        filling = _VE * (1.0 + self.off(0.05)) * (9.0 - ratio ** (1.0 / 1.3)) / 8.0
        t["volumetric_efficiency"] = filling
        gas = 288.2 + self.off(1.2)
        revolutions = t["engine_speed"] / (2.0 * np.pi)
        t["mass_flow_air"] = (
            filling * t["pressure_im"] / (gas * t["temperature_im"]) * _VOLUME * revolutions / 2.0
        )
        dry = t["mass_flow_air"] / (1.006 + self.off(0.006))
        t["mass_flow_fuel"] = dry / (t["lambda"] * _STOICHIOMETRIC * (1.0 + self.off(0.01)))
        t["mass_flow_exhaust"] = t["mass_flow_air"] + t["mass_flow_fuel"]
        t["boost"] = t["pressure_im"] - t["pressure_amb"]

    def _compressor(self) -> None:
        t = self.true
        t["temperature_1"] = t["temperature_amb"] + self.off(5.0)
        lost = _K_INTAKE * (1.0 + self.off(0.25)) * t["mass_flow_air"] ** 2 * t["temperature_1"]
        t["pressure_1"] = t["pressure_amb"] - lost / t["pressure_amb"]
        t["pressure_2"] = 1.06 * t["pressure_im"]
        ratio = t["compressor_pressure_ratio"] = t["pressure_2"] / t["pressure_1"]
        gamma = 1.3972 + self.off(0.002)
        t["compressor_efficiency"] = self.rng.uniform(0.6, 0.78)
        rise = t["temperature_1"] * (ratio ** ((gamma - 1.0) / gamma) - 1.0) / t["compressor_efficiency"]
        t["temperature_2"] = t["temperature_1"] + rise
        t["corrected_flow"] = (
            t["mass_flow_air"] * np.sqrt(t["temperature_1"] / 288.15) * 101325.0 / t["pressure_1"]
        )
        cool = t["temperature_amb"] + self.off(3.0)
        t["temperature_bp"] = t["temperature_im"]
        t["cooler_effectiveness"] = (t["temperature_2"] - t["temperature_bp"]) / (t["temperature_2"] - cool)

    def _exhaust(self) -> None:
        t = self.true
        t["temperature_em"] = self.rng.uniform(1000.0, 1200.0)
        t["pressure_4"] = t["pressure_amb"] + self.rng.uniform(2e3, 20e3)
        t["turbine_expansion_ratio"] = t["pressure_em"] / t["pressure_4"]
        t["drive_pressure_ratio"] = t["pressure_em"] / t["pressure_im"]
        t["drive_pressure_ratio_gauge"] = (t["pressure_em"] - t["pressure_amb"]) / t["boost"]
        drive = np.sqrt(1.0 - t["turbine_expansion_ratio"] ** -2.3633)
        card = 2.0e-5 * (1.0 + self.off(0.1)) * drive
        t["mass_flow_turbine"] = card * t["pressure_em"] / np.sqrt(t["temperature_em"])
        t["gate_flow_share"] = 1.0 - t["mass_flow_turbine"] / t["mass_flow_exhaust"]
        t["turbine_swallowing"] = t["mass_flow_exhaust"] * np.sqrt(t["temperature_em"]) / t["pressure_em"]

    def tap(self, name: str) -> float:
        """What stands at a wall tap."""
        t = self.true
        bore = _BORES[name] * (1.0 + self.off(0.01))
        if name == "pressure_2":
            static = _static(t[name], t["mass_flow_air"], t["temperature_2"], bore, 288.2, 1.4)
        else:
            hot = t["temperature_em"] * (1.0 if name == "pressure_em" else 0.93 + self.off(0.07))
            gas, gamma = 289.0 + self.off(2.0), 1.32 + self.off(0.03)
            static = _static(t[name], t["mass_flow_exhaust"], hot, bore, gas, gamma)
        return static - float(self.rng.normal(0.0, 0.01)) * (t[name] - static)

    def pressure(self, true: float, largest: float, usual: float) -> float:
        """A sensor with zero and scale off."""
        half = largest * np.sqrt(0.5)
        return true + self.off(half) + self.off(half) * true / usual


def drawn_log(seed: int) -> tuple[ChannelsInMemory, dict[str, float]]:
    """A log that stands still, and the truth behind it."""
    world = _World(seed)
    t, off = world.true, world.off
    shown = {
        "pressure_amb": (t["pressure_amb"] + off(500.0), 30.0),
        "temperature_amb": (t["temperature_amb"] + off(2.0), 0.1),
        "pressure_im": (world.pressure(t["pressure_im"], 2e3, 200e3), 400.0),
        "temperature_im": (t["temperature_im"] + off(2.0), 0.2),
        "temperature_bp": (t["temperature_bp"] + off(2.0), 0.2),
        "temperature_2": (t["temperature_2"] + off(2.0), 0.3),
        "engine_speed": (t["engine_speed"] * (1.0 + off(0.002)), 0.3),
        "lambda": (t["lambda"] + off(0.015), 0.003),
        "mass_flow_air": (t["mass_flow_air"] * (1.0 + off(0.03)), 1e-3),
        "mass_flow_fuel": (t["mass_flow_fuel"] * (1.0 + off(0.02)), 5e-5),
        "pressure_2_static": (world.pressure(world.tap("pressure_2"), 2e3, 200e3), 400.0),
        "pressure_em_static": (world.pressure(world.tap("pressure_em"), 5e3, 250e3), 1500.0),
        "pressure_4_static": (world.pressure(world.tap("pressure_4"), 5e3, 250e3), 500.0),
        "egt_reading": (_reading(t["temperature_em"] - 60.0 + off(60.0), off), 1.5),
    }
    time = np.arange(_ROWS) * _STEP
    series = {
        name: Series(
            time,
            value + world.rng.normal(0.0, noise, _ROWS),
            "absolute" if name.startswith("pressure_") else "",
        )
        for name, (value, noise) in shown.items()
    }
    return ChannelsInMemory(series), t


def _reading(true: float, off) -> float:  # type: ignore[no-untyped-def]
    return float(true + off(max(2.5, 0.0075 * (true - 273.15))))
