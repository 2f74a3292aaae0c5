"""Air flow by each route against hand calculations, and whether two routes agree."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boostwright.logs.derived.agreement import agreements
from boostwright.logs.derived.catalogue import work_out
from boostwright.logs.derived.facts import Facts, InjectorFacts
from boostwright.logs.series import ChannelsInMemory, Series
from tests.support.steady_log import RPM, day, engine, petrol, steady, taken, value_of, with_taps

SPEED_DENSITY = {
    "engine_speed": 7000 * RPM,
    "pressure_im": 200e3,
    "temperature_im": 318.15,
    "pressure_em_static": 200e3,
}


def test_speed_density_by_hand() -> None:
    """2.0 litres, 7000 rpm, 200 kPa, 45 degC, filling 0.95: 0.243 kg/s dry (hand calculation), 0.4 % less humid."""
    facts = Facts(engine=engine(0.95, 2.0e-3))
    assert value_of("mass_flow_air_speed_density", SPEED_DENSITY, facts) == pytest.approx(
        0.243 * 287.05 / 288.2, rel=2e-3
    )


def test_back_pressure_takes_filling_away_as_in_the_model() -> None:
    """Eriksson's form at p_em/p_im = 1.5, 9:1: (9 - 1.5^(1/1.3))/8, worked out by hand: 0.9542."""
    facts = Facts(engine=engine(0.95, 2.0e-3))
    log = SPEED_DENSITY | {"pressure_em_static": 300e3}
    ratio = value_of("mass_flow_air_speed_density", log, facts) / value_of(
        "mass_flow_air_speed_density", SPEED_DENSITY, facts
    )
    assert ratio == pytest.approx((9.0 - 1.5 ** (1.0 / 1.3)) / 8.0, rel=1e-6)
    assert ratio == pytest.approx(0.9542, rel=1e-4)


def test_a_tap_s_head_counts_in_the_back_pressure() -> None:
    """With a bore the total stands higher than the tap reads, so less air gets in."""
    facts = Facts(engine=engine(0.95, 2.0e-3))
    narrow = with_taps(facts, pressure_em=0.04)
    assert value_of("mass_flow_air_speed_density", SPEED_DENSITY, narrow) < value_of(
        "mass_flow_air_speed_density", SPEED_DENSITY, facts
    )


def test_without_exhaust_pressure_it_is_assumed_and_said() -> None:
    log = {name: value for name, value in SPEED_DENSITY.items() if name != "pressure_em_static"}
    found = taken("mass_flow_air_speed_density", log, Facts(engine=engine()))
    assert "assumed" in found.flags["back-pressure"]
    assert "back-pressure assumed" in found.parts


def test_fuel_route_by_hand() -> None:
    """17 g/s of fuel at lambda 0.85 and a stoichiometric ratio of 14.6, 0.6 % of vapour: 0.2122 kg/s."""
    log = {"mass_flow_fuel": 0.017, "lambda": 0.85, "engine_speed": 600.0}
    assert value_of("mass_flow_air_fuel", log, Facts(fuel=petrol())) == pytest.approx(0.21224, rel=1e-4)
    by_volume = {"volume_flow_fuel": 0.017 / 745.0, "lambda": 0.85}
    assert value_of("mass_flow_air_fuel", by_volume, Facts(fuel=petrol())) == pytest.approx(0.21224, rel=1e-4)


def test_air_fuel_ratio_of_an_instrument_is_brought_to_lambda() -> None:
    found = taken("lambda", {"air_fuel_ratio": 12.495}, Facts(fuel=petrol(14.6)))
    assert np.median(found.value) == pytest.approx(0.85)
    assert "another fuel" in found.flags["stoichiometric"]
    assert found.parts["ratio that the instrument counts with"][0] != 0.0


def _injectors(over: str = "manifold") -> InjectorFacts:
    return InjectorFacts(
        count=4,
        flow=550e-6 / 60.0 * 684.0,
        flow_density=684.0,
        flow_pressure=3e5,
        share=0.03,
        voltage=np.array([10.0, 14.0]),
        dead_time=np.array([1.6e-3, 0.9e-3]),
        usual_voltage=14.0,
        dead_time_error=50e-6,
        pulses=1,
        rail_pressure=3e5,
        rail_over=over,
    )


def test_injector_route_by_hand() -> None:
    """Four of 550 cm3/min (n-heptane, 3 bar), petrol, 12 ms at 6000 rpm, dead 0.9 ms: worked out from scratch."""
    held_open = 550e-6 / 60.0 * 684.0 * np.sqrt(745.0 / 684.0)
    cycles = 6000.0 / 120.0
    fuel = 4.0 * held_open * (12e-3 - 0.9e-3) * cycles
    log = {"injector_time": 12e-3, "engine_speed": 6000 * RPM, "lambda": 0.85, "voltage_battery": 14.0}
    facts = Facts(fuel=petrol(), injectors=_injectors())
    assert value_of("mass_flow_air_injectors", log, facts) == pytest.approx(
        fuel * 0.85 * 14.6 * 1.006, rel=1e-6
    )
    assert value_of("mass_flow_fuel", log, facts) == pytest.approx(fuel, rel=1e-6)
    duty = {k: v for k, v in log.items() if k != "injector_time"} | {"injector_duty": 12e-3 * cycles}
    assert value_of("mass_flow_fuel", duty, facts) == pytest.approx(fuel, rel=1e-6)


def test_rail_that_does_not_follow_boost_gives_less() -> None:
    log = {
        "injector_time": 12e-3,
        "engine_speed": 6000 * RPM,
        "lambda": 0.85,
        "voltage_battery": 14.0,
        "pressure_im": 200e3,
    }
    fixed = Facts(fuel=petrol(), injectors=_injectors("air"), day=day(100e3))
    follows = Facts(fuel=petrol(), injectors=_injectors("manifold"), day=day(100e3))
    ratio = value_of("mass_flow_fuel", log, fixed) / value_of("mass_flow_fuel", log, follows)
    assert ratio == pytest.approx(np.sqrt(2.0 / 3.0), rel=1e-6)
    logged = log | {"fuel_pressure": 400e3}
    found = value_of("mass_flow_fuel", logged, fixed, gauge=("fuel_pressure",))
    assert found / value_of("mass_flow_fuel", log, follows) == pytest.approx(1.0, rel=1e-6)


def test_filling_turned_back() -> None:
    """The filling that a meter shows is the one that speed and density would need."""
    facts = Facts(engine=replace(engine(0.95, 2.0e-3), temperature_exponent=0.0))
    flow = value_of("mass_flow_air_speed_density", SPEED_DENSITY, facts)
    found = value_of("volumetric_efficiency", SPEED_DENSITY | {"mass_flow_air": flow}, facts)
    assert found == pytest.approx(0.95, rel=1e-9)


@pytest.mark.parametrize(("meter", "beyond"), [(1.0, False), (0.96, False), (0.85, True), (1.2, True)])
def test_routes_are_held_against_what_they_can_be_off(meter: float, beyond: bool) -> None:
    facts = Facts(engine=engine(0.95, 2.0e-3))
    flow = value_of("mass_flow_air_speed_density", SPEED_DENSITY, facts)
    worked = work_out(steady(SPEED_DENSITY | {"mass_flow_air": meter * flow}), facts)
    (found,) = agreements(worked.made)
    assert found.difference == pytest.approx(1.0 / meter - 1.0, abs=1e-9)
    assert found.beyond is beyond
    assert ("one of them is wrong" in found.words) is beyond


def test_the_pressure_sensor_does_not_count_twice_between_two_routes_that_read_it() -> None:
    """Speed-density and injectors on a rail held over the air both read p_im: its error partly cancels."""
    log = SPEED_DENSITY | {"injector_time": 12e-3, "lambda": 0.85, "voltage_battery": 14.0}
    facts = Facts(engine=engine(), fuel=petrol(), injectors=_injectors("air"), day=day(100e3))
    found = taken("air_flow_injectors_over_speed_density", log, facts)
    one = taken("mass_flow_air_injectors", log, facts)
    other = taken("mass_flow_air_speed_density", log, facts)
    name = "scale of pressure_im"
    relative = one.parts[name] / one.value - other.parts[name] / other.value
    wanted = relative * (one.value / other.value)
    assert found.parts[name] == pytest.approx(wanted, rel=1e-3)


def test_the_narrowest_route_is_taken() -> None:
    facts = Facts(engine=engine(), fuel=petrol())
    log = SPEED_DENSITY | {"mass_flow_air": 0.24}
    found = taken("mass_flow_air", log, facts)
    assert "air meter" in found.flags["air-flow"]
    worse = replace(
        facts, errors={**facts.errors, "air_meter": replace(facts.errors["air_meter"], share=0.2)}
    )
    assert "speed and density" in taken("mass_flow_air", log, worse).flags["air-flow"]


def _cut_log(lean: float) -> ChannelsInMemory:
    """Full throttle at 20 rows a second; fuel is cut from 4 to 4.5 s, and lambda shows it 0.1 s late for 0.2 s more."""
    time = np.arange(0.0, 8.0, 0.05)
    cut = (time >= 4.0) & (time < 4.5)
    seen = (time >= 4.1) & (time < 4.7)
    return ChannelsInMemory(
        {
            "engine_speed": Series(time, np.full(time.size, 500.0)),
            "injector_time": Series(time, np.where(cut, 0.0, 9e-3)),
            "pressure_im": Series(time, np.full(time.size, 180e3), "absolute"),
            "temperature_im": Series(time, np.full(time.size, 310.0)),
            "lambda": Series(time, np.where(seen, lean, 0.85)),
        }
    )


@pytest.mark.parametrize("lean", [1.6, 1.36])
def test_no_air_from_fuel_while_it_is_cut_nor_until_the_probe_has_settled(lean: float) -> None:
    """From the cut to half a second after the last sign of it there is no air flow by fuel, and the report says why."""
    facts = Facts(engine=engine(), fuel=petrol(), injectors=_injectors("air"), day=day(100e3))
    made = work_out(_cut_log(lean), facts, ["mass_flow_air_injectors", "volumetric_efficiency"]).made
    for one in made.values():
        shown = np.isfinite(one.result.value)
        assert not shown[(one.time > 3.96) & (one.time < 5.14)].any()
        assert shown[(one.time < 3.94) | (one.time > 5.21)].all()
        assert np.ptp(one.result.value[shown]) < 1e-9
        assert "0.5 s" in one.result.flags["fuel-cut"]
    sound = work_out(_cut_log(0.85), facts, ["mass_flow_air_fuel"])
    assert not sound.made  # no fuel meter
    whole = _cut_log(0.85).read("lambda")
    steady_log = {
        name: _cut_log(0.85).read(name) for name in ("engine_speed", "pressure_im", "temperature_im")
    }
    steady_log |= {"lambda": whole, "mass_flow_fuel": Series(whole.time, np.full(whole.time.size, 0.01))}
    found = work_out(ChannelsInMemory(steady_log), facts, ["mass_flow_air_fuel"]).made["mass_flow_air_fuel"]
    assert np.isfinite(found.result.value).all()
    assert "fuel-cut" not in found.result.flags
