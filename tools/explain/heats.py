"""Pictures about the charge cooler and the probes in the exhaust."""

from __future__ import annotations

import numpy as np

from boostwright.physics import lambda_probe
from boostwright.physics.gas import air
from boostwright.physics.heat import exchanger, probe, radiation
from tools.explain.sheet import Sheet, cases_of

__all__ = ["charge_cooler", "lambda_probe_picture", "radiation_picture", "temperature_probe"]

_POINTS = ("read", "reference library")


def charge_cooler() -> Sheet:
    """Effectiveness by transfer units; what is left of it as flow grows."""
    sheet = Sheet(2)
    units = np.linspace(0.05, 4.0, 200)
    kinds = (
        ("counterflow", "counterflow"),
        ("crossflow_unmixed", "crossflow"),
        ("crossflow_one_mixed", "one side mixed"),
    )
    for index, (name, words) in enumerate(kinds):
        relation = getattr(exchanger, f"effectiveness_{name}")
        sheet.line(0, index, units, relation(units, 0.7), words)
        found = cases_of(f"heat.exchanger.effectiveness_{name}", *_POINTS)
        chosen = [case for case in found if case.inputs["capacity_ratio"] == 0.7]
        sheet.case_points(0, chosen, lambda c: c.inputs["transfer_units"], index=index)
    sheet.finish(0, "transfer units (capacity ratio 0.7)", "effectiveness", ylim=(0.0, 1.0))
    flow = np.linspace(0.05, 0.40, 100)
    for index, known in enumerate((0.60, 0.75, 0.85)):
        scaled = -np.log1p(-known) * (flow / 0.25) ** -0.4
        sheet.line(1, index, flow, 1.0 - np.exp(-scaled), f"{known:.2f} at 0.25 kg/s")
    sheet.finish(1, "charge flow, kg/s (cooling air plentiful)", "effectiveness", ylim=(0.0, 1.0))
    return sheet


def radiation_picture() -> Sheet:
    """Exchange between plates with and without shields, and of a small body."""
    sheet = Sheet(2)
    hot = np.linspace(500.0, 1250.0, 100)
    shield = float(radiation.shield_resistance(0.1, 0.1))
    for index, (count, words) in enumerate(((0, "no shield"), (1, "one shield"), (2, "two shields"))):
        heat = radiation.exchange_parallel_plates(hot, 350.0, 0.8, 0.9, count * shield)
        sheet.line(0, index, hot, np.asarray(heat) / 1e3, words)
    sheet.axes[0].set_yscale("log")
    sheet.finish(0, "hot face, K (other 350 K, shields of emissivity 0.1)", "kW/m2 between plates")
    for index, emissivity in enumerate((0.8, 0.3)):
        heat = radiation.exchange_small_body(emissivity, hot, 333.0)
        sheet.line(1, index, hot, np.asarray(heat) / 1e3, f"emissivity {emissivity:g}")
    found = cases_of("heat.radiation.exchange_small_body", *_POINTS)
    sheet.case_points(1, found, lambda c: c.inputs["temperature"], scale=1e-3)
    sheet.finish(1, "small body, K (among 333 K)", "kW/m2 of its surface")
    return sheet


def lambda_probe_picture() -> Sheet:
    """What pressure does to a reading; pump current; time from port to probe."""
    sheet = Sheet(3)
    pressure = np.linspace(80e3, 200e3, 80)
    for index, true in enumerate((0.80, 0.85, 1.20)):
        for k, width in ((23.5e3, 0.7), (47e3, 1.6), (94e3, 0.7)) if true < 1.0 else ((47e3, 1.6),):
            factor = lambda_probe.pump_current_pressure_factor(pressure, lambda_probe.REFERENCE_PRESSURE, k)
            current = np.asarray(lambda_probe.pump_current(true)) * factor
            shown = np.interp(current, np.array([-2e-3, 0.938e-3]), np.array([np.nan, np.nan]))
            inside = (current >= -2e-3) & (current <= 0.938e-3)
            shown[inside] = lambda_probe.lambda_of_pump_current(current[inside])
            label = f"gas of {true:.2f}" if k == 47e3 else ""
            sheet.line(0, index, pressure / 1e3, shown, label, linewidth=width)
    sheet.finish(0, "pressure at the probe, kPa absolute", "lambda shown")
    ratio = np.linspace(lambda_probe.RICHEST, lambda_probe.LEANEST, 200)
    current = np.asarray(lambda_probe.pump_current(ratio))
    sheet.line(1, 0, ratio, current * 1e3, "nominal pairs")
    lean = np.linspace(1.003, 1.701, 60)
    oxygen = 3.0 * (lean - 1.0) / (1.0 + 3.0 * 4.77 * lean)
    sheet.line(1, 1, lean, oxygen * 0.938 / oxygen[-1], "oxygen of lean gas, scaled")
    sheet.finish(1, "lambda", "pump current, mA")
    flow = np.geomspace(0.004, 0.3, 100)
    for index, volume in enumerate((1e-3, 2e-3, 4e-3)):
        late = lambda_probe.gas_transport_time(volume, flow, 1000.0, 110e3, 289.0)
        sheet.line(2, index, flow, np.asarray(late), f"{volume * 1e3:g} l")
    sheet.axes[2].set(xscale="log", yscale="log")
    sheet.finish(2, "exhaust flow, kg/s (1000 K, 110 kPa)", "time from port to probe, s")
    return sheet


def temperature_probe() -> Sheet:
    """Heat transfer to a wire; how far a sheath stands below the gas; its lag."""
    sheet = Sheet(3)
    re = np.geomspace(100.0, 1e4, 100)
    sheet.line(0, 0, re, probe.nusselt_scadron_warshawsky(re, 0.70), "Scadron and Warshawsky")
    sheet.line(0, 1, re, probe.nusselt_ranz_marshall(re, 0.70), "Ranz and Marshall, bead")
    found = cases_of("heat.probe.nusselt_scadron_warshawsky", *_POINTS)
    sheet.case_points(0, found, lambda c: c.inputs["reynolds_number"])
    sheet.axes[0].set(xscale="log", yscale="log")
    sheet.finish(0, "Reynolds number", "Nusselt number (Pr 0.70)")
    speed = np.linspace(5.0, 120.0, 120)
    for index, diameter in enumerate((0.5e-3, 1.5e-3, 3.0e-3)):
        h = _coefficient(speed, diameter)
        shown = probe.probe_temperature(1173.15, 1023.15, 0.8, h)
        sheet.line(1, index, speed, 1173.15 - shown, f"{diameter * 1e3:g} mm")
        sheet.line(2, index, speed, probe.lag_wire(diameter, 8600.0, 530.0, h), f"{diameter * 1e3:g} mm")
    sheet.finish(1, "gas speed, m/s (1173 K, 2 bar, wall 150 K cooler)", "reading below gas, K, by radiation")
    sheet.axes[2].set_yscale("log")
    sheet.finish(2, "gas speed, m/s", "time constant of a solid sheath, s")
    return sheet


def _coefficient(speed: np.ndarray, diameter: float) -> np.ndarray:
    """Heat transfer coefficient [W/(m2 K)] of a sheath in exhaust of 1173 K and 2 bar, with the properties of air."""
    density = 2e5 / (289.0 * 1173.15)
    reynolds = density * speed * diameter / float(air.viscosity_sutherland(1173.15))
    nusselt = np.asarray(probe.nusselt_scadron_warshawsky(reynolds, 0.70))
    return nusselt * float(air.thermal_conductivity_power_law(1173.15)) / diameter
