"""Head over work: a machine whose work is a straight line over exit flow is known from a few points anywhere."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import BSpline

from boostwright.cards.digitise.axes import Mark, fit_axes
from boostwright.cards.digitise.family import Net
from boostwright.cards.digitise.splines import rows
from boostwright.cards.digitise.work import Forms, WorkModel

SPEEDS = np.array([0.5, 0.7, 0.85, 1.0])
U = np.linspace(0.0, 1.0, 15)
GAS = 1005.0 * 288.15


def machine(speed: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Flow [kg/s], pressure ratio and efficiency of a line of 450 m/s tip speed times ``speed``."""
    bend = np.sin(0.5 * np.pi * U)
    head = (0.58 + 0.10 * U - 0.30 * U**3) * (450.0 * speed) ** 2
    ratio = (1.0 + head / GAS) ** 3.5
    flow = speed * (0.10 + 0.14 * bend) * (1.0 + 0.3 * (speed - 0.7))
    exit_flow = flow / speed / np.sqrt(ratio)
    work = (0.90 - 1.4 * exit_flow) * (450.0 * speed) ** 2
    return flow, ratio, head / work


def net_and_lines(miss: float = 0.0) -> tuple[Net, list[np.ndarray], list[np.ndarray], np.ndarray]:
    """Net, shares and pixels of the lines' points, 2 000 pixels a kg/s and 250 a unit of ratio; efficiency (4, n)."""
    rng = np.random.default_rng(2)
    marks = [Mark((2000.0 * x, 1000.0 - 250.0 * y), x, y) for x in (0.0, 0.3) for y in (1.0, 4.0)]
    axes = fit_axes(marks)
    pixels, shares, efficiency = [], [], []
    for speed in SPEEDS:
        flow, ratio, eta = machine(float(speed))
        points = np.column_stack([2000.0 * flow, 1000.0 - 250.0 * ratio])
        pixels.append(points + miss * rng.uniform(-1.0, 1.0, points.shape))
        length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        shares.append(length / length[-1])
        efficiency.append(eta)
    return Net(axes, list(SPEEDS), pixels), shares, pixels, np.array(efficiency)


@pytest.mark.parametrize(("miss", "allowed"), [(0.0, 0.003), (1.0, 0.01)])
def test_a_dozen_places_give_the_whole_machine(miss: float, allowed: float) -> None:
    net, shares, pixels, efficiency = net_and_lines(miss)
    forms = Forms(net, shares, pixels, max(miss * 0.58, 0.15))
    places = np.array([[shares[k][i], net.levels[k]] for k in range(4) for i in (3, 6, 9)])
    values = np.array([efficiency[k][i] for k in range(4) for i in (3, 6, 9)])
    model = WorkModel(forms, places, values, np.full(12, 0.001))
    for k in range(4):
        found = model.at(np.column_stack([shares[k], np.full(len(U), net.levels[k])]))
        assert (
            np.abs(found - efficiency[k]).max() < allowed * 1.5
        )  # ends are two points beyond what was given
        assert np.sqrt(np.mean((found - efficiency[k]) ** 2)) < allowed
        assert np.ptp(efficiency[k]) > 0.1


def test_the_splines_are_those_of_a_library() -> None:
    low, high, pieces = -0.11, 1.11, 5
    step = (high - low) / pieces
    knots = low + step * np.arange(-3, pieces + 4)
    x = np.linspace(-0.1, 1.1, 23)
    along = BSpline.design_matrix(x, knots, 3).toarray()
    both = (along[:, :, None] * along[:, None, :]).reshape(23, -1)
    assert rows(np.column_stack([x, x]), (pieces + 3, pieces + 3)) == pytest.approx(both, abs=1e-12)
