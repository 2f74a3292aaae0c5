"""Turbine and gate against a published model and by definition; the cooler; exhaust temperatures by cylinder."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from boostwright.logs.derived.catalogue import work_out
from boostwright.logs.derived.facts import CoolerFacts, Facts, Number
from tests.support.steady_log import day, engine, petrol, steady, taken, turbine, value_of

# Sivertsson and Eriksson, SIMS 2014: a turbine of 7.88e-4 m2, flow c sqrt(1 - Pi^k) (model and parameters read)
CHOKED, EXPONENT = 0.6859 * 7.88e-4 / np.sqrt(286.0), 2.3633


def _facts(choked: float = CHOKED) -> Facts:
    return Facts(engine=engine(), fuel=petrol(), turbine=turbine(choked, EXPONENT))


def _log(flow: float, before: float, hot: float, behind: float) -> dict[str, float]:
    """Channels whose exhaust flow is ``flow``: a fifteenth of it fuel."""
    return {
        "engine_speed": 400.0,
        "mass_flow_air": flow * 14.0 / 15.0,
        "mass_flow_fuel": flow / 15.0,
        "pressure_em_static": before,
        "pressure_4_static": behind,
        "egt_reading": hot - 60.0,  # the gas is taken to stand 60 K above its probe
    }


@pytest.mark.parametrize(("flow", "before", "hot"), [(0.13846, 160e3, 850.0), (0.23017, 240e3, 950.0)])
def test_choked_flow_of_a_published_turbine(flow: float, before: float, hot: float) -> None:
    """Its flow at two states, worked out independently from the source's model, leads back to its choked flow."""
    log = _log(flow, before, hot, 105.87e3)
    assert value_of("choked_flow_implied", log, _facts()) == pytest.approx(CHOKED, rel=1e-3)
    assert value_of("turbine_swallowing", log, _facts()) == pytest.approx(
        flow * np.sqrt(hot) / before, rel=1e-6
    )
    assert value_of("turbine_expansion_ratio", log, _facts()) == pytest.approx(before / 105.87e3)


@pytest.mark.parametrize(("flow", "before", "hot"), [(0.13846, 160e3, 850.0), (0.23017, 240e3, 950.0)])
def test_no_gas_through_the_gate_where_the_turbine_takes_it_all(
    flow: float, before: float, hot: float
) -> None:
    log = _log(flow, before, hot, 105.87e3)
    assert value_of("gate_flow_share", log, _facts()) == pytest.approx(0.0, abs=2e-3)
    assert value_of("mass_flow_turbine", log, _facts()) == pytest.approx(flow, rel=2e-3)


def test_gate_takes_what_the_turbine_leaves() -> None:
    """The published turbine at 160 kPa passes 0.13846 kg/s; the engine gives 0.2."""
    log = _log(0.2, 160e3, 850.0, 105.87e3)
    assert value_of("gate_flow_share", log, _facts()) == pytest.approx(1.0 - 0.13846 / 0.2, abs=2e-3)
    assert value_of("mass_flow_gate", log, _facts()) == pytest.approx(0.2 - 0.13846, abs=4e-4)


def test_an_open_gate_makes_the_choked_flow_a_bound() -> None:
    log = _log(0.2, 160e3, 850.0, 105.87e3)
    found = taken("choked_flow_implied", log, _facts())
    assert "upper bound" in found.flags["gate"]
    assert np.median(found.value) > 1.3 * CHOKED
    known = taken("choked_flow_implied", log | {"gate_position": 0.4}, _facts())
    assert not np.isfinite(known.value).any()
    shut = taken("choked_flow_implied", log | {"gate_position": 0.0}, _facts())
    assert np.isfinite(shut.value).all()


def test_error_of_the_turbine_s_card_is_in_the_share() -> None:
    found = taken("gate_flow_share", _log(0.2, 160e3, 850.0, 105.87e3), _facts())
    card = found.parts["flow of the turbine's card"]
    assert np.abs(card) == pytest.approx(0.1 / np.sqrt(3.0) * 0.13846 / 0.2, rel=0.01)


def test_cooler_effectiveness() -> None:
    """Inlet 112, outlet 46.75, air 25 degC: 0.75 (definition of effectiveness)."""
    log = {"temperature_2": 385.15, "temperature_bp": 319.90, "temperature_amb": 298.15}
    assert value_of("cooler_effectiveness", log) == pytest.approx(0.75, abs=1e-4)
    warm = Facts(cooler=CoolerFacts(10.0, ""))
    assert value_of("cooler_effectiveness", log, warm) == pytest.approx((112 - 46.75) / (112 - 35), abs=1e-4)
    cold = log | {"temperature_2": 300.0}
    assert np.isnan(value_of("cooler_effectiveness", cold))


def test_cooler_loss_turned_back() -> None:
    """8 kPa at 0.20 kg/s, 100 degC and 180 kPa: K = 8e3 180e3/(0.04 373.15), and its loss again."""
    log = {
        "pressure_2_static": 180e3,
        "pressure_bp_static": 172e3,
        "temperature_2": 373.15,
        "mass_flow_air": 0.2,
    }
    assert value_of("cooler_loss_coefficient", log) == pytest.approx(8e3 * 180e3 / (0.04 * 373.15))
    assert value_of("cooler_pressure_loss", log) == pytest.approx(8e3)


def test_cylinders_apart() -> None:
    log = {"egt_reading_1": 1100.0, "egt_reading_2": 1150.0, "egt_reading_3": 1090.0, "egt_reading_4": 1120.0}
    assert value_of("egt_reading_spread", log) == pytest.approx(60.0)
    assert value_of("egt_hottest_cylinder", log) == 2.0
    assert value_of("egt_over_mean_3", log) == pytest.approx(-25.0)
    all_of_them = [f"egt_over_mean_{k}" for k in range(1, 13)]
    assert not work_out(steady(log), Facts(), all_of_them).missing  # no build: nobody knows of a fifth
    five = Facts(engine=replace(engine(), cylinders=5))
    (missing,) = work_out(steady(log), five, all_of_them).missing
    assert "egt_reading_5" in str(missing.needs[0])
    gap = {name: value for name, value in log.items() if name != "egt_reading_2"}
    (missing,) = work_out(steady(gap), Facts(), all_of_them).missing
    assert "egt_reading_2" in str(missing.needs[0])
    without = work_out(steady({"engine_speed": 300.0}), five, all_of_them)
    assert len(without.missing) == 5  # of no probe at all, five are missing
    lonely = work_out(steady({"egt_reading": 1100.0}), Facts(), ["egt_reading_spread"])
    assert not lonely.made


def test_gas_stands_above_its_probe_by_what_the_model_says() -> None:
    from boostwright.logs.derived.facts import Expected

    speeds = np.array([100.0, 800.0])
    expected = Expected(speeds, np.full(2, 1.2), np.full(2, 1180.0), np.full(2, 75.0), "a model")
    log = {"engine_speed": 400.0, "egt_reading": 1100.0}
    assert value_of("temperature_em", log, Facts(expected=expected)) == pytest.approx(1175.0)
    assert value_of("temperature_em", log) == pytest.approx(1160.0)
    assert value_of("temperature_em", {"engine_speed": 400.0}, Facts(expected=expected)) == pytest.approx(
        1180.0
    )


def test_a_downpipe_probe_goes_before_the_usual_drop() -> None:
    log = {"egt_reading": 1100.0, "egt_reading_downpipe": 950.0}
    assert value_of("temperature_4", log) == pytest.approx(1010.0)
    assert value_of("temperature_4", {"egt_reading": 1100.0}) == pytest.approx(0.93 * 1160.0)


def test_day_s_air_where_nothing_is_logged() -> None:
    assert value_of("temperature_1", {"engine_speed": 300.0}, Facts(day=day(99e3, 300.0))) == pytest.approx(
        300.0
    )
    assert Number(1.0, 0.1, "x").largest == 0.1
