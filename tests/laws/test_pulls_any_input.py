"""The search takes whatever a log may hold: no numbers, infinite ones, stamps in any order, channels of any length."""

from __future__ import annotations

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from boostwright.logs.gear import GearFacts
from boostwright.logs.pulls.rules import PullFacts
from boostwright.logs.pulls.search import find_pulls_in
from boostwright.logs.series import ChannelsInMemory, Series
from boostwright.report.pulls_csv import pulls_csv
from boostwright.report.pulls_json import pulls_json
from boostwright.report.pulls_text import pulls_text
from boostwright.tasks.find_pulls import FoundPulls, PartPulls, PullRules

NAMES = (
    "engine_speed", "throttle_position", "pedal_position_1", "pressure_im", "boost", "vehicle_speed", "injector_duty",
    "temperature_coolant", "pressure_amb", "gear",
)  # fmt: skip
FACTS = PullFacts(GearFacts((3.4, 1.9, 1.4, 1.0), 3.7, 0.3), 100e3)


@st.composite
def series(draw: st.DrawFn) -> Series:
    """Stamps and values of one length: walks, steps, holds, noise, blanks, and numbers that cannot be."""
    size = draw(st.integers(0, 400))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    step = draw(st.sampled_from([0.005, 0.02, 0.1, 1.0, 0.0]))
    time = np.arange(size) * step + draw(st.sampled_from([0.0, -5.0, 1e6]))
    if draw(st.booleans()):
        time = rng.permutation(time) if draw(st.booleans()) else np.round(time, 1)
    scale = draw(st.sampled_from([0.0, 1.0, 300.0, 1e5, 1e300]))
    value = (
        scale * np.abs(np.cumsum(rng.normal(0, 0.1, size)))
        if draw(st.booleans())
        else scale * rng.random(size)
    )
    if draw(st.booleans()):
        value = np.repeat(value, 10)[:size]
    for odd in draw(st.lists(st.sampled_from([np.nan, np.inf, -np.inf, -1.0, 0.0]), max_size=3)):
        value[rng.random(size) < 0.1] = odd
    if draw(st.booleans()) and size:
        time[rng.integers(0, size)] = np.nan
    return Series(time, value, draw(st.sampled_from(["", "gauge", "absolute"])))


@settings(max_examples=150, deadline=None, suppress_health_check=list(HealthCheck))
@given(st.dictionaries(st.sampled_from(NAMES), series(), max_size=7), st.booleans())
def test_any_log_is_an_answer(channels: dict[str, Series], known: bool) -> None:
    search = find_pulls_in(ChannelsInMemory(channels), FACTS if known else None)
    found = FoundPulls("any", "", "", (PartPulls(1, search),), PullRules(), (), ())
    assert pulls_text(found, 100).endswith("\n")
    assert "NaN" not in pulls_json(found)
    assert pulls_csv(found).count("\n") == 2 + len(search.pulls) + len(search.not_taken)


@settings(max_examples=60, deadline=None, suppress_health_check=list(HealthCheck))
@given(arrays(np.float64, st.integers(0, 60)), arrays(np.float64, st.integers(0, 60)))
def test_numbers_of_any_size(speed: np.ndarray, throttle: np.ndarray) -> None:
    find_pulls_in(
        ChannelsInMemory(
            {
                "engine_speed": Series(np.arange(speed.size) * 0.1, speed),
                "throttle_position": Series(np.arange(throttle.size) * 0.1, throttle),
            }
        )
    )
