"""Gas exchange of one cylinder, step by step: what a rule for the residual gas should follow.

From the opening of the exhaust valve to the closing of the intake valve, against manifolds at constant pressure: both
valves of lift and effective area of ``physics/cylinder/valves.py``, compressible orifice flow both ways, heat to the
walls by Woschni's coefficient for gas exchange, burned gas counted wherever it goes: what is pushed into the intake
port comes back first. No runner, no pulse. The integration is written apart from the package; only the two relations
of the valve and the one of the wall heat are taken from it. Run it to write result.csv.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.cylinder.valves import valve_effective_area, valve_lift_sine_squared
from boostwright.physics.cylinder.wall_heat import wall_heat_woschni

Array = NDArray[np.float64]

GAMMA, GAS = 1.33, 287.0
BORE, STROKE, ROD_RATIO = 0.083, 0.092, 1.6
SWEPT = 0.25 * np.pi * BORE**2 * STROKE
VALVES, CURTAIN, THROAT = 2, 0.65, 0.70
INTAKE, EXHAUST = (0.032, 0.0095), (0.028, 0.0090)
"""Diameter and lift of the valves [m]."""
WALL, FRESH, OPENING = 450.0, 330.0, 1500.0
"""Temperature of the walls, of the fresh gas as it comes in (warmed on its way), at exhaust opening [K]."""
EXCHANGE_FACTOR = 6.18
CAMS = {"mild": (7.0, 40.0, 45.0, 3.0), "usual": (0.0, 40.0, 45.0, 0.0), "sporting": (12.0, 55.0, 55.0, 12.0)}


@dataclass(frozen=True)
class Case:
    """Manifold pressures [Pa], engine speed [rad/s], compression ratio, all (n,); angles [deg] at 1 mm of lift: intake
    opening before top, closing after bottom, exhaust opening before bottom, closing after top dead centre."""

    pressure_im: Array
    pressure_em: Array
    speed: Array
    compression_ratio: Array
    cam: tuple[float, float, float, float]
    heat_factor: float = 1.0


def flux(ratio: Array) -> Array:
    """Flow function of the compressible orifice at throat over upstream pressure, choked below the critical ratio."""
    critical = (2.0 / (GAMMA + 1.0)) ** (GAMMA / (GAMMA - 1.0))
    r = np.clip(ratio, critical, 1.0)
    return np.asarray(
        r ** (1.0 / GAMMA) * np.sqrt(2.0 * GAMMA / (GAMMA - 1.0) * (1.0 - r ** ((GAMMA - 1.0) / GAMMA)))
    )


def travel(angle: float) -> float:
    """Of the piston from the top, over the stroke, at an angle [rad] after top dead centre."""
    side = np.sin(angle) / (2.0 * ROD_RATIO)
    return float(0.5 * (1.0 - np.cos(angle)) + ROD_RATIO * (1.0 - np.sqrt(1.0 - side * side)))


def lift_window(first: float, last: float, lift: float) -> tuple[float, float]:
    """Seat to seat [rad after the dead centre of exchange] of a valve above 1 mm between two angles [rad]."""
    inside = np.arcsin(np.sqrt(1e-3 / lift)) / np.pi
    duration = (last - first) / (1.0 - 2.0 * inside)
    middle = 0.5 * (first + last)
    return middle - 0.5 * duration, middle + 0.5 * duration


def area(angle: float, window: tuple[float, float], valve: tuple[float, float]) -> float:
    """Effective area [m2] of one side."""
    share = min(max((angle - window[0]) / (window[1] - window[0]), 0.0), 1.0)
    lift = valve_lift_sine_squared(share, valve[1])
    return VALVES * float(valve_effective_area(lift, valve[0], CURTAIN, THROAT))


def windows(cam: tuple[float, float, float, float]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Seat to seat of intake and exhaust."""
    opens, closes, ex_opens, ex_closes = np.radians(cam)
    intake = lift_window(-opens, np.pi + closes, INTAKE[1])
    exhaust = lift_window(-np.pi - ex_opens, ex_closes, EXHAUST[1])
    return intake, exhaust


def _through(size: float, p: Array, t: Array, outside: Array, t_out: Array) -> tuple[Array, Array]:
    """Flow in and out of the cylinder [kg/s] through one side."""
    inward = size * outside / np.sqrt(GAS * t_out) * flux(np.minimum(p / outside, 1.0))
    outward = size * p / np.sqrt(GAS * t) * flux(np.minimum(outside / p, 1.0))
    return inward, outward


def _wall_area(volume: Array) -> Array:
    return np.asarray(0.5 * np.pi * BORE**2 * 1.15 + 4.0 * volume / BORE)


@dataclass
class Found:
    """residual fraction at intake closing; pressure over that of the manifold and temperature [K] at top dead centre,
    burned mass in the cylinder then [kg]; temperature after blow-down without heat [K]; trapped mass [kg]; all (n,)."""

    residual: Array
    pressure_top: Array
    temperature_top: Array
    mass_top: Array
    adiabatic: Array
    trapped: Array


def exchange(case: Case, steps: int = 4000, rounds: int = 5) -> Found:
    """Until the charge repeats itself."""
    intake, exhaust = windows(case.cam)
    clearance = SWEPT / (case.compression_ratio - 1.0)
    start, end = exhaust[0], intake[1]
    volume_open = clearance + SWEPT * travel(start)
    mass = case.pressure_im * (SWEPT + clearance) / (GAS * FRESH) * 0.9
    store = np.zeros((2, *mass.shape))  # mass and burned mass in the intake port, and its temperature
    store_t = np.full(mass.shape, FRESH)
    found: Found | None = None
    omega, heat_cp, heat_cv = case.speed, GAMMA / (GAMMA - 1.0) * GAS, GAS / (GAMMA - 1.0)
    piston = STROKE * omega / np.pi
    step = (end - start) / steps
    for _ in range(rounds):
        m, burned, temperature = mass.copy(), mass.copy(), np.full(mass.shape, OPENING)
        p_open = m * GAS * OPENING / volume_open
        # what has gone over into the exhaust leaves at the cylinder's own temperature; that comes back
        out_t = OPENING * (case.pressure_em / p_open) ** ((GAMMA - 1.0) / GAMMA)
        adiabatic = out_t.copy()
        top: tuple[Array, Array, Array] | None = None
        for i in range(steps):
            angle = start + i * step
            volume = clearance + SWEPT * travel(angle)
            if top is None and angle >= 0.0:
                top = (m * GAS * temperature / volume / case.pressure_em, temperature.copy(), burned.copy())
            swelling = SWEPT * (travel(angle + 0.5 * step + 1e-5) - travel(angle + 0.5 * step - 1e-5)) / 2e-5
            p = m * GAS * temperature / volume
            a_in, a_ex = area(angle, intake, INTAKE), area(angle, exhaust, EXHAUST)
            has = store[0] > 0.0
            t_in = np.where(has, store_t, FRESH)
            share_in = np.where(has, store[1] / np.maximum(store[0], 1e-12), 0.0)
            in_i, out_i = (f / omega * step for f in _through(a_in, p, temperature, case.pressure_im, t_in))
            in_e, out_e = (f / omega * step for f in _through(a_ex, p, temperature, case.pressure_em, out_t))
            x = burned / m
            coefficient = wall_heat_woschni(BORE, p, temperature, EXCHANGE_FACTOR * piston)
            lost = case.heat_factor * coefficient * _wall_area(volume) * (temperature - WALL) / omega * step
            change = (in_i * t_in + in_e * out_t - (out_i + out_e) * temperature) * heat_cp
            energy = m * heat_cv * temperature + change - lost - p * swelling * step
            m = m + in_i + in_e - out_i - out_e
            burned = burned + share_in * in_i + in_e - x * (out_i + out_e)
            temperature = energy / (m * heat_cv)
            kept = np.maximum(store[0] - in_i, 0.0)
            store_t = np.where(
                out_i > 0.0, (kept * store_t + out_i * temperature) / (kept + out_i + 1e-15), store_t
            )
            store = np.stack([kept + out_i, kept * share_in + x * out_i])
            out_t = np.where(out_e > 0.0, temperature, out_t)
        mass = m
        assert top is not None
        found = Found(burned / m, *top, adiabatic, m)
    assert found is not None
    return found


PRESSURES = (
    (100e3, 100e3),
    (100e3, 106e3),
    (50e3, 100e3),
    (70e3, 100e3),
    (180e3, 180e3),
    (180e3, 250e3),
    (180e3, 170e3),
)
"""Intake and exhaust manifold [Pa]."""
SPEEDS = np.array([1000.0, 1500.0, 2000.0, 3000.0, 4000.0, 5000.0, 6000.0])
"""rpm."""
RATIO = 9.5
"""Compression ratio."""
HEAT_FACTORS = (0.0, 1.0)


def run(cam: str, pressure_im: float, pressure_em: float, heat_factor: float, steps: int = 4000) -> Found:
    """One cam between two pressures at SPEEDS."""
    ones = np.ones_like(SPEEDS)
    speed = SPEEDS * np.pi / 30.0
    case = Case(pressure_im * ones, pressure_em * ones, speed, RATIO * ones, CAMS[cam], heat_factor)
    return exchange(case, steps)


def write(path: Path) -> None:
    """The table of every cam, pressure, heat and speed."""
    with path.open("w", newline="", encoding="utf-8") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(
            ["cam", "heat_factor", "pressure_im_kpa", "pressure_em_kpa", "speed_rpm", "residual_fraction",
             "temperature_top_k", "temperature_without_heat_k", "trapped_mass_mg"]
        )  # fmt: skip
        for cam in CAMS:
            for heat in HEAT_FACTORS:
                for p_im, p_em in PRESSURES:
                    f = run(cam, p_im, p_em, heat)
                    columns = (SPEEDS, f.residual, f.temperature_top, f.adiabatic, f.trapped)
                    for speed, x, top, without, mass in zip(*columns, strict=True):
                        table.writerow(
                            [cam, heat, p_im / 1e3, p_em / 1e3, speed, f"{x:.4f}", f"{top:.1f}", f"{without:.1f}",
                             f"{1e6 * mass:.2f}"]
                        )  # fmt: skip


if __name__ == "__main__":
    write(Path(__file__).with_name("result.csv"))
