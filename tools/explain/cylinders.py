"""Pictures about the cylinder: burn, walls, knock, friction, rods, the closed cycle and ideal ones."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np

from boostwright.components.air import AmbientAir
from boostwright.components.closed_cycle import CycleFuel, CycleGeometry, CycleModel
from boostwright.physics.cylinder import (
    air_standard,
    breathing,
    burn,
    friction,
    knock,
    valves,
    wall_heat,
)
from boostwright.physics.cylinder import friction_by_place as by_place
from boostwright.physics.cylinder.definitions import mean_piston_speed
from boostwright.physics.gas import air, mixture
from boostwright.proof.case import Case
from boostwright.solve.cycle_batch import closed_cycles
from tools.explain.sheet import Sheet, cases_of

__all__ = [
    "burn_picture",
    "cycle_picture",
    "friction_and_breathing",
    "ideal_cycles",
    "knock_picture",
    "wall_heat_picture",
]

RPM = np.pi / 30.0
STUDIES = Path(__file__).resolve().parents[2] / "studies"
_POINTS = ("read", "reference library")
_FORMS = {"wiebe_factor": 5.0, "wiebe_exponent": 2.0}


def _model() -> CycleModel:
    """One cylinder of the inline five of the examples, on a petrol of research octane number 98."""
    dry = AmbientAir(
        101325.0,
        293.15,
        0.0,
        air.DRY_AIR,
        float(mixture.gas_constant(air.DRY_AIR)),
        np.asarray(mixture.mixture_coefficients(air.DRY_AIR)),
    )
    fuel = CycleFuel(1.87, 0.0, 43.0e6, 350e3, 100.0, 98.0)
    return CycleModel(CycleGeometry(0.083, 0.092, 0.148, 9.0), fuel, dry)


def cycle_picture() -> Sheet:
    """Work, peak pressure, temperature and knock by phasing."""
    sheet = Sheet(2)
    half = np.linspace(2.0, 32.0, 61)
    state = {"engine_speed": 3000.0 * RPM, "mass": 0.95e-3, "temperature": 360.0, "residual_fraction": 0.05}
    for index, lam in enumerate((0.85, 1.0)):
        out = closed_cycles(_model(), **state, lambda_value=lam, angle_half_burned=np.radians(half))
        sheet.line(
            0, index, half, out["work"] / out["work"].max() * 100.0, f"work, % of its best, lambda {lam:g}"
        )
    sheet.line(0, 2, half, out["peak_pressure"] / 1e5, "peak pressure, bar, lambda 1")
    sheet.finish(0, "half burned, deg after top dead centre", "%, bar")
    for index, lam in enumerate((0.85, 1.0)):
        out = closed_cycles(_model(), **state, lambda_value=lam, angle_half_burned=np.radians(half))
        sheet.line(1, index, half, out["temperature_opening"], f"lambda {lam:g}")
    sheet.finish(1, "half burned, deg after top dead centre", "gas at exhaust opening, K")
    return sheet


def burn_picture() -> Sheet:
    """Burned fraction by progress; laminar burning velocity by lambda."""
    sheet = Sheet(2)
    y = np.linspace(0.0, 1.0, 200)
    for index, (factor, exponent) in enumerate(((5.0, 2.0), (6.908, 1.6))):
        burned = burn.burned_fraction_wiebe(y, 0.0, 1.0, factor, exponent)
        sheet.line(0, index, y, burned, f"a {factor:g}, m {exponent:g}")
        for case in cases_of("cylinder.burn.burned_fraction_wiebe", *_POINTS):
            if (case.inputs["wiebe_factor"], case.inputs["wiebe_exponent"]) == (factor, exponent):
                sheet.case_points(0, [case], _progress, index=index)
        for case in cases_of("cylinder.burn.burn_progress_wiebe", *_POINTS):
            if (case.inputs["wiebe_factor"], case.inputs["wiebe_exponent"]) == (factor, exponent):
                sheet.library_points(0, case.expected, case.inputs["burned_fraction"], case.library, index)
    sheet.finish(0, "angle since ignition over burn duration", "burned fraction")
    lam = np.linspace(0.7, 1.3, 200)
    for index, (t, p) in enumerate(((650.0, 10e5), (650.0, 25e5), (750.0, 25e5))):
        velocity = burn.laminar_burning_velocity_rhodes_keck(t, p, 1.0 / lam, 0.05)
        sheet.line(1, index, lam, velocity, f"{t:.0f} K, {p / 1e5:.0f} bar")
    sheet.finish(1, "lambda", "laminar burning velocity, m/s (5 % residual)")
    return sheet


def _progress(case: Case) -> float:
    return (case.inputs["crank_angle"] - case.inputs["burn_start"]) / case.inputs["burn_duration"]


def wall_heat_picture() -> Sheet:
    """Both coefficients by gas temperature and by piston speed."""
    sheet = Sheet(2)
    t = np.linspace(600.0, 2600.0, 100)
    for index, (p, words) in enumerate(((20e5, "20 bar"), (60e5, "60 bar"))):
        sheet.line(
            0,
            0,
            t,
            wall_heat.wall_heat_woschni(0.083, p, t, 2.28 * 12.0),
            f"Woschni, {words}",
            alpha=1 - 0.4 * index,
        )
        sheet.line(
            0,
            1,
            t,
            wall_heat.wall_heat_hohenberg(1e-4, p, t, 12.0),
            f"Hohenberg, {words}",
            alpha=1 - 0.4 * index,
        )
    sheet.finish(0, "gas temperature, K (12 m/s, 0.1 l, no burning)", "W/(m2 K)")
    speed = np.linspace(3.0, 22.0, 100)
    quiet = wall_heat.wall_heat_woschni(0.083, 40e5, 2000.0, 2.28 * speed)
    fired = wall_heat.gas_velocity_woschni(speed, 0.0005, 360.0, 1.9e5, 0.00054, 25e5, 2.28, 3.24e-3)
    sheet.line(1, 0, speed, quiet, "Woschni, motored")
    sheet.line(
        1, 2, speed, wall_heat.wall_heat_woschni(0.083, 40e5, 2000.0, fired), "Woschni, 25 bar from burning"
    )
    sheet.line(1, 1, speed, wall_heat.wall_heat_hohenberg(1e-4, 40e5, 2000.0, speed), "Hohenberg")
    sheet.finish(1, "mean piston speed, m/s (40 bar, 2000 K)", "W/(m2 K)")
    return sheet


def knock_picture() -> Sheet:
    """Ignition delay by temperature; the integral by phasing."""
    sheet = Sheet(2)
    t = np.linspace(650.0, 1000.0, 100)
    for index, p in enumerate((20e5, 40e5, 80e5)):
        delay = knock.ignition_delay_douaud_eyzat(p, t, 95.0)
        sheet.line(0, index, t, 1e3 * delay, f"{p / 1e5:.0f} bar, ON 95")
    sheet.axes[0].set_yscale("log")
    sheet.finish(0, "end gas, K", "ignition delay, ms")
    half = np.linspace(4.0, 32.0, 57)
    state = {"engine_speed": 3000.0 * RPM, "mass": 0.95e-3, "lambda_value": 0.9, "residual_fraction": 0.05}
    for index, hot in enumerate((340.0, 360.0, 380.0)):
        out = closed_cycles(_model(), **state, temperature=hot, angle_half_burned=np.radians(half))
        sheet.line(1, index, half, out["knock_integral"], f"{hot:.0f} K at intake closing")
    sheet.axes[1].axhline(1.0, linewidth=0.8, color="black")
    sheet.finish(1, "half burned, deg after top dead centre", "knock integral, before any fit")
    return sheet


def friction_and_breathing() -> Sheet:
    """Friction by author and speed; what back-pressure and the intake valves leave of the breathing."""
    sheet = Sheet(3)
    rpm = np.linspace(1000.0, 7000.0, 100)
    piston = np.asarray(mean_piston_speed(0.092, rpm * RPM))
    common = friction.friction_chen_flynn(80e5, piston, 0.40e5, 0.005, 0.08e5, 0.002e5)
    sheet.line(0, 0, rpm, friction.friction_barnes_moss(rpm * RPM) / 1e5, "Barnes-Moss, pumping in it")
    sheet.line(0, 1, rpm, common / 1e5, "Chen-Flynn form, usual constants")
    sheet.line(0, 2, rpm, _friction_of_the_five(rpm, piston) / 1e5, "Sandoval-Heywood, the default")
    sheet.finish(0, "engine speed, 1/min (83 x 92 mm, 180 kPa)", "friction, bar")
    ratio = np.linspace(0.7, 2.2, 100)
    sheet.line(1, 0, ratio, breathing.backpressure_factor_heywood(ratio, 9.0, 1.3), "Heywood")
    sheet.line(1, 1, ratio, breathing.backpressure_factor_eriksson(ratio, 9.0, 1.3), "Eriksson")
    sheet.finish(1, "p_em / p_im (compression ratio 9)", "factor on volumetric efficiency")
    index, filled = _filling_study()
    across = np.linspace(0.0, 1.45, 100)
    sheet.line(2, 0, across, valves.filling_factor_taylor(across, np.radians(245.0)), "rule")
    sheet.line(2, 1, index, filled / filled[0], "quasi-steady filling")
    sheet.finish(2, "inlet Mach index", "filling over that of slow gas")
    return sheet


def _friction_of_the_five(rpm: np.ndarray, piston: np.ndarray) -> np.ndarray:
    """Friction by its places [Pa] of the inline five of the examples at 180 kPa."""
    bore, stroke, speed = 0.083, 0.092, rpm * RPM
    length = 0.27 * bore
    places = (
        by_place.friction_crankshaft_sandoval_heywood(bore, stroke, 5.0, 0.65 * bore, length, 6.0, speed),
        by_place.friction_pistons_sandoval_heywood(bore, stroke, 5.0, 0.58 * bore, length, speed, piston),
        by_place.friction_gas_load_sandoval_heywood(180e3, 9.0, piston),
        by_place.friction_valve_gear_sandoval_heywood(bore, stroke, 5.0, 4.0, 9e-3, 12.0, speed),
        by_place.friction_auxiliaries_sandoval_heywood(speed),
    )
    return np.sum([np.asarray(place) for place in places], axis=0)


def _filling_study() -> tuple[np.ndarray, np.ndarray]:
    """Inlet Mach index and volumetric efficiency of the middle cam of studies/filling."""
    with (STUDIES / "filling" / "result.csv").open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["closing_deg"] == "50.0"]
    speed = np.array([float(row["speed_rpm"]) for row in rows]) * RPM
    angle = np.linspace(0.0, 1.0, 721)
    area = valves.valve_effective_area(valves.valve_lift_sine_squared(angle, 9.5e-3), 0.032, 0.65, 0.70)
    mean = float(np.trapezoid(area, angle) / (0.25 * np.pi * 0.032**2))
    sound = float(np.sqrt(1.4 * 287.05 * 298.15))
    index = valves.inlet_mach_index_taylor(0.083, 0.032, 2.0, mean, mean_piston_speed(0.092, speed), sound)
    return np.asarray(index), np.array([float(row["volumetric_efficiency"]) for row in rows])


def ideal_cycles() -> Sheet:
    """What a rich mixture does to the efficiency on released heat."""
    sheet = Sheet(1)
    lam = np.linspace(0.7, 1.2, 200)
    sheet.line(0, 0, lam, air_standard.mixture_efficiency_factor(lam), "factor on released heat")
    found = cases_of("cylinder.air_standard.mixture_efficiency_factor", *_POINTS)
    sheet.case_points(0, found, lambda c: c.inputs["lambda_value"])
    sheet.finish(0, "lambda", "efficiency over that at lambda 1")
    return sheet
