"""The sensor check says truly whose word it goes by, and what is missing: no sensor bears witness for itself."""

from __future__ import annotations

from dataclasses import replace

import pytest

from boostwright.logs.sensor_checks.run import check_sensors
from tests.support.made_logs_c import Instruments, made_log, made_run


def _log_with_a_wrong_manifold_pressure(keep: tuple[str, ...]):
    how = Instruments(rate=20.0, seed=4, keep=keep, after={"pressure_im": lambda v, _t, _r: v + 8e3})
    run = made_run(4, "key-on")
    return made_log(run, how), replace(run.facts, barometer=float(run.channels["pressure_amb"][0]))


def test_a_sensor_put_right_by_the_build_does_not_bear_it_out() -> None:
    """Alone at rest, 8 kPa too high: the air's pressure is then the build's, not that of the sensor it mended."""
    log, facts = _log_with_a_wrong_manifold_pressure(("engine_speed", "throttle_position", "pressure_im"))
    report = check_sensors(log, facts)
    assert [fault.code for fault in report.faults] == ["offset"]
    (air,) = (note for note in report.notes if note.startswith("The air's pressure"))
    assert "by the build" in air
    assert "4.0 kPa" in air


def test_the_other_sensor_is_named_whose_reading_is_taken() -> None:
    """Of two that differ the one near the build's is taken, and it is its own reading that stands in the numbers."""
    keep = ("engine_speed", "throttle_position", "pressure_im", "pressure_amb")
    log, facts = _log_with_a_wrong_manifold_pressure(keep)
    (fault,) = check_sensors(log, replace(facts, barometer=facts.barometer - 0.5e3)).faults
    evidence = next(one for one in fault.evidence if one.words.startswith("the air's pressure"))
    assert "pressure_amb" in evidence.words
    assert evidence.value == pytest.approx(facts.barometer, abs=300.0)


def test_what_is_logged_is_not_missing() -> None:
    """Speed and displacement without a manifold pressure: that one is missing for a route, and not engine speed."""
    keep = ("engine_speed", "throttle_position", "mass_flow_air", "lambda")
    run = made_run(4, "key-on")
    log = made_log(run, Instruments(rate=20.0, seed=4, keep=keep))
    (routes,) = (
        one for one in check_sensors(log, replace(run.facts, car=None)).not_made if "routes" in one.check
    )
    assert "pressure_im" in routes.missing
    assert "engine_speed" not in routes.missing
