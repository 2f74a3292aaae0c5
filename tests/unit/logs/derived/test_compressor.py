"""The compressor's point against worked examples."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boostwright.logs.derived.compressor_map import choke_flow, speed_from_map, surge_flow
from boostwright.logs.derived.facts import Facts
from tests.support.steady_log import compressor, taken, value_of

AIR = {"engine_speed": 500.0, "pressure_1_static": 96e3, "temperature_1": 305.0, "mass_flow_air": 0.20}


def test_corrected_flow_to_the_reference_of_the_card() -> None:
    """0.20 kg/s at 96 kPa and 305 K is 0.21077 kg/s at 100 kPa and 298 K (definition, worked out by hand)."""
    facts = Facts(compressor=compressor())
    assert value_of("corrected_flow_card", AIR, facts) == pytest.approx(0.21077, rel=1e-4)
    # to 101.325 kPa and 288.15 K, the map's own: 0.20 sqrt(305/288.15) 101.325/96
    assert value_of("corrected_flow", AIR, facts) == pytest.approx(0.217178, rel=1e-4)


def test_corrected_flow_of_a_public_worked_example() -> None:
    """45 lb/min at 11.5 psia and 110 degF, corrected to 14.7 psia and 68 degF: 59.79 lb/min printed, 59.77 exact."""
    pound, psi = 0.45359237 / 60.0, 6894.757
    log = AIR | {
        "mass_flow_air": 45.0 * pound,
        "pressure_1_static": 11.5 * psi,
        "temperature_1": 569.67 / 1.8,
    }
    facts = Facts(compressor=compressor(14.7 * psi, 527.67 / 1.8))
    assert value_of("corrected_flow_card", log, facts) / pound == pytest.approx(59.79, rel=1e-3)


def test_two_compressors_share_the_air() -> None:
    twice = replace(compressor(), count=2)
    one = value_of("corrected_flow", AIR, Facts(compressor=compressor()))
    assert value_of("corrected_flow", AIR, Facts(compressor=twice)) == pytest.approx(0.5 * one)


def test_corrected_speed() -> None:
    facts = Facts(compressor=compressor(temperature=298.0))
    log = {"shaft_speed": 12e3, "temperature_1": 305.0}
    assert value_of("corrected_speed_card", log, facts) == pytest.approx(12e3 * np.sqrt(298.0 / 305.0))
    assert value_of("corrected_speed", log) == pytest.approx(12e3 * np.sqrt(288.15 / 305.0))


@pytest.mark.parametrize(
    ("inlet", "ratio", "outlet", "efficiency"),
    [
        (298.15, 2.0, 384.93, 0.75),
        (298.15, 2.5, 424.91, 0.70),
        (298.15, 3.0, 454.04, 0.70),
    ],
)
def test_efficiency_with_real_air(inlet: float, ratio: float, outlet: float, efficiency: float) -> None:
    """Cantera 3.2 with temperature-dependent heat: outlet temperature of a known efficiency, turned back."""
    log = {
        "temperature_1": inlet,
        "temperature_2": outlet,
        "pressure_1_static": 1e5,
        "pressure_2_static": ratio * 1e5,
    }
    found = taken("compressor_efficiency", log)
    assert np.median(found.value) == pytest.approx(efficiency, abs=2e-3)


def test_efficiency_with_constant_heat_lies_close() -> None:
    """25 to 112 degC at a ratio of 2: 0.7506 with a constant 1.4 (definition); real air makes 0.6 % of it."""
    log = {
        "temperature_1": 298.15,
        "temperature_2": 385.15,
        "pressure_1_static": 1e5,
        "pressure_2_static": 2e5,
    }
    assert value_of("compressor_efficiency", log) == pytest.approx(0.7506, rel=0.007)


def test_power() -> None:
    """0.3 kg/s from 298.15 K, ratio 2.5, efficiency 0.7, cp 1005: 38.43 kW (energy balance)."""
    outlet = 298.15 + 38430.0 / (0.3 * 1005.0)
    log = {"mass_flow_air": 0.3, "temperature_1": 298.15, "temperature_2": outlet}
    assert value_of("compressor_power", log) == pytest.approx(38430.0, rel=6e-3)  # 1009.5 for 1005


def test_map_is_read_back() -> None:
    """Speed, surge and choke of lines that follow a formula."""
    lines = compressor()
    speed = np.array([5e3, 8765.0, 12e3])
    flow = 0.6 * speed / 3e4
    ratio = 1.0 + (speed / 1e4) ** 2 * (1.0 - 0.25 * 0.36)
    assert speed_from_map(lines, flow, ratio) == pytest.approx(speed, rel=3e-3)
    assert surge_flow(lines, speed) == pytest.approx(0.3 * speed / 3e4, rel=1e-6)
    assert choke_flow(lines, speed) == pytest.approx(speed / 3e4, rel=1e-6)
    assert np.isnan(speed_from_map(lines, np.array([0.05]), np.array([9.0]))).all()
    assert np.isnan(surge_flow(lines, np.array([1e3, 2e4]))).all()


def test_margins_by_definition() -> None:
    speed, flow = 9e3 / np.sqrt(288.15 / 300.0), 0.2
    log = {
        "engine_speed": 500.0,
        "mass_flow_air": flow * np.sqrt(288.15 / 300.0) * 98e3 / 101325.0,
        "pressure_1_static": 98e3,
        "temperature_1": 300.0,
        "shaft_speed": speed,
    }
    facts = Facts(compressor=compressor(limit=15e3))
    assert value_of("surge_margin", log, facts) == pytest.approx((flow - 0.09) / flow, abs=1e-6)
    assert value_of("choke_margin", log, facts) == pytest.approx((0.3 - flow) / 0.3, abs=1e-6)
    assert value_of("speed_margin", log, facts) == pytest.approx(1.0 - speed / 15e3, abs=1e-9)


def test_margins_without_a_shaft_speed_say_so() -> None:
    log = AIR | {"pressure_2_static": 1.6e5}
    facts = Facts(compressor=compressor())
    found = taken("surge_margin", log, facts)
    assert "speed-by-map" in found.flags
    assert np.isfinite(found.value).all()
    with_speed = AIR | {"pressure_2_static": 1.6e5, "shaft_speed": 9e3}
    assert "speed-by-map" not in taken("surge_margin", with_speed, facts).flags
