"""What a probe shows: each part against what the heat balance says of it, and conduction against a numerical fin."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_bvp
from sound_build import SOUND, write_build

from boostwright.build import Section, read_build
from boostwright.components.probe import ProbeReading, gas_at_probe, probe_reading, pulsed_reading
from boostwright.physics.heat import probe

GAS, PRESSURE, FLOW, CONSTANT = (np.array([value]) for value in (1200.0, 2.2e5, 0.20, 289.0))
BORE = 0.050


def section_with(tmp_path, *lines: str) -> Section:  # type: ignore[no-untyped-def]
    added = "\n".join(("[probe]", *lines))
    return read_build(write_build(tmp_path / "b", f"{SOUND}\n{added}\n"))["probe"]


def read(section: Section) -> ProbeReading:
    return probe_reading(section, GAS, PRESSURE, FLOW, CONSTANT, BORE)


def test_the_parts_add_up_to_what_the_reading_lacks(tmp_path) -> None:  # type: ignore[no-untyped-def]
    found = read(section_with(tmp_path, 'probe_length = "30 mm"', 'wall_depth = "20 mm"'))
    below = found.recovery + found.radiation + found.conduction + found.cycle
    assert float(GAS[0] - found.reading[0]) == pytest.approx(float(below[0]), abs=1e-9)
    assert all(
        float(part[0]) > 0.0 for part in (found.recovery, found.radiation, found.conduction, found.cycle)
    )


def test_a_thin_bright_fast_probe_on_a_hot_wall_shows_the_gas(tmp_path) -> None:  # type: ignore[no-untyped-def]
    section = section_with(
        tmp_path,
        'diameter = "0.2 mm"',
        "emissivity = 0.0",
        'cycle_offset = "0 K"',
        'wall_temperature_difference = "0 K"',
    )
    found = read(section)
    assert float((GAS - found.reading)[0]) == pytest.approx(float(found.recovery[0]), abs=1e-9)


@pytest.mark.parametrize("reach", [3.0, 9.0, 20.0])
def test_deeper_loses_less_along_the_sheath(reach: float, tmp_path) -> None:  # type: ignore[no-untyped-def]
    near = read(section_with(tmp_path, f'probe_length = "{20 + reach} mm"', 'wall_depth = "20 mm"'))
    deep = read(section_with(tmp_path, f'probe_length = "{25 + reach} mm"', 'wall_depth = "20 mm"'))
    assert float(deep.conduction[0]) < float(near.conduction[0])
    assert float(near.conduction[0]) < 150.0  # never below the wall


def test_steady_flow_is_the_limit_of_pulses_that_fill_the_cycle(tmp_path) -> None:  # type: ignore[no-untyped-def]
    section = section_with(tmp_path, 'diameter = "3 mm"')
    steady = read(section)
    whole = pulsed_reading(section, GAS, PRESSURE, FLOW, CONSTANT, BORE, 1.0)
    assert whole.reading == steady.reading
    third = pulsed_reading(section, GAS, PRESSURE, FLOW / 5.0, CONSTANT, 0.033, 0.31)
    velocity = 0.04 / 0.31 * 289.0 * 1200.0 / (2.2e5 * math.pi / 4.0 * 0.033**2)
    assert float(third.recovery[0]) == pytest.approx(0.32 * velocity**2 / 2500.0, rel=1e-9)


def test_gas_in_a_runner_lies_between_its_ends(tmp_path) -> None:  # type: ignore[no-untyped-def]
    build = read_build(
        write_build(tmp_path / "b", f'{SOUND}\n[probe]\nplace = "runner"\nport_distance = "75 mm"\n')
    )
    found = gas_at_probe(build["probe"], build["exhaust_manifold"], np.array([1200.0]), np.array([1160.0]))
    assert float(found[0]) == pytest.approx(1190.0)


@pytest.mark.parametrize(("length", "coefficient"), [(5e-3, 400.0), (9e-3, 740.0), (20e-3, 900.0)])
def test_conduction_is_that_of_a_fin_solved_by_an_independent_library(
    length: float, coefficient: float
) -> None:
    """SciPy's boundary-value solver on k T'' = 4 h (T - T_gas) / d, wall at one end, no heat through the other."""
    gas, wall, diameter, conductivity = 1150.0, 1050.0, 3e-3, 15.0

    fins = (
        4.0 * coefficient * length**2 / (conductivity * diameter)
    )  # place over length, excess over that at the wall

    def slope(x, y):  # type: ignore[no-untyped-def]
        return np.vstack([y[1], fins * y[0]])

    places = np.linspace(0.0, 1.0, 101)
    first = np.vstack([np.ones(101), np.zeros(101)])
    solved = solve_bvp(
        slope, lambda a, b: np.array([a[0] - 1.0, b[1]]), places, first, tol=1e-8, max_nodes=20000
    )
    assert solved.success
    expected = (gas - wall) * float(solved.sol(1.0)[0])
    found = float(probe.conduction_error(gas, wall, diameter, length, conductivity, coefficient))
    assert found == pytest.approx(expected, abs=1e-4)


def test_conduction_at_its_ends() -> None:
    assert float(probe.conduction_error(1200.0, 1000.0, 3e-3, 0.0, 15.0, 500.0)) == 200.0
    assert float(probe.conduction_error(1200.0, 1000.0, 3e-3, 5.0, 15.0, 500.0)) < 1e-9
