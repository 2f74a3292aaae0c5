"""Broken fuel systems, blends, driveline losses and corrections: place, key, what is wrong and what would mend it."""

from __future__ import annotations

from pathlib import Path

import pytest
from fuel_system_example import SOUND_WITH_FUEL_SYSTEM
from sound_build import line_of, swap, write_build

from boostwright.build import check_build, read_build

PUMP = next(line for line in SOUND_WITH_FUEL_SYSTEM.splitlines() if line.startswith("pump_flow ="))
DEAD = next(line for line in SOUND_WITH_FUEL_SYSTEM.splitlines() if line.startswith("dead_time ="))


def changed(*pairs: tuple[str, str]) -> str:
    return swap(*pairs, text=SOUND_WITH_FUEL_SYSTEM)


# name -> (text, part of the fault's line or "", key, words of the message as the user reads it)
CASES: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "injector flow without its pressure": (
        changed(('injector_flow_pressure = "300 kPa"\n', "")),
        "",
        "fuel_system.injector_flow_pressure",
        ("is missing", "at which that flow was measured", 'injector_flow_pressure = "300 kPa"'),
    ),
    "injector flow without the liquid": (
        changed(('injector_test_liquid = "n-heptane"\n', "")),
        "",
        "fuel_system.injector_test_liquid",
        ("is missing", "What it was measured with"),
    ),
    "other liquid without its density": (
        changed(('injector_test_liquid = "n-heptane"', 'injector_test_liquid = "other"')),
        "",
        "fuel_system.injector_test_density",
        ("is missing", "injector_test_liquid is other"),
    ),
    "injector flow without unit": (
        changed(('injector_flow = "550 cm3/min"', "injector_flow = 550")),
        "injector_flow = 550",
        "fuel_system.injector_flow",
        ("has no unit",),
    ),
    "flow of the whole set by mass": (
        changed(('injector_flow = "550 cm3/min"', 'injector_flow = "25 lb/min"')),
        "injector_flow =",
        "fuel_system.injector_flow",
        ("is out of range", "flow of one injector"),
    ),
    "measured pressure as gauge": (
        changed(('injector_flow_pressure = "300 kPa"', 'injector_flow_pressure = "300 kPa gauge"')),
        "injector_flow_pressure =",
        "fuel_system.injector_flow_pressure",
        ("is a difference of pressures, which is not gauge",),
    ),
    "rail pressure without basis": (
        changed(('rail_pressure = "300 kPa gauge"', 'rail_pressure = "300 kPa"')),
        "rail_pressure =",
        "fuel_system.rail_pressure",
        ("does not say that it is gauge", 'rail_pressure = "300 kPa gauge"'),
    ),
    "absolute rail pressure": (
        changed(('rail_pressure = "300 kPa gauge"', 'rail_pressure = "400 kPa absolute"')),
        "rail_pressure =",
        "fuel_system.rail_pressure",
        ("is given as absolute", "what a gauge on the rail shows"),
    ),
    "reference of the rail not said": (
        changed(('rail_reference = "manifold"\n', "")),
        "",
        "fuel_system.rail_reference",
        ("is missing", "boost takes pressure off the injectors"),
    ),
    "rail below the boost": (
        changed(
            ('rail_reference = "manifold"', 'rail_reference = "air"'),
            ('rail_pressure = "300 kPa gauge"', 'rail_pressure = "60 kPa gauge"'),
        ),
        "rail_pressure =",
        "fuel_system.rail_pressure",
        ("is not above the highest boost asked", "no fuel would flow"),
    ),
    "direct injection without a window": (
        changed(('injection = "port"', 'injection = "direct"\nfeed_pressure = "500 kPa gauge"')),
        "",
        "fuel_system.injection_window",
        ("is missing", "injection is direct"),
    ),
    "pump flow as one number": (
        changed((PUMP, 'pump_flow = "255 L/h"')),
        "pump_flow =",
        "fuel_system.pump_flow",
        ("says nothing of the pressure", "values over pressure"),
    ),
    "pump flow rising": (
        changed((PUMP, PUMP.replace("[265, 245, 220, 190]", "[190, 220, 245, 265]"))),
        "pump_flow =",
        "fuel_system.pump_flow",
        ("rises towards 300 kPa", "less against more pressure", "same order"),
    ),
    "pressures of the pump out of order": (
        changed((PUMP, PUMP.replace("[200, 300, 400, 500]", "[200, 400, 300, 500]"))),
        "pump_flow =",
        "fuel_system.pump_flow.pressure",
        ("does not rise: 300 stands after 400", "every pressure above the one before"),
    ),
    "pump curve without basis": (
        changed((PUMP, PUMP.replace('basis = "gauge", ', ""))),
        "pump_flow =",
        "fuel_system.pump_flow",
        ("does not say that its pressure is gauge", 'basis = "gauge"'),
    ),
    "pump curve absolute": (
        changed((PUMP, PUMP.replace('basis = "gauge"', 'basis = "absolute"'))),
        "pump_flow =",
        "fuel_system.pump_flow.basis",
        ("has no meaning here", "air's pressure off and write gauge"),
    ),
    "pump curve with too few flows": (
        changed((PUMP, PUMP.replace("[265, 245, 220, 190]", "[265, 245, 220]"))),
        "pump_flow =",
        "fuel_system.pump_flow",
        ("has 4 pressures and 3 values", "as many values as pressures"),
    ),
    "pump curve without unit of flow": (
        changed((PUMP, PUMP.replace(', value_unit = "L/h"', ""))),
        "pump_flow =",
        "fuel_system.pump_flow",
        ("has no value_unit", "L/h"),
    ),
    "pump flow far too large": (
        changed((PUMP, PUMP.replace("L/h", "L/min"))),
        "pump_flow =",
        "fuel_system.pump_flow",
        ("at 200 kPa is 265 L/min, which is out of range",),
    ),
    "pump without its voltage": (
        changed(('pump_voltage = "13.0 V"\n', "")),
        "",
        "fuel_system.pump_voltage",
        ("is missing", "pump's own terminals"),
    ),
    "dead time out of range": (
        changed((DEAD, DEAD.replace('"ms"', '"s"'))),
        "dead_time =",
        "fuel_system.dead_time",
        ("at 10 V is 1.6 s, which is out of range",),
    ),
    "keys of injectors without injection": (
        changed(
            ('injection = "port"\n', ""),
            ('pump = "electric"\n', ""),
            (PUMP, ""),
            ('pump_flow_voltage = "13.5 V"\npump_voltage = "13.0 V"\n', ""),
        ),
        "injector_count =",
        "fuel_system.injector_count",
        ("is given, but injection is none", 'Write injection = "port"'),
    ),
    "keys of a pump without the pump": (
        changed(('pump = "electric"\n', "")),
        "pump_flow =",
        "fuel_system.pump_flow",
        ("is given, but pump is none", 'Write pump = "electric"'),
    ),
    "blend without its share": (
        changed(('card = "petrol-ron98"\n', 'card = "petrol-ron98"\nblend_card = "ethanol"\n')),
        "",
        "fuel.blend_share",
        ("is missing", "blend_card is given"),
    ),
    "share of volume or of mass": (
        changed(
            ('card = "petrol-ron98"\n', 'card = "petrol-ron98"\nblend_card = "ethanol"\nblend_share = 0.3\n')
        ),
        "blend_share =",
        "fuel.blend_share",
        ("does not say whether it is volume or mass", 'blend_share_basis = "volume"'),
    ),
    "share in per cent without the sign": (
        changed(
            (
                'card = "petrol-ron98"\n',
                'card = "petrol-ron98"\nblend_card = "ethanol"\nblend_share = 30\nblend_share_basis = "volume"\n',
            )
        ),
        "blend_share = 30",
        "fuel.blend_share",
        ("is out of range", "Did you mean 0.3?"),
    ),
    "share of nothing": (
        changed(
            (
                'card = "petrol-ron98"\n',
                'card = "petrol-ron98"\nblend_share = 0.3\nblend_share_basis = "volume"\n',
            )
        ),
        "blend_share =",
        "fuel.blend_share",
        ("is a share of a second fuel that is not named",),
    ),
    "blend with a fuel nobody has": (
        changed(
            (
                'card = "petrol-ron98"\n',
                'card = "petrol-ron98"\nblend_card = "ethanool"\nblend_share = 0.3\nblend_share_basis = "volume"\n',
            )
        ),
        "blend_card =",
        "fuel.blend_card",
        ("There is no fuel card 'ethanool'", "Nearest: ethanol"),
    ),
    "correction by no known rule": (
        changed(("\n[prediction]", '\n[power_correction]\nmethod = "sae"\n\n[prediction]')),
        "method =",
        "power_correction.method",
        ("is not one of the allowed words", '"sae-j1349"'),
    ),
    "loss share without saying how it is known": (
        changed(("\n[prediction]", '\n[driveline]\nloss_model = "share"\nloss_share = 0.14\n\n[prediction]')),
        "",
        "driveline.loss_status",
        ("is missing", "How the loss is known"),
    ),
    "drag that no model takes": (
        changed(
            (
                "\n[prediction]",
                '\n[driveline]\nloss_model = "share"\nloss_share = 0.14\nloss_status = "believed"\n'
                'drag_torque = "10 Nm"\n\n[prediction]',
            )
        ),
        "drag_torque =",
        "driveline.drag_torque",
        ("is given, but loss_model is share",),
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_is_refused_in_words_that_help(name: str, tmp_path: Path) -> None:
    text, part, key, words = CASES[name]
    folder = write_build(tmp_path, text)
    before = (folder / "build.toml").read_bytes()
    checked = check_build(folder)
    assert [fault.key for fault in checked.faults] == [key], [str(fault) for fault in checked.faults]
    fault = checked.faults[0]
    if part:
        assert fault.line == line_of(text, part)
    for word in words:
        assert word in str(fault)
    assert (folder / "build.toml").read_bytes() == before


def test_a_slip_in_a_key_of_a_curve_names_the_nearest(tmp_path: Path) -> None:
    text = changed((PUMP, PUMP.replace("value_unit", "value_units")))
    faults = {fault.key: str(fault) for fault in check_build(write_build(tmp_path, text)).faults}
    assert "Did you mean value_unit?" in faults["fuel_system.pump_flow.value_units"]
    assert "has no value_unit" in faults["fuel_system.pump_flow"]


def test_without_a_break_there_is_no_fault_and_no_warning(tmp_path: Path) -> None:
    checked = check_build(write_build(tmp_path, SOUND_WITH_FUEL_SYSTEM))
    assert checked.faults == ()
    assert not [warning for warning in checked.warnings if warning.key.startswith("fuel")]


@pytest.mark.parametrize(
    ("pairs", "key", "words"),
    [
        (
            (("injector_count = 5", "injector_count = 4"),),
            "fuel_system.injector_count",
            "is less than the 5 cylinders",
        ),
        (
            (('injection = "port"', 'injection = "none"'),),
            "fuel_system.injector_count",
            "is given, but injection is none",
        ),
        (
            ((DEAD, DEAD + '\ninjector_voltage = "14.5 V"'),),
            "fuel_system.dead_time",
            "says nothing at 14.5 V; the end value is taken there",
        ),
        (
            (
                (
                    'card = "petrol-ron98"\n',
                    'card = "petrol-ron98"\nblend_card = "petrol-ron98"\nblend_share = 0.3\n'
                    'blend_share_basis = "mass"\n',
                ),
            ),
            "fuel.blend_card",
            "is the fuel it is mixed into",
        ),
    ],
)
def test_is_asked_about(pairs: tuple[tuple[str, str], ...], key: str, words: str, tmp_path: Path) -> None:
    checked = check_build(write_build(tmp_path, changed(*pairs)))
    assert checked.faults == ()
    assert [str(w) for w in checked.warnings if w.key == key and words in str(w)]


def test_curves_over_pressure_and_voltage_are_in_si(tmp_path: Path) -> None:
    section = read_build(write_build(tmp_path, SOUND_WITH_FUEL_SYSTEM))["fuel_system"]
    pump, dead = section.points("pump_flow"), section.points("dead_time")
    assert pump.axis_points == pytest.approx((2e5, 3e5, 4e5, 5e5))
    assert pump.value_points == pytest.approx([flow / 3.6e6 for flow in (265, 245, 220, 190)])
    assert dead.value_points == pytest.approx((1.6e-3, 1.2e-3, 0.9e-3))
    assert section.si("rail_pressure") == pytest.approx(3e5)
    with pytest.raises(KeyError, match="no curve"):
        section.points("rail_pressure")


def test_a_dead_time_may_be_one_number(tmp_path: Path) -> None:
    section = read_build(write_build(tmp_path, changed((DEAD, 'dead_time = "0.8 ms"'))))["fuel_system"]
    assert section.points("dead_time").is_constant
    assert section.points("dead_time").value_points == pytest.approx((0.8e-3,))
