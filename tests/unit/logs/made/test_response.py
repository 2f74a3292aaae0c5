"""Lags, transport and the lambda probe against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.made.instrument import Probe, Transport
from boostwright.logs.made.response import (
    first_order,
    left_at,
    probe_time_constant,
    quantised,
    swayed_lambda,
)
from boostwright.physics.heat.probe import first_order_response


def test_step_follows_the_exponential() -> None:
    step, tau = 0.001, 0.35
    time = np.arange(0.0, 3.0, step)
    value = np.where(time < 0.5, 300.0, 900.0)
    lagged = first_order(value, step, tau)
    after = time > 0.502
    # the value rises over one sample, so that the step stands half a sample before its first
    want = first_order_response(300.0, 900.0, time[after] - 0.5 + 0.5 * step, tau)
    assert np.abs(lagged[after] - want).max() < 1e-3


@pytest.mark.parametrize("tau", [0.02, 0.7])
def test_ramp_lies_a_time_constant_behind(tau: float) -> None:
    step = 0.001
    time = np.arange(0.0, 8.0, step)
    lagged = first_order(50.0 * time, step, tau)
    exact = 50.0 * (time - tau + tau * np.exp(-time / tau))
    assert np.abs(lagged - exact).max() < 1e-9


def test_sine_has_the_gain_and_phase_of_first_order() -> None:
    step, tau, omega = 0.0005, 0.2, 7.0
    time = np.arange(0.0, 20.0, step)
    lagged = first_order(np.sin(omega * time), step, tau)
    gain, phase = 1.0 / np.hypot(1.0, omega * tau), np.arctan(omega * tau)
    late = time > 5.0
    assert np.abs(lagged - gain * np.sin(omega * time - phase))[late].max() < 1e-5


def test_one_time_constant_and_many_equal_ones_agree() -> None:
    step = 0.001
    value = np.random.default_rng(3).normal(0.0, 1.0, 60_000).cumsum()
    for tau in (0.0005, 0.05, 2.0):
        one = first_order(value, step, tau)
        many = first_order(value, step, np.full(value.size, tau))
        assert np.abs(one - many).max() < 1e-9 * np.abs(value).max()


def test_time_constant_changes_on_the_way() -> None:
    """Against the plain loop over the same steps."""
    step = 0.002
    time = np.arange(0.0, 20.0, step)
    value, tau = np.sin(time) + (time > 10.0), 0.3 + 0.25 * np.sin(2.0 * time)
    want = np.empty_like(value)
    want[0] = value[0]
    for i in range(1, value.size):
        keep = np.exp(-step / tau[i])
        mean = (1.0 - keep) * tau[i] / step
        want[i] = keep * want[i - 1] + (mean - keep) * value[i - 1] + (1.0 - mean) * value[i]
    assert np.abs(first_order(value, step, tau) - want).max() < 1e-10


def test_no_lag_lets_it_through() -> None:
    value = np.array([1.0, 5.0, 2.0])
    assert (first_order(value, 0.01, 0.0) == value).all()


def test_probe_slows_with_the_root_of_flow() -> None:
    probe = Probe(0.8, 0.2, 30.0)
    tau = probe_time_constant(probe, np.array([0.2, 0.05, 0.0]))
    assert tau == pytest.approx([0.8, 1.6, 30.0])
    assert probe_time_constant(Probe(0.8), np.array([0.1])) == 0.8


def test_plug_flow_delay_shortens_with_flow() -> None:
    time = np.arange(0.0, 20.0, 0.001)
    flow = np.where(time < 10.0, 0.02, 0.2)
    left = left_at(time, Transport(0.05, 0.2, 0.03), flow)
    delay = time - left
    assert delay[5000] == pytest.approx(0.5 + 0.03, abs=2e-3)  # a tenth of the flow, ten times the delay
    assert delay[15000] == pytest.approx(0.05 + 0.03, abs=2e-3)
    assert (np.diff(left) > -1e-9).all()
    # what is in the pipe weighs the same at any moment
    passed = np.cumsum(flow) * 0.001
    inside = np.interp(time, time, passed) - np.interp(left + 0.03, time, passed)
    assert np.abs(inside[2000:] - 0.05 * 0.2).max() < 3e-4


def test_pressure_pushes_lambda_away_from_one() -> None:
    shown = swayed_lambda(np.array([0.8, 1.0, 1.2]), np.full(3, 200e3), 47e3)
    assert shown[0] < 0.8
    assert shown[1] == pytest.approx(1.0)
    assert shown[2] > 1.2
    # at the pressure of calibration nothing is pushed
    assert swayed_lambda(np.array([0.8]), np.array([101.3e3]), 47e3) == pytest.approx([0.8])
    # 2 bar and k = 0.47 bar raise the pump current by 1.1854, and 1 - 1/lambda with it
    assert (1.0 - 1.0 / shown[0]) / (1.0 - 1.0 / 0.8) == pytest.approx(1.184, abs=0.003)


def test_resolution() -> None:
    assert quantised(np.array([1.26, -1.26, 3.0]), 0.5) == pytest.approx([1.5, -1.5, 3.0])
    assert quantised(np.array([1.26]), 0.0) == pytest.approx([1.26])
