"""Lambda under pressure, and the lag of temperature probes as a source of error."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.derived.catalogue import work_out
from boostwright.logs.derived.facts import SENSOR_LAGS, Facts, ProbeFacts
from boostwright.logs.series import ChannelsInMemory, Series
from tests.support.steady_log import steady, taken, value_of


def test_a_rich_reading_under_pressure_is_brought_back() -> None:
    """True 0.85 (Ip -0.652 mA) at 1.3 bar reads 0.8411 with k 0.47 bar (published form, from memory): turned round."""
    log = {"lambda": 0.8411, "pressure_em_static": 130e3}
    facts = Facts(probe=ProbeFacts("ahead-of-turbine"))
    assert value_of("lambda_corrected", log, facts) == pytest.approx(0.85, abs=1e-3)


@pytest.mark.parametrize(("reading", "sign"), [(0.80, 1.0), (1.30, -1.0), (1.003, 0.0)])
def test_pressure_pushes_a_reading_away_from_one(reading: float, sign: float) -> None:
    facts = Facts(probe=ProbeFacts("ahead-of-turbine"))
    found = value_of("lambda_corrected", {"lambda": reading, "pressure_em_static": 200e3}, facts)
    assert np.sign(round(found - reading, 6)) == sign


def test_rich_side_carries_the_doubt_of_its_constant() -> None:
    facts = Facts(probe=ProbeFacts("ahead-of-turbine"))
    found = taken("lambda_corrected", {"lambda": 0.80, "pressure_em_static": 200e3}, facts)
    rich = next(part for name, part in found.parts.items() if "rich" in name)
    lean = next(part for name, part in found.parts.items() if "lean" in name)
    assert np.abs(rich[0]) > 4e-3
    assert np.abs(lean[0]) < 1e-9


def test_without_pressure_at_the_probe_it_is_said_what_it_may_be_worth() -> None:
    log = {"lambda": 0.82, "pressure_em_static": 200e3}
    worked = work_out(steady(log), Facts(probe=ProbeFacts("behind-turbine")), ["lambda_corrected"])
    words = " ".join(map(str, worked.missing[0].needs))
    assert "pressure_4_static" in words
    assert "0.850" in words
    unknown = work_out(steady(log), Facts(), ["lambda_corrected"])
    assert "lambda_place" in str(unknown.missing[0].needs[0])


def test_a_rise_that_a_probe_may_be_late_for_widens_the_band() -> None:
    """10 K a second and a probe of up to four seconds: 40 K at the most, 23 K of standard deviation."""
    time = np.arange(0.0, 30.0, 0.1)
    rise = 300.0 + 10.0 * np.clip(time - 10.0, 0.0, 10.0)
    found = work_out(ChannelsInMemory({"temperature_im": Series(time, rise)}), Facts(), ["temperature_im"])
    result = found.made["temperature_im"].result
    middle, rest = np.searchsorted(time, 15.0), np.searchsorted(time, 5.0)
    assert result.parts["lag of temperature_im"][middle] == pytest.approx(
        SENSOR_LAGS["temperature"] * 10.0 / np.sqrt(3.0), rel=1e-3
    )
    assert result.sigma[rest] == pytest.approx(2.0 / np.sqrt(3.0), rel=1e-3)
    true = rise + 1.5 * np.gradient(rise, time)  # what a probe of 1.5 s would be late for
    assert (np.abs(true - result.value) < 1.645 * result.sigma)[5:-5].all()


def test_probes_of_a_set_lag_together_and_those_of_stations_do_not() -> None:
    """Two exhaust probes share the most of their lag; that behind the compressor has nothing of the one ahead of it."""
    time = np.arange(0.0, 20.0, 0.1)
    warm = Series(time, 900.0 + 10.0 * time)
    names = ("egt_reading_1", "egt_reading_2", "temperature_1", "temperature_2")
    channels = ChannelsInMemory(dict.fromkeys(names, warm) | {"engine_speed": Series(time, 300.0 + time)})
    rows = work_out(
        channels, Facts(), ["egt_reading_spread", "temperature_1", "temperature_2", "temperature_em"]
    ).made
    em = rows["temperature_em"].result.parts
    common, own = em["lag of egt_reading"][100], em["lag of egt_reading_1"][100]
    assert common > 5.0 * own
    # 10 K/s late by up to 3 s, any time alike likely, and slower below the highest flow: 17.3 K and a little more
    assert 30.0 / np.sqrt(3.0) < np.hypot(common, 2.0 * own) < 1.1 * 30.0 / np.sqrt(3.0)
    for name in ("temperature_1", "temperature_2"):
        assert rows[name].result.parts[f"lag of {name}"][100] == pytest.approx(80.0 / np.sqrt(3.0), rel=0.02)
        assert "lag of temperature" not in rows[name].result.parts


def test_an_exhaust_probe_is_slower_in_a_thin_stream() -> None:
    """At a quarter of the highest flow, by speed times manifold pressure, its lag counts twice: root of the flow."""
    time = np.arange(0.0, 40.0, 0.1)
    thin = time < 20.0
    channels = ChannelsInMemory(
        {
            "egt_reading": Series(time, 800.0 + 5.0 * time),
            "engine_speed": Series(time, np.where(thin, 200.0, 400.0)),
            "pressure_im": Series(time, np.where(thin, 80e3, 160e3), "absolute"),
        }
    )
    part = (
        work_out(channels, Facts(), ["temperature_em"])
        .made["temperature_em"]
        .result.parts["lag of egt_reading"]
    )
    assert part[100] / part[300] == pytest.approx(2.0, rel=1e-3)
