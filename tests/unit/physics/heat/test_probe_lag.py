"""The lag by flow against the lag worked out anew from the heat transfer at that flow."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.errors import OutOfDomain
from boostwright.physics.heat.probe import lag_wire, nusselt_scadron_warshawsky
from boostwright.physics.heat.probe_lag import lag_at_flow


def lag(mass_flow: float, pressure: float) -> float:
    """A 1.5 mm sheath in a pipe of 44 mm, gas of 1100 K."""
    area, density = 1.52e-3, pressure / (289.0 * 1100.0)
    speed = mass_flow / (density * area)
    reynolds = density * speed * 1.5e-3 / 4.4e-5
    return float(
        lag_wire(1.5e-3, 8600.0, 530.0, float(nusselt_scadron_warshawsky(reynolds, 0.7)) * 0.073 / 1.5e-3)
    )


@given(st.floats(0.005, 0.4), st.floats(0.005, 0.4), st.floats(1e5, 3e5))
def test_it_is_what_heat_transfer_makes_of_it_at_any_pressure(
    flow: float, known: float, pressure: float
) -> None:
    assert lag_at_flow(lag(known, 1.2e5), flow, known, 0.5) == pytest.approx(lag(flow, pressure), rel=1e-9)


def test_no_flow_is_refused() -> None:
    with pytest.raises(OutOfDomain):
        lag_at_flow(1.0, 0.0, 0.2, 0.5)
