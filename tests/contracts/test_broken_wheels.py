"""Wheels that cannot be, and two descriptions of one machine: refused with line, key, value and remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from sound_build import line_of, swap, write_build

from boostwright.build import check_build
from boostwright.errors import Fault

COMPRESSOR = """given_as = "wheel"
inducer_tip_diameter = "43 mm"
inducer_hub_diameter = "13 mm"
exducer_diameter = "58 mm"
tip_width = "4.0 mm"
full_blades = 6
splitter_blades = 6
"""
TURBINE = """given_as = "wheel"
wheel_diameter = "54 mm"
tip_width = "7.3 mm"
exducer_diameter = "48 mm"
exducer_hub_diameter = "15 mm"
blades = 11
a_over_r = "0.64 in"
"""
NUMBER = 'choked_flow = "0.022 kg/s*sqrt(K)/kPa"\nwheel_diameter = "55 mm"\n'
CARD = 'card = "scaled-cc3-60mm"\n'
WHEELS = swap((CARD, COMPRESSOR), (NUMBER, TURBINE))

# name -> (text, part of the fault's line or "" for none, key, words of the message)
CASES: dict[str, tuple[str, str, str, tuple[str, ...]]] = {
    "exducer smaller than inducer": (
        swap(('"43 mm"', '"63 mm"'), text=WHEELS),
        'exducer_diameter = "58 mm"',
        "compressor.exducer_diameter",
        ('"58 mm"', "not larger than the inducer (63 mm)", "exchanged?"),
    ),
    "hub as large as the inducer": (
        swap(('inducer_hub_diameter = "13 mm"', 'inducer_hub_diameter = "43 mm"'), text=WHEELS),
        'inducer_hub_diameter = "43 mm"',
        "compressor.inducer_hub_diameter",
        ("no opening is left", "below 43 mm", "nose"),
    ),
    "trim far too small": (
        swap(('"43 mm"', '"20 mm"'), text=WHEELS),
        'inducer_tip_diameter = "20 mm"',
        "compressor.inducer_tip_diameter",
        ("a trim of 12", "15 to 90", "same unit"),
    ),
    "trim far too large": (
        swap(('"43 mm"', '"57 mm"'), text=WHEELS),
        'inducer_tip_diameter = "57 mm"',
        "compressor.inducer_tip_diameter",
        ("a trim of 97", "15 to 90"),
    ),
    "no blades": (
        swap(("full_blades = 6", "full_blades = 0"), text=WHEELS),
        "full_blades = 0",
        "compressor.full_blades",
        ("= 0:", "out of range", "2 to 40"),
    ),
    "blades below none": (
        swap(("splitter_blades = 6", "splitter_blades = -6"), text=WHEELS),
        "splitter_blades = -6",
        "compressor.splitter_blades",
        ("out of range", "0 to 40"),
    ),
    "half a blade": (
        swap(("full_blades = 6", "full_blades = 6.5"), text=WHEELS),
        "full_blades = 6.5",
        "compressor.full_blades",
        ("no whole number",),
    ),
    "inches without saying so": (
        swap(('tip_width = "4.0 mm"', "tip_width = 0.16"), text=WHEELS),
        "tip_width = 0.16",
        "compressor.tip_width",
        ("has no unit",),
    ),
    "blades that fill their own gap": (
        swap(('tip_width = "4.0 mm"', 'tip_width = "4.0 mm"\nclearance = "1.4 mm"'), text=WHEELS),
        'clearance = "1.4 mm"',
        "compressor.clearance",
        ("leaves no blade", "4.0 mm", "0.3 of the tip width"),
    ),
    "a dimension forgotten": (
        swap(('exducer_diameter = "58 mm"\n', ""), text=WHEELS),
        "",
        "compressor.exducer_diameter",
        ("is missing", "given_as is wheel", 'exducer_diameter = "58 mm"'),
    ),
    "card and wheel": (
        swap((COMPRESSOR, COMPRESSOR + CARD), text=WHEELS),
        CARD,
        "compressor.card",
        ('stands beside given_as = "wheel"', "--set compressor.card="),
    ),
    "wheel without saying so": (
        swap((CARD, CARD + 'exducer_diameter = "58 mm"\n')),
        'exducer_diameter = "58 mm"',
        "compressor.exducer_diameter",
        ("stands beside a card", "--set compressor.exducer_diameter="),
    ),
    "no such description": (
        swap(('given_as = "wheel"\ninducer', 'given_as = "weel"\ninducer'), text=WHEELS),
        'given_as = "weel"',
        "compressor.given_as",
        ('"card", "wheel"', 'Did you mean "wheel"?'),
    ),
    "turbine's exducer larger than its wheel": (
        swap(('exducer_diameter = "48 mm"', 'exducer_diameter = "60 mm"'), text=WHEELS),
        'exducer_diameter = "60 mm"',
        "turbine.exducer_diameter",
        ("not smaller than the wheel's inlet (54 mm)", "exchanged?"),
    ),
    "turbine's trim far too small": (
        swap(('exducer_diameter = "48 mm"', 'exducer_diameter = "28 mm"'), text=WHEELS),
        'exducer_diameter = "28 mm"',
        "turbine.exducer_diameter",
        ("a trim of 27", "35 to 98"),
    ),
    "turbine's hub fills its exducer": (
        swap(('exducer_hub_diameter = "15 mm"', 'exducer_hub_diameter = "48 mm"'), text=WHEELS),
        'exducer_hub_diameter = "48 mm"',
        "turbine.exducer_hub_diameter",
        ("no opening is left",),
    ),
    "turbine with no blades": (
        swap(("\nblades = 11", "\nblades = 0"), text=WHEELS),
        "\nblades = 0",
        "turbine.blades",
        ("out of range", "8 to 14"),
    ),
    "A/R as a plain number": (
        swap(('a_over_r = "0.64 in"', "a_over_r = 0.64"), text=WHEELS),
        "a_over_r = 0.64",
        "turbine.a_over_r",
        ("has no unit", "in, ft, thou"),
    ),
    "A/R in metres": (
        swap(('a_over_r = "0.64 in"', 'a_over_r = "0.64 m"'), text=WHEELS),
        'a_over_r = "0.64 m"',
        "turbine.a_over_r",
        ("out of range", "0.63 inch"),
    ),
    "A/R larger than the wheel": (
        swap(('a_over_r = "0.64 in"', 'a_over_r = "85 mm"'), text=WHEELS),
        'a_over_r = "85 mm"',
        "turbine.a_over_r",
        ("1.6 of the wheel's diameter", "for this wheel"),
    ),
    "one number and a wheel": (
        swap((TURBINE, NUMBER + 'a_over_r = "0.64 in"\n'), text=WHEELS),
        'a_over_r = "0.64 in"',
        "turbine.a_over_r",
        ('given_as is "one-number"', 'Write given_as = "wheel"'),
    ),
    "wheel and one number": (
        swap(
            ('a_over_r = "0.64 in"', 'a_over_r = "0.64 in"\nchoked_flow = "0.02 kg/s*sqrt(K)/kPa"'),
            text=WHEELS,
        ),
        "choked_flow",
        "turbine.choked_flow",
        ('stands beside given_as = "wheel"', "one-number"),
    ),
    "turbine's wheel forgotten": (
        swap(('wheel_diameter = "54 mm"\n', ""), text=WHEELS),
        "",
        "turbine.wheel_diameter",
        ("is missing", "given_as is one-number or wheel"),
    ),
    "pulses in per cent": (
        swap((NUMBER, NUMBER + "pulse_amplitude = 30\n")),
        "pulse_amplitude = 30",
        "turbine.pulse_amplitude",
        ("out of range", "0.3", "share of the mean"),
    ),
    "pulses below none, at one speed": (
        swap(
            (
                NUMBER,
                NUMBER + 'pulse_amplitude = { speed = [1500, 6000], unit = "rpm", value = [0.3, -0.1] }\n',
            )
        ),
        "pulse_amplitude",
        "turbine.pulse_amplitude",
        ("6000 rpm", "-0.1"),
    ),
}


def _faults(folder: Path) -> tuple[Fault, ...]:
    return check_build(folder).faults


@pytest.mark.parametrize("name", CASES)
def test_refused_with_its_line_its_key_and_what_would_mend_it(tmp_path: Path, name: str) -> None:
    text, part, key, words = CASES[name]
    folder = write_build(tmp_path, text)
    faults = _faults(folder)
    assert [fault.key for fault in faults] == [key]
    assert faults[0].line == (line_of(text, part.lstrip("\n")) if part else 0)
    for word in words:
        assert word in str(faults[0])
    assert (folder / "build.toml").read_text(encoding="utf-8") == text


def test_the_wheels_themselves_are_sound(tmp_path: Path) -> None:
    checked = check_build(write_build(tmp_path, WHEELS))
    assert not checked.faults
    assert not checked.warnings


@pytest.mark.parametrize(
    ("change", "key", "word"),
    [
        (('"43 mm"', '"52 mm"'), "compressor.inducer_tip_diameter", "a trim of 80"),
        (('tip_width = "4.0 mm"', 'tip_width = "8.0 mm"'), "compressor.tip_width", "13.8 % of the exducer"),
        (
            ('exducer_diameter = "48 mm"', 'exducer_diameter = "40 mm"'),
            "turbine.exducer_diameter",
            "a trim of 55",
        ),
        (('a_over_r = "0.64 in"', 'a_over_r = "0.64 cm"'), "turbine.a_over_r", "0.12 of the wheel"),
        (('a_over_r = "0.64 in"', 'a_over_r = "0.64 in"\na_r = 0.64'), "turbine.a_r", "a_over_r"),
    ],
)
def test_possible_but_hardly_meant_is_asked_about(
    tmp_path: Path, change: tuple[str, str], key: str, word: str
) -> None:
    checked = check_build(write_build(tmp_path, swap(change, text=WHEELS)))
    assert not checked.faults
    assert [warning.key for warning in checked.warnings] == [key]
    assert word in str(checked.warnings[0])
