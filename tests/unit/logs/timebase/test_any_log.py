"""Whatever a log holds, it is put in time without an error, and no channel gains a sample."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from boostwright.logs.series import ChannelsInMemory, Series
from boostwright.logs.timebase.aligned import put_in_time
from boostwright.logs.timebase.common_quantity import clocks_by_common_quantity
from boostwright.logs.timebase.facts import TimeFacts
from boostwright.logs.timebase.lag import ProbeLag
from boostwright.logs.timebase.sampling import samplings

NAMES = (
    "engine_speed",
    "throttle_position",
    "pressure_im",
    "mass_flow_air",
    "egt_reading_1",
    "egt_reading_4",
    "lambda",
    "lambda_target",
    "pressure_4_static",
    "vehicle_speed",
)
KINDS = ("noise", "constant", "empty", "steps", "ramp", "holes", "spikes", "huge", "first only")


def column(rng: np.random.Generator, kind: str, time: np.ndarray) -> np.ndarray:
    n = time.size
    noise = rng.normal(0.0, 1.0, n)
    made = {
        "noise": 900.0 + 30.0 * noise,
        "constant": np.full(n, 0.0),
        "empty": np.full(n, np.nan),
        "steps": np.repeat(rng.uniform(0.0, 1000.0, n // 7 + 1), 7)[:n],
        "ramp": np.linspace(-5.0, 2000.0, n),
        "holes": np.where(rng.random(n) < 0.4, np.nan, 300.0 + noise),
        "spikes": np.where(rng.random(n) < 0.02, 1e5, 1.0),
        "huge": 1e30 * noise,
        "first only": np.where(np.arange(n) == 0, 1.0, np.nan),
    }
    return made[kind]


@given(st.data())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_log_is_put_in_time(data: st.DataObject) -> None:
    rng = np.random.default_rng(data.draw(st.integers(0, 2**32 - 1)))
    rows = data.draw(st.sampled_from([0, 1, 2, 5, 30, 400]))
    step = data.draw(st.sampled_from([0.02, 0.1, 0.9]))
    shape = data.draw(st.sampled_from(["even", "shared stamps", "gap", "standing"]))
    time = step * np.arange(rows)
    time = {
        "even": time,
        "shared stamps": np.floor(time / (3 * step)) * 3 * step,
        "gap": np.where(np.arange(rows) > rows // 2, time + 1000.0, time),
        "standing": np.zeros(rows),
    }[shape]
    series = {
        name: Series(time, column(rng, data.draw(st.sampled_from(KINDS)), time))
        for name in NAMES
        if data.draw(st.booleans())
    }
    channels = ChannelsInMemory(series)
    facts = data.draw(
        st.sampled_from(
            [TimeFacts(), TimeFacts(ProbeLag(0.4, 0.3, 0.6, "x"), None, "ahead-of-turbine", 2.5e-3)]
        )
    )
    made = put_in_time(channels, facts)
    assert set(made.treatments) == set(series)
    for name in series:
        was, now = channels.read(name), made.channels.read(name)
        assert now.time.size == now.value.size <= was.time.size
        assert made.treatments[name].words
    clocks_by_common_quantity(samplings(channels), samplings(channels))


@pytest.mark.parametrize("kind", KINDS)
def test_a_log_with_the_engine_off(kind: str) -> None:
    rng = np.random.default_rng(0)
    time = np.arange(0.0, 60.0, 0.05)
    off = np.zeros(time.size)
    made = put_in_time(
        ChannelsInMemory(
            {
                "engine_speed": Series(time, off),
                "mass_flow_air": Series(time, off),
                "egt_reading": Series(time, column(rng, kind, time)),
                "lambda": Series(time, np.full(time.size, 1.6)),
            }
        )
    )
    assert np.all(np.isnan(made.channels.read("lambda").value))
