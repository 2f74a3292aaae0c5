"""Limits that contradict each other and rods that cannot be: both lines named, nothing guessed about a limit."""

from __future__ import annotations

from pathlib import Path

import pytest
from sound_build import SOUND, line_of, swap, write_build

from boostwright.tasks.check_build import CheckResult, check

RODS = """\
[rods]
given_as = "both"
believed_torque = "420 Nm"
believed_torque_basis = "crank"
believed_speed = "4000 rpm"
section = "i-beam"
section_depth = "24 mm"
section_width = "15 mm"
flange_thickness = "4 mm"
web_thickness = "4 mm"
material = "steel-c70s6"
reciprocating_mass = "0.55 kg"
bolt_count = 2
bolt_diameter = "9 mm"
bolt_pitch = "1 mm"
bolt_class = "10.9"

[limits]
torque = "400 Nm"
torque_basis = "crank"
peak_pressure = "120 bar absolute"
egt_reading = "950 degC"
temperature_im = "70 degC"
latest_phasing = "28 deg"
driveline_torque = "450 Nm"
driveline_torque_basis = "crank"

[limits.own.silencer]
quantity = "pressure_4"
upper = "130 kPa absolute"
margin = 0.02

[limits.own.coolness]
quantity = "temperature_im"
lower = "10 degC"

[prediction]
speeds"""
WHOLE = swap(
    ("[prediction]\nspeeds", RODS), ('stroke = "92 mm"', 'stroke = "92 mm"\nconnecting_rod_length = "148 mm"')
)


def changed(*pairs: tuple[str, str]) -> str:
    return swap(*pairs, text=WHOLE)


# name -> (text, part of the fault's line or "", key, words of the message as the user reads it)
CASES: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "torque cap without its basis": (
        changed(('torque_basis = "crank"\npeak', "peak")),
        "",
        "limits.torque_basis",
        ("is missing", "crank, or wheel"),
    ),
    "cap at the wheels without a driveline": (
        changed(('\ntorque_basis = "crank"', '\ntorque_basis = "wheel"')),
        'torque_basis = "wheel"',
        "limits.torque_basis",
        ("[driveline] says no loss", 'loss_model = "share"'),
    ),
    "clutch at the wheels without a driveline": (
        changed(('driveline_torque_basis = "crank"', 'driveline_torque_basis = "wheel"')),
        "driveline_torque_basis",
        "limits.driveline_torque_basis",
        ("[driveline] says no loss",),
    ),
    "margin of everything": (
        changed(('torque_basis = "crank"\npeak', 'torque_basis = "crank"\ntorque_margin = 1.0\npeak')),
        "torque_margin = 1.0",
        "limits.torque_margin",
        ("is out of range", "0.0 to 0.9"),
    ),
    "margin in per cent without the sign": (
        changed(('torque_basis = "crank"\npeak', 'torque_basis = "crank"\ntorque_margin = 5\npeak')),
        "torque_margin = 5",
        "limits.torque_margin",
        ("Did you mean 0.05?",),
    ),
    "a limit with a band": (
        changed(('torque = "400 Nm"\n', 'torque = "400 Nm +- 10 Nm"\n')),
        'torque = "400 Nm +- 10 Nm"',
        "limits.torque",
        ("is a decision", "what is doubtful about a limit is its margin"),
    ),
    "EGT below the charge": (
        changed(('egt_reading = "950 degC"', 'egt_reading = "360 degC"\negt_reading_margin = "295 K"')),
        'egt_reading = "360 degC"',
        "limits.egt_reading",
        ("65 degC, not above limits.temperature_im", "(70 degC, build.toml, line ", "exhaust is hotter"),
    ),
    "knock cap before the best spark": (
        changed(('latest_phasing = "28 deg"', 'latest_phasing = "6 deg"')),
        "latest_phasing",
        "limits.latest_phasing",
        ("is not later than spark.best_phasing (8 deg",),
    ),
    "peak pressure below compression": (
        changed(('peak_pressure = "120 bar absolute"', 'peak_pressure = "20 bar absolute"')),
        "peak_pressure = ",
        "limits.peak_pressure",
        ("that compression alone brings", "boost", "Is it a pressure in the cylinder?"),
    ),
    "peak pressure in gauge": (
        changed(('peak_pressure = "120 bar absolute"', 'peak_pressure = "120 bar gauge"')),
        "peak_pressure = ",
        "limits.peak_pressure",
        ("a cylinder pressure is absolute here".capitalize(),),
    ),
    "own limit lower above upper": (
        changed(('upper = "130 kPa absolute"', 'upper = "130 kPa absolute"\nlower = "140 kPa absolute"')),
        'lower = "140 kPa absolute"',
        "limits.own.silencer.lower",
        ('is not below upper = "130 kPa absolute" (build.toml, line ', "no value keeps both"),
    ),
    "own limit above the limit beside it": (
        changed(('lower = "10 degC"', 'lower = "80 degC"')),
        'lower = "80 degC"',
        "limits.own.coolness.lower",
        ("is not below limits.temperature_im (build.toml, line ", "both are on temperature_im"),
    ),
    "own limit with two units": (
        changed(('upper = "130 kPa absolute"', 'upper = "130 kPa absolute"\nlower = "10 degC"')),
        "[limits.own.silencer]",
        "limits.own.silencer",
        ("bounds that do not measure the same",),
    ),
    "own limit of an unknown quantity": (
        changed(('quantity = "pressure_4"', 'quantity = "presure_4"')),
        "[limits.own.silencer]",
        "limits.own.silencer.quantity",
        ("is no quantity of a prediction", "Did you mean pressure_4?"),
    ),
    "own limit in the wrong kind of unit": (
        changed(('upper = "130 kPa absolute"', 'upper = "130 degC"')),
        "[limits.own.silencer]",
        "limits.own.silencer.upper",
        ("unit of temperature", "counted in one of pressure"),
    ),
    "own limit without its basis": (
        changed(('upper = "130 kPa absolute"', 'upper = "130 kPa"')),
        "[limits.own.silencer]",
        "limits.own.silencer.upper",
        ("does not say whether it is gauge or absolute", "pressure_4 is counted absolute"),
    ),
    "own limit in gauge on an absolute quantity": (
        changed(('upper = "130 kPa absolute"', 'upper = "30 kPa gauge"')),
        "[limits.own.silencer]",
        "limits.own.silencer.upper",
        ("is given as gauge, and pressure_4 is counted absolute",),
    ),
    "own limit with nothing to hold": (
        changed(('upper = "130 kPa absolute"\n', "")),
        "[limits.own.silencer]",
        "limits.own.silencer",
        ("has neither upper nor lower",),
    ),
    "own limit that keeps all of itself": (
        changed(("margin = 0.02", "margin = 1.0")),
        "margin = 1.0",
        "limits.own.silencer.margin",
        ("nothing would be left",),
    ),
    "own limit with a key of its own": (
        changed(("margin = 0.02", "marign = 0.02")),
        "marign",
        "limits.own.silencer.marign",
        ("is no key of this value", "Did you mean margin?"),
    ),
    "belief without its basis": (
        changed(('believed_torque_basis = "crank"\n', "")),
        "",
        "rods.believed_torque_basis",
        ("is missing", "wheel"),
    ),
    "belief at the wheels without a driveline": (
        changed(('believed_torque_basis = "crank"', 'believed_torque_basis = "wheel"')),
        "believed_torque_basis",
        "rods.believed_torque_basis",
        ("[driveline] says no loss",),
    ),
    "rods without their length": (
        changed(('\nconnecting_rod_length = "148 mm"', "")),
        "",
        "engine.connecting_rod_length",
        ("is missing", "what the rods bear"),
    ),
    "a rod that the crank cannot turn": (
        changed(('connecting_rod_length = "148 mm"', 'connecting_rod_length = "45 mm"')),
        "connecting_rod_length",
        "engine.connecting_rod_length",
        ("no longer than half the stroke (92 mm)", "centre to centre"),
    ),
    "rods of a material nobody knows": (
        changed(('material = "steel-c70s6"', 'material = "steel-c70s7"')),
        'material = "steel-c70s7"',
        "rods.material",
        ("steel-c70s6",),
    ),
    "rods of a material without a yield strength": (
        changed(('material = "steel-c70s6"', 'material = "cast-iron-grey"')),
        "material =",
        "rods.material",
        ("has no yield_strength",),
    ),
    "flanges that meet": (
        changed(('flange_thickness = "4 mm"', 'flange_thickness = "12.5 mm"')),
        "flange_thickness",
        "rods.flange_thickness",
        ("the flanges would meet",),
    ),
    "a web as wide as its flanges": (
        changed(('web_thickness = "4 mm"', 'web_thickness = "15 mm"')),
        "web_thickness",
        "rods.web_thickness",
        ("that is a solid bar",),
    ),
    "dimensions beside a belief alone": (
        changed(('given_as = "both"', 'given_as = "belief"')),
        'section = "i-beam"',
        "rods.section",
        ("given_as is belief: it would not be used",),
    ),
    "bolts without their number": (
        changed(("bolt_count = 2\n", "")),
        "bolt_diameter",
        "rods.bolt_diameter",
        ("bolts would not be watched", "bolt_count = 2"),
    ),
    "piston heavier than what moves": (
        changed(('reciprocating_mass = "0.55 kg"', 'reciprocating_mass = "0.55 kg"\npiston_mass = "600 g"')),
        "reciprocating_mass",
        "rods.reciprocating_mass",
        ("is not above piston_mass (600 g)",),
    ),
    "piston without its pin": (
        changed(('reciprocating_mass = "0.55 kg"', 'piston_mass = "310 g"')),
        "",
        "rods.pin_mass",
        ("is missing beside piston_mass",),
    ),
    "preload above proof": (
        changed(('bolt_class = "10.9"', 'bolt_proof_load = "40 kN"\nbolt_preload = "41 kN"')),
        "bolt_preload",
        "rods.bolt_preload",
        ("is not below bolt_proof_load (40 kN)",),
    ),
    "a mass without unit": (
        changed(('reciprocating_mass = "0.55 kg"', "reciprocating_mass = 0.55")),
        "reciprocating_mass",
        "rods.reciprocating_mass",
        ("has no unit",),
    ),
    "neither true nor false": (
        changed(('given_as = "both"', 'given_as = "both"\nallow_above_belief = "yes"')),
        "allow_above_belief",
        "rods.allow_above_belief",
        ("is not one of the allowed words", "true"),
    ),
}

ASKED: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "cap above the belief": (
        changed(('torque = "400 Nm"', 'torque = "440 Nm"')),
        "limits.torque",
        ("is above rods.believed_torque (420 Nm, build.toml, line ", "allow_above_belief = true"),
    ),
    "cap that is the belief's number on the other basis": (
        changed(
            ('torque = "400 Nm"\n', 'torque = "420 Nm"\n'),
            ('\ntorque_basis = "crank"', '\ntorque_basis = "wheel"'),
            (
                "[limits]",
                '[driveline]\nloss_model = "share"\nloss_share = 0.15\nloss_status = "believed"\n[limits]',
            ),
        ),
        "limits.torque",
        (
            "is said to be at the wheel, and is the same number as rods.believed_torque, which is at the crank",
        ),
    ),
    "belief above the speed limit": (
        changed(('believed_speed = "4000 rpm"', 'believed_speed = "7500 rpm"')),
        "rods.believed_speed",
        ("is above engine.speed_limit (6800 rpm)",),
    ),
    "a heavy margin": (
        changed(('torque_basis = "crank"\npeak', 'torque_basis = "crank"\ntorque_margin = "40 %"\npeak')),
        "limits.torque_margin",
        ("is unusual",),
    ),
}


def test_whole_it_has_no_fault_and_asks_nothing(tmp_path: Path) -> None:
    found = check(write_build(tmp_path, WHOLE))
    assert found.faults == ()
    assert [w for w in found.warnings if w.key.startswith(("rods", "limits"))] == []


@pytest.mark.parametrize("name", CASES)
def test_is_refused_with_place_and_reason(name: str, tmp_path: Path) -> None:
    text, part, key, words = CASES[name]
    folder = write_build(tmp_path, text)
    before = (folder / "build.toml").read_bytes()
    found: CheckResult = check(folder)
    assert not found.sound
    mine = [fault for fault in found.faults if fault.key == key]
    assert mine, [str(fault) for fault in found.faults]
    assert len(found.faults) == len(mine) == 1, [str(fault) for fault in found.faults]
    message = str(mine[0])
    for word in words:
        assert word in message, message
    assert mine[0].line == (line_of(text, part) if part else 0), message
    assert (folder / "build.toml").read_bytes() == before


@pytest.mark.parametrize("name", ASKED)
def test_is_asked_about(name: str, tmp_path: Path) -> None:
    text, key, words = ASKED[name]
    found = check(write_build(tmp_path, text))
    assert found.faults == ()
    mine = [str(warning) for warning in found.warnings if warning.key == key]
    assert any(all(word in message for word in words) for message in mine), mine


def test_a_known_curve_at_the_wheels_whose_peak_is_typed_as_cap_at_the_crank(tmp_path: Path) -> None:
    ve = next(line for line in SOUND.splitlines() if line.startswith("volumetric_efficiency"))
    known = """source = "known-curve"
known_torque = { speed = [2000, 4000, 6000], unit = "rpm", value = [190, 220, 195], value_unit = "Nm" }
known_curve_at = "wheel"
known_curve_air = "din-70020\""""
    text = swap(
        (ve, known),
        ("[prediction]", '[driveline]\nloss_model = "share"\nloss_share = 0.15\nloss_status = "believed"\n'
         '[limits]\ntorque = "220 Nm"\ntorque_basis = "crank"\n[prediction]'),
    )  # fmt: skip
    found = check(write_build(tmp_path, text))
    assert found.faults == (), [str(fault) for fault in found.faults]
    words = "is the same number as the highest torque of breathing.known_torque, which is at the wheel"
    assert [w for w in found.warnings if w.key == "limits.torque" and words in str(w)]
