"""Cams and curves that cannot be, and what is asked about: line, key, value and remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from sound_build import line_of, swap, write_build

from boostwright.build import check_build
from boostwright.errors import Fault

TABLE = 'volumetric_efficiency = { speed = [1500, 4500, 7000], unit = "rpm", value = [0.82, 0.97, 0.86] }\n'
CAMS = """source = "cams"
intake_valve_diameter = "32 mm"
exhaust_valve_diameter = "28 mm"
intake_valve_lift = "9.5 mm"
exhaust_valve_lift = "9.0 mm"
cam_lift_basis = "1-mm"
intake_opening = "2 deg"
intake_closing = "38 deg"
exhaust_opening = "40 deg"
exhaust_closing = "1 deg"
"""
CURVE = """source = "known-curve"
known_torque = { speed = [2000, 4000, 6000], unit = "rpm", value = [190, 220, 195], value_unit = "Nm" }
known_curve_at = "crank"
known_curve_air = "din-70020"
"""
DRIVELINE = '[driveline]\nloss_model = "share"\nloss_share = 0.14\nloss_status = "believed"\n\n[prediction]'
OPENING = 'intake_opening = "2 deg"\n'
WITH_CAMS = swap((TABLE, CAMS))
WITH_CURVE = swap((TABLE, CURVE))

# name -> (text, part of the fault's line or "" for none, key, words of the message)
CASES: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "intake closes before it opens": (
        swap(('intake_opening = "2 deg"', 'intake_opening = "-85 deg"'),
             ('intake_closing = "38 deg"', 'intake_closing = "-89 deg"\nintake_duration = "220 deg"'), text=WITH_CAMS),
        'intake_duration = "220 deg"',
        "breathing.intake_duration",
        ("says nothing without intake_centreline",),
    ),
    "intake hardly open": (
        swap(('intake_opening = "2 deg"', 'intake_opening = "-80 deg"'), text=WITH_CAMS),
        'intake_closing = "38 deg"',
        "breathing.intake_closing",
        ("open for 138 deg", "140 deg to 380 deg", "minus sign is its other side"),
    ),
    "overlap larger than reason": (
        swap(('intake_opening = "2 deg"', 'intake_opening = "75 deg"'),
             ('exhaust_closing = "1 deg"', 'exhaust_closing = "80 deg"'), text=WITH_CAMS),
        'exhaust_closing = "80 deg"',
        "breathing.exhaust_closing",
        ("open together for 155 deg", "up to 140 deg", "wrong dead centre"),
    ),
    "closing from the wrong dead centre": (
        swap(('intake_closing = "38 deg"', 'intake_closing = "218 deg"'), text=WITH_CAMS),
        'intake_closing = "218 deg"',
        "breathing.intake_closing",
        ("out of range", "-90 deg to 130 deg"),
    ),
    "lift beyond half the valve": (
        swap(('intake_valve_lift = "9.5 mm"', 'intake_valve_lift = "17 mm"'), text=WITH_CAMS),
        'intake_valve_lift = "17 mm"',
        "breathing.intake_valve_lift",
        ("more than half the valve's diameter (32 mm)",),
    ),
    "valves that do not fit the bore": (
        swap(('intake_valve_diameter = "32 mm"', 'intake_valve_diameter = "48 mm"'), text=WITH_CAMS),
        'intake_valve_diameter = "48 mm"',
        "breathing.intake_valve_diameter",
        ("do not fit a bore of 83 mm", "one valve's head"),
    ),
    "two valves that do not fit the bore": (
        swap(('intake_valve_diameter = "32 mm"', 'intake_valve_diameter = "48 mm"\nintake_valves = 1'),
             ('exhaust_valve_lift = "9.0 mm"', 'exhaust_valve_lift = "9.0 mm"\nexhaust_valves = 1'),
             ('exhaust_valve_diameter = "28 mm"', 'exhaust_valve_diameter = "44 mm"'), text=WITH_CAMS),
        'intake_valve_diameter = "48 mm"',
        "breathing.intake_valve_diameter",
        ("do not fit a bore of 83 mm",),
    ),
    "angle without its lift": (
        swap(('cam_lift_basis = "1-mm"\n', ""), text=WITH_CAMS),
        "",
        "breathing.cam_lift_basis",
        ("is missing", "source is cams", "seat"),
    ),
    "angle without a unit": (
        swap(('intake_closing = "38 deg"', "intake_closing = 38"), text=WITH_CAMS),
        "intake_closing = 38",
        "breathing.intake_closing",
        ("has no unit", '"38 deg"'),
    ),
    "centreline beside events": (
        swap((OPENING, 'intake_centreline = "108 deg"\nintake_duration = "220 deg"\n'), text=WITH_CAMS),
        'intake_closing = "38 deg"',
        "breathing.intake_closing",
        ("stands beside intake_centreline",),
    ),
    "centreline without duration": (
        swap((OPENING + 'intake_closing = "38 deg"\n', 'intake_centreline = "108 deg"\n'), text=WITH_CAMS),
        "",
        "breathing.intake_duration",
        ("is missing", "intake_centreline is given"),
    ),
    "table and cams": (
        swap((CAMS, CAMS + TABLE), text=WITH_CAMS),
        TABLE.strip(),
        "breathing.volumetric_efficiency",
        ('stands beside source = "cams"', "--set breathing.volumetric_efficiency="),
    ),
    "no source at all": (
        swap((TABLE, "")),
        "",
        "breathing.volumetric_efficiency",
        ("is missing", "source is table"),
    ),
    "unknown source": (
        swap(('source = "cams"', 'source = "cam"'), text=WITH_CAMS),
        'source = "cam"',
        "breathing.source",
        ('"table", "cams", "known-curve"', 'Did you mean "cams"?'),
    ),
    "compression ratio of 1": (
        swap(("compression_ratio = 9.0", "compression_ratio = 1.0"), text=WITH_CAMS),
        "compression_ratio = 1.0",
        "engine.compression_ratio",
        ("out of range", "no compression"),
    ),
    "torque and power": (
        swap(('known_curve_at = "crank"', 'known_power = "100 kW"\nknown_curve_at = "crank"'), text=WITH_CURVE),
        'known_power = "100 kW"',
        "breathing.known_power",
        ("stands beside known_torque",),
    ),
    "crank or wheel not said": (
        swap(('known_curve_at = "crank"\n', ""), text=WITH_CURVE),
        "",
        "breathing.known_curve_at",
        ("is missing", "crank"),
    ),
    "air not said": (
        swap(('known_curve_air = "din-70020"\n', ""), text=WITH_CURVE),
        "",
        "breathing.known_curve_air",
        ("is missing",),
    ),
    "a day without its barometer": (
        swap(('"din-70020"', '"as-measured"\nknown_curve_temperature = "20 degC"'), text=WITH_CURVE),
        "",
        "breathing.known_curve_pressure",
        ("is missing", "known_curve_air is as-measured"),
    ),
    "wheel figures without a driveline": (
        swap(('known_curve_at = "crank"', 'known_curve_at = "wheel"'), text=WITH_CURVE),
        'known_curve_at = "wheel"',
        "breathing.known_curve_at",
        ("driveline.loss_model is none", "loss_share"),
    ),
    "a curve ten times too high": (
        swap(("[190, 220, 195]", "[1900, 2200, 1950]"), text=WITH_CURVE),
        "known_torque",
        "breathing.known_torque",
        ("brake mean effective pressure", "no unboosted engine"),
    ),
}  # fmt: skip

# name -> (text, part of the line, key, words): taken, and asked about
ASKED: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "wheel curve typed as crank": (
        swap(("[190, 220, 195]", "[140, 165, 145]"), text=WITH_CURVE),
        "known_torque",
        "breathing.known_torque",
        ("low for a crankshaft", 'known_curve_at = "wheel"'),
    ),
    "curve with boost": (
        swap(("[190, 220, 195]", "[250, 300, 260]"), text=WITH_CURVE),
        "known_torque",
        "breathing.known_torque",
        ("high without boost", "multiplied already"),
    ),
    "crank curve typed as wheel": (
        swap(('known_curve_at = "crank"', 'known_curve_at = "wheel"'), ("[190, 220, 195]", "[250, 275, 255]"),
             ("[prediction]", DRIVELINE), text=WITH_CURVE),
        "known_torque",
        "breathing.known_torque",
        ("high without boost",),
    ),
    "much overlap": (
        swap(('intake_opening = "2 deg"', 'intake_opening = "30 deg"'),
             ('exhaust_closing = "1 deg"', 'exhaust_closing = "30 deg"'), text=WITH_CAMS),
        'exhaust_closing = "30 deg"',
        "breathing.exhaust_closing",
        ("open together for 60 deg at 1-mm lift", "runs back"),
    ),
    "half a cam beside a table": (
        swap((TABLE, TABLE + 'intake_opening = "5 deg"\n')),
        'intake_opening = "5 deg"',
        "breathing.intake_opening",
        ("is not used", "Add what is missing"),
    ),
    "curve that nobody reads": (
        swap((TABLE, TABLE + CURVE.split("\n")[1] + "\n")),
        "known_torque",
        "breathing.known_torque",
        ("is not used", 'source = "known-curve"'),
    ),
}  # fmt: skip


def found(faults: tuple[Fault, ...], key: str) -> Fault:
    """The fault at that key."""
    at_key = [fault for fault in faults if fault.key == key]
    assert at_key, "\n".join(str(fault) for fault in faults) or "no fault at all"
    return at_key[0]


def compare(fault: Fault, text: str, part: str, words: tuple[str, ...]) -> None:
    shown = str(fault)
    for word in words:
        assert word in shown, shown
    assert fault.line == (line_of(text, part) if part else 0)
    if part:
        assert f"line {fault.line}" in shown


@pytest.mark.parametrize("name", CASES)
def test_refused(name: str, tmp_path: Path) -> None:
    text, part, key, words = CASES[name]
    checked = check_build(write_build(tmp_path / "build", text))
    assert checked.build is None
    compare(found(checked.faults, key), text, part, words)


@pytest.mark.parametrize("name", ASKED)
def test_asked_about(name: str, tmp_path: Path) -> None:
    text, part, key, words = ASKED[name]
    checked = check_build(write_build(tmp_path / "build", text))
    assert checked.build is not None, "\n".join(str(fault) for fault in checked.faults)
    compare(found(checked.warnings, key), text, part, words)


@pytest.mark.parametrize("text", [WITH_CAMS, WITH_CURVE], ids=["cams", "known curve"])
def test_a_sound_description_is_taken_without_a_word(text: str, tmp_path: Path) -> None:
    checked = check_build(write_build(tmp_path / "build", text))
    assert checked.build is not None, "\n".join(str(fault) for fault in checked.faults)
    assert not [
        w for w in checked.warnings if w.key.startswith("breathing.") and "says nothing" not in w.message
    ]
