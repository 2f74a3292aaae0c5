"""A published compressor model laid out as speed lines: the surface of a card finds points between the lines."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from boostwright.components.compressor import CompressorSurface, SpeedLine, surface_of_lines
from boostwright.physics.turbo.corrected import (
    REFERENCE_PRESSURE,
    REFERENCE_TEMPERATURE,
    corrected_flow,
    corrected_speed,
)
from studies.compressor_interpolation.leave_one_out import evaluate

Array = NDArray[np.float64]

# Sivertsson and Eriksson, Modelling for optimal control, SIMS 2014: model and parameter files (read).
RADIUS, PSI_MAX = 0.0328, 1.6380
FLOW = (0.0419, 0.3416, 0.1918)  # a2, a1, a0
BEST, PHI_BEST, X_BEST = 0.7915, 0.0598, 0.5106
Q1, Q2, Q3 = 79.2671, 0.7985, -1.4358
CP, GAMMA, GAS = 1011.0, 1.3964, 287.0
P_REF, T_REF, P_IN, T_IN = 101110.0, 298.4636, 99510.0, 295.5297
SURGE = (12.3530, 0.6861)  # pressure ratio over corrected flow, and at none


def published(speed: float, ratio: Array) -> tuple[float, float, Array, Array]:
    """Highest ratio and flow of a speed [rad/s]; mass flow [kg/s] and efficiency at ratios: the model as printed."""
    x = speed / np.sqrt(T_IN / T_REF) / 15000.0
    head = (speed / np.sqrt(T_IN / T_REF)) ** 2 * RADIUS**2 * PSI_MAX / (2.0 * CP * T_IN)
    highest = (head + 1.0) ** (GAMMA / (GAMMA - 1.0))
    widest = FLOW[0] * x**2 + FLOW[1] * x + FLOW[2]
    flow = widest * np.sqrt(1.0 - (ratio / highest) ** 2) * (P_IN / P_REF) / np.sqrt(T_IN / T_REF)
    phi = flow * GAS * T_IN / (speed * 8.0 * RADIUS**3 * P_IN) - PHI_BEST
    efficiency = BEST - (Q1 * phi**2 + 2.0 * Q3 * phi * (x - X_BEST) + Q2 * (x - X_BEST) ** 2)
    return float(highest), float(widest), flow, efficiency


def line(speed: float) -> SpeedLine:
    """One speed of the published model, from its surge line down to where it loses efficiency, as a card has it."""
    ratios = np.linspace(0.999, 0.55, 400) * published(speed, np.array([1.0]))[0]
    _, _, flow, efficiency = published(speed, ratios)
    starred = corrected_flow(flow, T_IN, P_IN, T_REF, P_REF)
    kept = (ratios <= SURGE[0] * starred + SURGE[1]) & (ratios > 1.02) & (efficiency > 0.35)
    chosen = np.flatnonzero(kept)[np.linspace(0, kept.sum() - 1, 14).astype(int)]
    flow = corrected_flow(flow[chosen], T_IN, P_IN, REFERENCE_TEMPERATURE, REFERENCE_PRESSURE)
    return SpeedLine(
        float(corrected_speed(speed, T_IN, REFERENCE_TEMPERATURE)), flow, ratios[chosen], efficiency[chosen]
    )


@pytest.fixture(scope="module")
def surface() -> CompressorSurface:
    lines = [line(speed) for speed in (5000.0, 7000.0, 9000.0, 10000.0, 11500.0, 12500.0)]
    return surface_of_lines(lines, lines[-1].speed, "highest line", 2.0 * RADIUS)


# speed [rad/s], ratio; highest ratio, widest flow [kg/s], mass flow [kg/s], efficiency: worked out apart from the files
POINTS = [
    ("TM-29", 6000.0, 1.3, 1.4316, 0.3359, 0.1391, 0.7706),
    ("TM-30", 8000.0, 1.5, 1.8489, 0.3869, 0.2237, 0.7447),
    ("TM-31", 11000.0, 2.2, 2.9569, 0.4663, 0.3082, 0.7180),
    ("TM-32", 12000.0, 2.4, 3.5156, 0.4935, 0.3567, 0.6769),
]


@pytest.mark.parametrize(("row", "speed", "ratio", "highest", "widest", "flow", "efficiency"), POINTS)
def test_the_model_is_the_published_one(
    row: str, speed: float, ratio: float, highest: float, widest: float, flow: float, efficiency: float
) -> None:
    found = published(speed, np.array([ratio]))
    assert found[:2] == pytest.approx((highest, widest), rel=1e-3), row
    assert (found[2][0], found[3][0]) == pytest.approx((flow, efficiency), rel=1e-3), row


@pytest.mark.parametrize(("row", "speed", "ratio", "highest", "widest", "flow", "efficiency"), POINTS)
def test_the_surface_finds_a_speed_that_is_not_on_its_lines(
    surface: CompressorSurface,
    row: str,
    speed: float,
    ratio: float,
    highest: float,
    widest: float,
    flow: float,
    efficiency: float,
) -> None:
    """Between lines 1 000 to 2 000 rad/s apart: within what is asked of inner lines of measured maps."""
    own = float(corrected_speed(speed, T_IN, REFERENCE_TEMPERATURE))
    through = float(corrected_flow(flow, T_IN, P_IN, REFERENCE_TEMPERATURE, REFERENCE_PRESSURE))
    made, good = evaluate(surface, own, np.array([through]))
    assert made[0] == pytest.approx(ratio, rel=0.01), row
    assert good[0] == pytest.approx(efficiency, abs=0.01), row
