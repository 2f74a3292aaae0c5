"""Lists of instruments: what the shipped ones are, and what is said of one that cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest

from boostwright.logs.made.faults import SimulationError
from boostwright.logs.made.kit_file import KITS, KitFacts, namings, read_kit
from boostwright.logs.mapping.names import channel_of
from boostwright.units.quantity import unit_names

FACTS = KitFacts(3, 0.15)


def test_a_number_stands_for_each_cylinder() -> None:
    (car,) = read_kit("standalone", FACTS).loggers
    assert [one.name for one in car.instruments if one.name.startswith("EGT")] == [
        "EGT Cyl 1",
        "EGT Cyl 2",
        "EGT Cyl 3",
    ]
    probe = next(one for one in car.instruments if one.channel == "egt_reading_2").probe
    assert probe is not None
    assert (probe.time_constant, probe.flow) == (0.9, 0.15)


def test_the_dyno_has_a_clock_of_its_own() -> None:
    dyno, car = read_kit("dyno", FACTS).loggers
    assert dyno.offset == pytest.approx(-41.73)
    assert dyno.drift == pytest.approx(40e-6)
    assert (car.offset, car.drift) == (0.0, 0.0)


@pytest.mark.parametrize("name", KITS)
def test_shipped_lists_stand_on_the_table_of_units(name: str) -> None:
    for logger in read_kit(name, FACTS).loggers:
        for one in logger.instruments:
            found = channel_of(one.channel)
            assert found is not None
            if found[0].kind not in ("", "air_fuel_ratio"):
                assert one.measured_in in unit_names(found[0].kind)


@pytest.mark.parametrize("habit", namings())
def test_names_of_a_habit_are_told_apart_and_known(habit: str) -> None:
    names = [words[0] for words in namings()[habit].values()]
    assert len(set(names)) == len(names)
    for channel in namings()[habit]:
        assert channel_of(channel.replace("#", "1")) is not None


def test_a_list_of_ones_own(tmp_path: Path) -> None:
    path = tmp_path / "own.toml"
    path.write_text(
        """title = "mine"
[[logger]]
sampling = "together"
rate = "20 Hz"
between = "empty"
writing = "clock"
[logger.channels]
pressure_im = { name = "Boost sensor", unit = "psi a", measured_in = "psi", noise = "1 kPa", high = "3 bar" }
temperature_im = { noise = "0.5 degC", lag = "2 s", rate = "2 Hz" }
"""
    )
    (logger,) = read_kit(path, FACTS).loggers
    boost, air = logger.instruments
    assert (boost.name, boost.unit, boost.measured_in, boost.basis) == (
        "Boost sensor",
        "psi a",
        "psi",
        "absolute",
    )
    assert (boost.noise, boost.high) == (1000.0, 3e5)
    assert (air.noise, air.lag, air.rate) == (0.5, 2.0, 2.0)
    assert (logger.between, logger.writing, logger.name) == ("empty", "clock", "logger-1")


def test_everything_wrong_is_said_in_one_go(tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(
        """colour = "red"
[[logger]]
sampling = "sometimes"
rate = "50"
speed = 3
names = "klingon"
[logger.channels]
presure_im = {}
pressure_im = { lag = 3, digits = -1, names = "x", basis = "gauge", name = "a" }
pressure_em_static = { name = "EMP" }
"""
    )
    with pytest.raises(SimulationError) as caught:
        read_kit(path, FACTS)
    text = str(caught.value)
    for words in (
        "colour",
        "sometimes",
        "rate",
        "speed",
        "klingon",
        "presure_im",
        "lag",
        "digits",
        "names",
        "basis",
        "pressure_em_static",
    ):
        assert words in text, words


@pytest.mark.parametrize(
    ("data", "words"), [(b"a = [", "is no TOML"), (b"\xff\xfe", "cannot be read"), (b"", "at least one")]
)
def test_a_broken_file(data: bytes, words: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_bytes(data)
    with pytest.raises(SimulationError, match=words):
        read_kit(path, FACTS)


def test_an_unknown_list_names_the_nearest() -> None:
    with pytest.raises(SimulationError, match="did you mean standalone"):
        read_kit("standalon", FACTS)


@pytest.mark.parametrize(
    ("text", "key"),
    [
        ('rate = "1000 kHz"', "rate"),
        ('rate = "10 Hz"\njitter = 0.9', "jitter"),
        ('rate = "10 Hz"\ndrift = 1', "drift"),
        ('rate = "10 Hz"\n[logger.channels]\npressure_im = { digits = 30 }', "digits"),
        ('rate = "10 Hz"\n[logger.channels]\negt_reading = { time_constant = "0 s" }', "time_constant"),
        ('rate = "10 Hz"\n[logger.channels]\npressure_im = { lag = "-1 s" }', "lag"),
    ],
)
def test_numbers_out_of_range(text: str, key: str, tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(f'[[logger]]\nsampling = "together"\n{text}\n')
    with pytest.raises(SimulationError, match=f"{key}.*out of range"):
        read_kit(path, FACTS)
