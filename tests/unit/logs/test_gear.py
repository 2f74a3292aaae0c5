"""Gears from the ratio of engine to road speed: numbered, lettered, and not made of shifts and slips."""

from __future__ import annotations

import math

import numpy as np
import pytest

from boostwright.logs.gear import GearFacts, Gears, find_gears, gear_at

RPM = 0.10471975511965977
BOX = (3.42, 1.94, 1.37, 1.00, 0.81)
FINAL, RADIUS = 3.73, 0.306


def driven(
    gears: tuple[int, ...], seconds: float = 20.0, step: float = 0.05, resolution: float = 0.0
) -> list[np.ndarray]:
    """Time, engine speed and road speed of a drive in some gears with half a second of clutch between them."""
    engine, road = [], []
    for gear in gears:
        rpm = 2500 + 600 * np.sin(np.arange(0, seconds, step) * 0.3)
        engine.append(rpm * RPM)
        road.append(rpm * RPM * RADIUS / (BOX[gear - 1] * FINAL))
        slip = np.linspace(1.0, 0.5, round(0.5 / step))
        engine.append(rpm[-1] * RPM * slip)
        road.append(np.full(slip.size, road[-1][-1]))
    speed, way = np.concatenate(engine), np.concatenate(road)
    if resolution:
        way = np.round(way / resolution) * resolution
    return [np.arange(speed.size) * step, speed, way]


def found(gears: tuple[int, ...], facts: GearFacts, **how: float) -> Gears:
    time, engine, road = driven(gears, **how)
    return find_gears(time, engine, road, "vehicle_speed", how.get("step", 0.05), facts)


def test_letters_from_the_shortest_gear_where_nothing_is_known() -> None:
    gears = found((2, 3, 5), GearFacts())
    assert [g.label for g in gears.gears] == ["A", "B", "C"]
    assert not gears.known
    for gear, number in zip(gears.gears, (2, 3, 5), strict=True):
        assert gear.ratio == pytest.approx(BOX[number - 1] * FINAL / RADIUS, rel=0.01)
        assert gear.error < 0.01
        assert gear.time > 15


@pytest.mark.parametrize("off", [0.95, 1.0, 1.06])
def test_numbers_by_ratios_and_radius_though_the_speedometer_is_off(off: float) -> None:
    gears = found((2, 3, 5), GearFacts(BOX, FINAL, RADIUS * off))
    assert [g.label for g in gears.gears] == ["2", "3", "5"]
    assert gears.known


def test_numbers_by_ratios_alone_need_two_gears() -> None:
    assert [g.label for g in found((1, 2, 3, 4), GearFacts(BOX)).gears] == ["1", "2", "3", "4"]
    alone = found((3,), GearFacts(BOX))
    assert [g.label for g in alone.gears] == ["A"]
    assert "do not say which" in alone.words


def test_ratios_of_another_box_are_not_forced_on_the_log() -> None:
    gears = found((2, 3, 4), GearFacts((5.0, 4.4, 3.9), 5.1, 0.25))
    assert [g.label for g in gears.gears] == ["A", "B", "C"]
    assert "do not fit" in gears.words


def test_a_ratio_that_is_no_gear_has_a_question_mark() -> None:
    _, engine, road = driven((3, 4))
    slipping = engine[: round(6 / 0.05)] * 1.25
    engine = np.concatenate((engine, slipping))
    road = np.concatenate((road, road[: slipping.size]))
    gears = find_gears(
        np.arange(engine.size) * 0.05, engine, road, "vehicle_speed", 0.05, GearFacts(BOX, FINAL, RADIUS)
    )
    assert {g.label for g in gears.gears} == {
        "3",
        "4",
        next(g.label for g in gears.gears if g.label.endswith("?")),
    }
    assert "question mark" in gears.words


def test_polled_and_rounded_to_whole_kilometres_an_hour() -> None:
    gears = found((2, 3, 4, 5), GearFacts(BOX, FINAL, RADIUS), seconds=60.0, step=0.9, resolution=1 / 3.6)
    assert [g.label for g in gears.gears] == ["2", "3", "4", "5"]


def test_a_day_looked_at_every_six_seconds_shows_its_gears_and_no_shift() -> None:
    order = tuple(np.random.default_rng(2).choice([2, 3, 5], 5000, p=[0.2, 0.5, 0.3]).tolist())
    time, engine, road = driven(order, seconds=8.0, step=0.2)
    time[100_000:] += 20000.0  # a hole is nobody's time
    cells = np.arange(1, time.size - 1, 31) + np.array([[-1], [0], [1]])
    gears = find_gears(
        time[cells], engine[cells], road[cells], "vehicle_speed", 0.2, GearFacts(BOX, FINAL, RADIUS)
    )
    assert [g.label for g in gears.gears] == ["2", "3", "5"]
    for gear in gears.gears:
        assert gear.time == pytest.approx(8.0 * order.count(int(gear.label)), rel=0.05)
        assert gear.ratio == pytest.approx(BOX[int(gear.label) - 1] * FINAL / RADIUS, rel=0.01)


def test_a_car_that_stands_or_has_no_road_speed_has_no_gears() -> None:
    time, engine, road = driven((2,))
    assert find_gears(time, engine, None, "", math.inf, GearFacts()).gears == ()
    standing = find_gears(time, engine, 0.0 * road, "vehicle_speed", 0.05, GearFacts(BOX))
    assert standing.gears == ()
    assert not np.isfinite(standing.log_ratio).any()


def test_gear_at_takes_the_nearest_within_the_tolerance() -> None:
    gears = found((2, 3), GearFacts(BOX, FINAL, RADIUS))
    third = math.log(BOX[2] * FINAL / RADIUS)
    assert gear_at(gears, third + 0.02, 0.05) == gears.gears[1]
    assert gear_at(gears, third + 0.15, 0.05) is None
