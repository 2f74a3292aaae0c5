"""The units table against a general units library and against published values."""

from __future__ import annotations

import math

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from boostwright.errors import UnitError, printable
from boostwright.physics.gas import standard_atmosphere
from boostwright.units import (
    BASIS_WORDS,
    KINDS,
    PREFERRED,
    QuantityError,
    convert,
    format_quantity,
    parse_quantity,
    qnh_from_station_pressure,
    station_pressure_from_qnh,
    to_si,
    unit_names,
)

# Our name -> the expression by which the library reads it rightly; every other name is read as it stands.
# The reasons are the library's own readings: "Nm" is a textile unit there, "rpm" is per radian, "lb" a mass.
EXPRESSIONS = {
    "Nm": "newton*meter",
    "kNm": "kilonewton*meter",
    "lbf*ft": "pound_force*foot",
    "lbf*in": "pound_force*inch",
    "kgf*m": "kilogram_force*meter",
    "rpm": "2*pi*radian/minute",
    "krpm": "2000*pi*radian/minute",
    "rev/s": "2*pi*radian/second",
    "CFM": "foot**3/minute",
    "PS": "metric_horsepower",
    "hp (mechanical)": "horsepower",
    "%": "0.01*dimensionless",
    "": "dimensionless",
    "mmH2O": "9.80665*pascal",
    "inH2O": "25.4*9.80665*pascal",
    "mmHg": "millimeter_Hg",
    "inHg": "25.4*millimeter_Hg",
    "kgf/cm2": "kilogram_force/centimeter**2",
    "rad/s2": "radian/second**2",
    "BTU/lb": "Btu_it/pound",
    "t": "metric_ton",
    "L": "liter",
    "kg*sqrt(K)/(s*Pa)": "kilogram*kelvin**0.5/second/pascal",
    "kg/s*sqrt(K)/kPa": "kilogram/second*kelvin**0.5/kilopascal",
    "kg/s*sqrt(K)/bar": "kilogram/second*kelvin**0.5/bar",
    "lb/min*sqrt(degR)/psi": "pound/minute*(5/9*kelvin)**0.5/psi",
    "thou": "inch/1000",
    "lbf/in": "pound_force/inch",
    "kgf/mm": "kilogram_force/millimeter",
    "mph": "mile/hour",
    "km/h": "kilometer/hour",
    "lb/(hp*h)": "pound/(horsepower*hour)",
}
POWERS = {
    "s2": "s**2",
    "m2": "m**2",
    "m3": "m**3",
    "in2": "in**2",
    "in3": "in**3",
    "ft2": "ft**2",
    "ft3": "ft**3",
}
OFFSET_UNITS = {"degC", "degF"}


@pytest.fixture(scope="module")
def library() -> pint.UnitRegistry:
    return pint.UnitRegistry()


def _expression(name: str) -> str:
    if name in EXPRESSIONS:
        return EXPRESSIONS[name]
    for plain in ("mm", "cm", "m", "in", "ft"):
        for power in ("2", "3", "4"):
            name = (
                name.replace(f"{plain}{power}", f"{plain}**{power}")
                if _is_unit(name, plain + power)
                else name
            )
    return name


def _is_unit(name: str, unit: str) -> bool:
    return unit in name.replace("(", "/").replace(")", "/").replace("*", "/").split("/")


@pytest.mark.parametrize(("kind", "name"), [(kind, name) for kind in KINDS for name in unit_names(kind)])
def test_every_factor_agrees_with_the_general_library(
    library: pint.UnitRegistry, kind: str, name: str
) -> None:
    difference = kind == "temperature_difference"
    if name in OFFSET_UNITS and not difference:
        for value in (-40.0, 0.0, 20.0, 900.0):
            expected = library.Quantity(value, name).to("kelvin").magnitude
            assert to_si(value, kind, name) == pytest.approx(expected, rel=1e-12)
        return
    text = f"delta_{name}" if name in OFFSET_UNITS else _expression(name)
    ours = library.Quantity(1.0, library.parse_units("")) if not text else library.parse_expression(text)
    ours = library.Quantity(ours)
    assert to_si(1.0, kind, name) == pytest.approx(ours.to_base_units().magnitude, rel=1e-8)


def test_names_the_library_misreads_are_right_here(library: pint.UnitRegistry) -> None:
    # The reason for a table of our own: a spelling of the shop that a general library takes for something else.
    # (Which way it goes wrong depends on its version: a textile unit, or no unit at all.)
    try:
        misread = (
            library.parse_expression("Nm").dimensionality != library.parse_expression("N*m").dimensionality
        )
    except pint.errors.UndefinedUnitError:
        misread = True
    assert misread
    assert parse_quantity("400 Nm", "torque").value_si == 400.0
    assert parse_quantity("400 ft-lb", "torque").value_si == pytest.approx(542.3272, rel=1e-6)
    assert parse_quantity("6000 rpm", "rotational_speed").value_si == pytest.approx(628.3185307, rel=1e-9)
    assert parse_quantity("8 psig", "pressure").basis == "gauge"
    assert parse_quantity("32 lbm/min", "mass_flow").value_si == pytest.approx(0.2419, rel=1e-3)


@pytest.mark.parametrize(
    ("kind", "name", "expected"),
    [
        # As in NIST SP 811 (2008), appendix B, from memory, to the seven digits printed there.
        ("pressure", "psi", 6.894757e3),
        ("pressure", "inHg", 3.386389e3),
        ("pressure", "inH2O", 2.490889e2),
        ("pressure", "mmHg", 1.333224e2),
        ("pressure", "kgf/cm2", 9.80665e4),
        ("torque", "lbf*ft", 1.355818),
        ("torque", "lbf*in", 1.129848e-1),
        ("torque", "kgf*m", 9.80665),
        ("power", "hp (mechanical)", 7.456999e2),
        ("power", "PS", 7.354988e2),
        ("volume_flow", "CFM", 4.719474e-4),
        ("mass_flow", "lb/min", 7.559873e-3),
        ("force", "lbf", 4.448222),
        ("stiffness", "lbf/in", 1.751268e2),
        ("density", "lb/ft3", 1.601846e1),
        ("specific_energy", "BTU/lb", 2.326e3),
        ("velocity", "mph", 4.4704e-1),
    ],
)
def test_factors_as_tabled_by_nist(kind: str, name: str, expected: float) -> None:
    assert to_si(1.0, kind, name) == pytest.approx(expected, rel=5e-7)


def test_psi_to_printed_digits() -> None:
    assert to_si(1.0, "pressure", "psi") == pytest.approx(6894.757293168, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "kind", "value", "unit", "basis"),
    [
        ("83 mm", "length", 0.083, "mm", None),
        ("83mm", "length", 0.083, "mm", None),
        (" 3.25 in ", "length", 0.08255, "in", None),
        ("20 °C", "temperature", 293.15, "degC", None),
        ("68 degF", "temperature", 293.15, "degF", None),
        ("0.6 bar gauge", "pressure", 60000.0, "bar", "gauge"),
        ("150 kPa absolute", "pressure", 150000.0, "kPa", "absolute"),
        ("150 kPa abs", "pressure", 150000.0, "kPa", "absolute"),
        ("150 kPa(a)", "pressure", 150000.0, "kPa", "absolute"),
        ("1.2 barg", "pressure", 120000.0, "bar", "gauge"),
        ("14.5 psia", "pressure", 99973.98, "psi", "absolute"),
        ("1013 hPa QNH", "pressure", 101300.0, "hPa", "QNH"),
        ("44 mm valve", "length", 0.044, "mm", "valve"),
        ("50 %", "dimensionless", 0.5, "%", None),
        ("1.5e-2 kg/s", "mass_flow", 0.015, "kg/s", None),
        ("-5 degC", "temperature", 268.15, "degC", None),
        ("9 N/mm", "stiffness", 9000.0, "N/mm", None),
        ("12 kg·m²", "moment_of_inertia", 12.0, "kg*m2", None),
        ("0.022 kg/s*sqrt(K)/kPa", "swallowing", 2.2e-5, "kg/s*sqrt(K)/kPa", None),
        ("200 PS", "power", 147099.75, "PS", None),
        ("200 hp (metric)", "power", 147099.75, "PS", None),
        ("200 hp (mechanical)", "power", 149139.974, "hp (mechanical)", None),
    ],
)
def test_reads(text: str, kind: str, value: float, unit: str, basis: str | None) -> None:
    quantity = parse_quantity(text, kind)
    assert quantity.value_si == pytest.approx(value, rel=1e-7)
    assert (quantity.unit, quantity.basis, quantity.text) == (unit, basis, text)


@pytest.mark.parametrize(
    ("text", "kind", "says"),
    [
        ("", "length", "is empty"),
        ("83", "length", "has no unit"),
        ("mm", "length", "does not begin with a number"),
        ("nan mm", "length", "does not begin with a number"),
        ("inf mm", "length", "does not begin with a number"),
        ("1e999 mm", "length", "not a finite number"),
        ("83 bar", "length", "measures pressure, not length"),
        ("83 furlong", "length", 'unknown unit "furlong"'),
        ("3 kpa", "pressure", 'Did you mean "kPa"?'),
        ("1,2 bar", "pressure", '= "1.2 bar"'),
        ("6 800 rpm", "rotational_speed", '= "6800 rpm"'),
        ("6_800 rpm", "rotational_speed", '= "6800 rpm"'),
        ("200 hp", "power", "two horsepowers"),
        ("200 bhp", "power", "two horsepowers"),
        ("200 whp", "power", "two horsepowers"),
        ("40 lb", "force", "lb is a mass"),
        ("7 lbs", "pressure", "psi"),
        ("300 SCFM", "volume_flow", "whose standard"),
        ("70 gph", "volume_flow", "gallons are of two sizes"),
        ("0x10 mm", "length", "unknown unit"),
        ("12 mm mm", "length", "unknown unit"),
    ],
)
def test_refuses_with_a_remedy(text: str, kind: str, says: str) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, kind, place="build.toml, line 7", key="part.key")
    assert says in str(caught.value)
    assert str(caught.value).startswith("build.toml, line 7, part.key")
    assert caught.value.fault.allowed


def test_unknown_kind_is_a_unit_error() -> None:
    with pytest.raises(UnitError, match="no kind of quantity"):
        unit_names("colour")


@given(
    st.sampled_from([(kind, name) for kind in KINDS for name in unit_names(kind) if name]),
    st.floats(min_value=-1e6, max_value=1e6, allow_nan=False),
)
def test_there_and_back(pair: tuple[str, str], value: float) -> None:
    kind, name = pair
    size = abs(to_si(value, kind, name) - to_si(0.0, kind, name)) + abs(to_si(0.0, kind, name))
    back = convert(to_si(value, kind, name), kind, name)
    assert back == pytest.approx(value, rel=1e-9, abs=1e-9 + 1e-12 * size / to_si_factor(kind, name))


def to_si_factor(kind: str, name: str) -> float:
    return to_si(1.0, kind, name) - to_si(0.0, kind, name)


@given(st.text(max_size=30), st.sampled_from(KINDS))
def test_any_text_is_read_or_refused(text: str, kind: str) -> None:
    try:
        quantity = parse_quantity(text, kind)
    except QuantityError as error:
        refusal = str(error)
    else:
        assert math.isfinite(quantity.value_si)
        assert quantity.basis is None or quantity.basis in BASIS_WORDS
        return
    assert printable(text) in refusal


@pytest.mark.parametrize("kind", KINDS)
def test_printed_quantities_are_read_back(kind: str) -> None:
    assert PREFERRED[kind] in unit_names(kind)
    for value in (1.2345, 0.002, 98765.0):
        value_si = to_si(value, kind, PREFERRED[kind])
        read = parse_quantity(format_quantity(value_si, kind, digits=12), kind)
        assert read.value_si == pytest.approx(value_si, rel=1e-10)


@pytest.mark.parametrize(
    ("value", "kind", "unit", "digits", "expected"),
    [
        (101325.0, "pressure", None, 4, "101.3 kPa"),
        (0.0, "length", None, 4, "0 mm"),
        (293.15, "temperature", None, 3, "20 degC"),
        (712.094, "rotational_speed", "rpm", 4, "6800 rpm"),
        (1234567.0, "power", "W", 3, "1.23e+06 W"),
        (0.1, "dimensionless", "%", 3, "10 %"),
    ],
)
def test_prints(value: float, kind: str, unit: str | None, digits: int, expected: str) -> None:
    assert format_quantity(value, kind, unit, digits) == expected


@pytest.mark.parametrize(
    ("altitude", "pressure"),
    # ISO 2533:1975, table of the standard atmosphere (geopotential altitude, pressure in Pa), from memory.
    [(0.0, 101325.0), (500.0, 95460.8), (1000.0, 89874.6), (2000.0, 79495.2), (5000.0, 54019.9)],
)
def test_qnh_of_the_standard_day_gives_the_standard_atmosphere(altitude: float, pressure: float) -> None:
    assert station_pressure_from_qnh(101325.0, altitude) == pytest.approx(pressure, abs=0.06)


def test_qnh_is_the_station_pressure_at_sea_level_and_has_an_inverse() -> None:
    assert station_pressure_from_qnh(98000.0, 0.0) == pytest.approx(98000.0)
    station = station_pressure_from_qnh(102500.0, 1234.0)
    assert qnh_from_station_pressure(station, 1234.0) == pytest.approx(102500.0)


def test_qnh_is_reduced_as_the_physics_has_it() -> None:
    # Two places hold this relation, since the file reader stands below the physics: they must agree.
    for qnh, altitude in ((102000.0, 600.0), (99500.0, 2000.0), (103000.0, -100.0)):
        expected = float(standard_atmosphere.station_pressure_from_qnh(qnh, altitude))
        assert station_pressure_from_qnh(qnh, altitude) == pytest.approx(expected, rel=1e-12)
    assert station_pressure_from_qnh(102000.0, 600.0) == pytest.approx(94950.0, abs=5.0)


def test_an_altimeters_scale_differs_by_little() -> None:
    exponent = 1 / 5.255879812716677
    for qnh in (98000.0, 103500.0):
        for altitude in (300.0, 1200.0, 2500.0):
            shifted = 101325.0 * ((qnh / 101325.0) ** exponent - 0.0065 * altitude / 288.15) ** (1 / exponent)
            assert station_pressure_from_qnh(qnh, altitude) == pytest.approx(shifted, rel=3e-3)


def test_qnh_is_refused_above_the_troposphere() -> None:
    with pytest.raises(UnitError, match="11 000 m"):
        station_pressure_from_qnh(101325.0, 12000.0)
