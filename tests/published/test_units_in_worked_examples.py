"""Small sums of the trade worked through the program's own units: what a published example mixes must come out."""

from __future__ import annotations

import math

import pytest

from boostwright.physics.cylinder.breathing import mass_flow_speed_density
from boostwright.physics.gas.standard_atmosphere import standard_pressure, standard_temperature
from boostwright.physics.turbo.compressor_similarity import HEAT_CAPACITY_RATIO_AIR, tip_speed
from boostwright.physics.turbo.corrected import mass_flow_of_volume_flow
from boostwright.units import parse_quantity, to_si


def test_pounds_a_minute_and_cubic_feet() -> None:
    """TM-09: 1 lb/min; 1 CFM of air of 1.2 kg/m3 (which 101.325 kPa gives at 294.15 K)."""
    assert to_si(1.0, "mass_flow", "lb/min") == pytest.approx(0.00755987, abs=5e-9)
    foot = to_si(1.0, "volume_flow", "CFM")
    assert foot * 1.2 == pytest.approx(0.000566, abs=5e-7)
    warm = 101325.0 / (287.05 * 1.2)
    assert float(mass_flow_of_volume_flow(foot, warm, 101325.0)) == pytest.approx(foot * 1.2, rel=1e-9)


def test_pressure_ratio_of_the_worked_corrected_flow_example() -> None:
    """TM-07: 30 psi of boost over an inlet of 11.5 psi is a ratio of 3.61, where 14.7 would give 3.04."""
    boost, inlet = parse_quantity("30 psi gauge", "pressure"), parse_quantity("11.5 psi absolute", "pressure")
    assert (boost.value_si + inlet.value_si) / inlet.value_si == pytest.approx(3.61, abs=5e-3)


def test_what_a_falling_barometer_leaves_of_the_air() -> None:
    """PC-26, PC-27: 180 kPa held absolute keeps all of the air; 81 kPa gauge on a spring 0.9500 of it, 99 to 90 kPa."""

    def air(pressure_im: float) -> float:
        return float(mass_flow_speed_density(0.95, pressure_im, 320.0, 2.5e-3, 400.0, 287.05))

    assert air(180e3) / air(99e3 + 81e3) == pytest.approx(1.0, rel=1e-12)
    assert air(90e3 + 81e3) / air(99e3 + 81e3) == pytest.approx(0.9500, abs=5e-5)


def test_exponent_of_the_troposphere() -> None:
    """AT-12: 5.255880, read back from two heights."""
    low, high = -400.0, 3000.0
    pressures = math.log(standard_pressure(high) / standard_pressure(low))
    temperatures = math.log(standard_temperature(high) / standard_temperature(low))
    assert pressures / temperatures == pytest.approx(5.255880, abs=1e-6)


def test_wheel_speed_of_the_head_example() -> None:
    """TM-39: 56 mm at 120 000 rpm in air of 298.15 K: 351.86 m/s, 1.0166 of the speed of sound (Jensen's Ma)."""
    speed = float(tip_speed(to_si(120e3, "rotational_speed", "rpm"), 0.056))
    assert speed == pytest.approx(351.86, abs=0.005)
    sound = math.sqrt(HEAT_CAPACITY_RATIO_AIR * 287.05 * 298.15)
    assert speed / sound == pytest.approx(1.0166, abs=1e-3)
