"""Sensor checks on logs that make no sense: an answer each time, no error, no warning."""

from __future__ import annotations

import numpy as np
import pytest

from boostwright.logs.mapping.names import CHANNELS
from boostwright.logs.sensor_checks.records import CODES
from boostwright.logs.sensor_checks.run import check_sensors
from boostwright.logs.series import ChannelsInMemory, Series
from tests.support.made_logs_c import Instruments, made_log, made_run

_RUN = made_run(1, "key-on steady")
_LOG = made_log(_RUN, Instruments(rate=5.0, seed=1))


def _spoilt(time: np.ndarray, value: np.ndarray, rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """One thing done to a channel."""
    size, kind = value.size, int(rng.integers(0, 11))
    if kind == 0:
        return time, np.where(rng.random(size) < rng.random(), np.nan, value)
    if kind == 1:
        return time, np.full(size, rng.choice([0.0, 1.0, np.nan, -1e5, 1e30, 65535.0, np.inf]))
    if kind == 2:
        keep = int(rng.integers(0, size + 1))
        return time[:keep], value[:keep]
    if kind == 3:
        return np.floor(time), value
    if kind == 4:
        return time, value * rng.choice([-1.0, 1e-6, 1e6, 1.8])
    if kind == 5:
        return time, value + rng.normal(0.0, 1e5, size)
    if kind == 6:
        a, b = np.sort(rng.integers(0, size + 1, 2))
        inside = (np.arange(size) >= a) & (np.arange(size) < b)
        return time, np.where(inside, rng.choice([0.0, np.nan, np.inf, -np.inf]), value)
    if kind == 7:
        keep_rows = rng.random(size) < 0.5
        return time[keep_rows], value[keep_rows]
    if kind == 8:
        return time + np.where(np.arange(size) > size // 2, rng.choice([10.0, 1e4, 1e6]), 0.0), value
    if kind == 9:
        return time, value[::-1].copy()
    return time, np.repeat(value[::7], 7)[:size] if size else value


@pytest.mark.parametrize("seed", range(24))
def test_a_spoilt_log_is_answered(seed: int) -> None:
    """Channels cut, emptied, scaled, thinned, glued, turned round, or under another's name."""
    rng = np.random.default_rng(seed)
    names = rng.permutation(list(_LOG.names))[: int(rng.integers(1, len(_LOG.names) + 1))]
    series = {}
    for name in names:
        one = _LOG.read(str(name))
        time, value = one.time, one.value
        for _ in range(int(rng.integers(0, 3))):
            time, value = _spoilt(time, value, rng)
        other = str(rng.choice(list(CHANNELS)))
        basis = str(rng.choice(["", "gauge", "absolute"]))
        series[str(name) if rng.random() < 0.9 else other] = Series(time, value, basis)
    report = check_sensors(ChannelsInMemory(series), _RUN.facts if seed % 2 else None)
    assert all(fault.code in CODES and 0.5 <= fault.certainty < 1.0 for fault in report.faults)
    assert all(set(fault.channels) <= set(series) for fault in report.faults)
    assert report.made or report.not_made
