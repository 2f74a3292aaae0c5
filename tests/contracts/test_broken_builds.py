"""Broken builds: each is refused with place, key, value, what is allowed and a remedy, and nothing is changed.

A case is a text and the faults it must give, and no others: (text that stands on the fault's line, key, words).
"""

from __future__ import annotations

from pathlib import Path

import pytest
from sound_build import SOUND, line_of, swap, write_build

from boostwright.build import check_build, read_build
from boostwright.errors import BuildError, Fault
from boostwright.tasks.check_build import check

TARGET = next(line for line in SOUND.splitlines() if line.startswith("target"))
LAMBDA = 'lambda_target = { speed = [1500, 7000], unit = "rpm", value = [0.95, 0.82] }'
VE = 'volumetric_efficiency = { speed = [1500, 4500, 7000], unit = "rpm", value = [0.82, 0.97, 0.86] }'
FLOW = 'choked_flow = "0.022 kg/s*sqrt(K)/kPa"'

# name -> (text, [(part of the fault's line or "" for none, key, (words of the message as the user reads it, ...))])
CASES: dict[str, tuple[str, list[tuple[str, str, tuple[str, ...]]]]] = {
    "number without unit": (
        swap(('bore = "83 mm"', "bore = 83")),
        [("bore = 83", "engine.bore", ("= 83:", "has no unit", 'bore = "83 mm"'))],
    ),
    "text without unit": (
        swap(('stroke = "92 mm"', 'stroke = "92"')),
        [('stroke = "92"', "engine.stroke", ("has no unit", 'stroke = "92 mm"', "m, mm, cm"))],
    ),
    "quantity without quotes": (
        swap(('stroke = "92 mm"', "stroke = 92 mm")),
        [("stroke = 92 mm", "engine.stroke", ("is not in quotes", 'stroke = "92 mm"'))],
    ),
    "quote not closed": (
        swap(('stroke = "92 mm"', 'stroke = "92 mm')),
        [('stroke = "92 mm', "engine.stroke", ("is not closed",))],
    ),
    "unit of another kind": (
        swap(('bore = "64 mm"', 'bore = "64 kPa"')),
        [('bore = "64 kPa"', "throttle.bore", ("measures pressure, not length",))],
    ),
    "unit misspelt": (
        swap(('[intake]\npressure_drop = "2 kPa"', '[intake]\npressure_drop = "2 kpa"')),
        [('"2 kpa"', "intake.pressure_drop", ('unknown unit "kpa"', 'Did you mean "kPa"?'))],
    ),
    "decimal comma": (
        swap(('spring_rating = "0.6 bar gauge"', 'spring_rating = "0,6 bar gauge"')),
        [('"0,6 bar', "wastegate.spring_rating", ("comma in the number", '"0.6 bar gauge"'))],
    ),
    "bare decimal comma": (
        swap(("compression_ratio = 9.0", "compression_ratio = 9,0")),
        [("= 9,0", "engine.compression_ratio", ("comma in the number", "compression_ratio = 9.0"))],
    ),
    "gap inside the number": (
        swap(('speed_limit = "6800 rpm"', 'speed_limit = "6 800 rpm"')),
        [('"6 800 rpm"', "engine.speed_limit", ("gap inside the number", '"6800 rpm"'))],
    ),
    "not a number": (
        swap(("compression_ratio = 9.0", "compression_ratio = nan")),
        [("= nan", "engine.compression_ratio", ("is not a finite number",))],
    ),
    "not a number as text": (
        swap(('takeoff_angle = "30 deg"', 'takeoff_angle = "nan deg"')),
        [('"nan deg"', "wastegate.takeoff_angle", ("does not begin with a number",))],
    ),
    "infinite": (
        swap(("effectiveness = 0.70", "effectiveness = inf")),
        [("= inf", "charge_cooler.effectiveness", ("is not a finite number",))],
    ),
    "negative": (
        swap(('branch_bore = "44 mm"', 'branch_bore = "-44 mm"')),
        [('"-44 mm"', "wastegate.branch_bore", ("out of range", "8 mm to 120 mm"))],
    ),
    "compression ratio of one": (
        swap(("compression_ratio = 9.0", "compression_ratio = 1")),
        [
            (
                "compression_ratio = 1\n",
                "engine.compression_ratio",
                ("= 1:", "out of range", "4.0 to 20.0", "no compression"),
            )
        ],
    ),
    "whole number with a fraction": (
        swap(("cylinders = 5", "cylinders = 5.5")),
        [("= 5.5", "engine.cylinders", ("is no whole number",))],
    ),
    "truth for a number": (
        swap(("cylinders = 5", "cylinders = true")),
        [("= true", "engine.cylinders", ("is true or false", "whole number"))],
    ),
    "list for a number": (
        swap(('bore = "76 mm"', 'bore = ["76 mm"]')),
        [('["76 mm"]', "exhaust.bore", ("is a list", "a unit of length"))],
    ),
    "number for a name": (
        swap(('card = "petrol-ron98"', "card = 98")),
        [("card = 98", "fuel.card", ("a whole number", "text in quotes"))],
    ),
    "date for a length": (
        swap(('bore = "76 mm"', "bore = 2024-05-01")),
        [("2024-05-01", "exhaust.bore", ("is a date or time",))],
    ),
    "word not among the choices": (
        swap(('orientation = "longitudinal"', 'orientation = "longitudnal"')),
        [
            (
                "longitudnal",
                "engine.orientation",
                ("not one of the allowed words", 'Did you mean "longitudinal"?'),
            )
        ],
    ),
    "unknown key with a near one": (
        swap(('full_lift = "10.5 mm"', 'ful_lift = "10.5 mm"')),
        [
            (
                'ful_lift = "10.5 mm"',
                "wastegate.ful_lift",
                ("is no key of [wastegate]", "Did you mean full_lift?"),
            ),
            ("", "wastegate.full_lift", ("is missing", "section on line 49", 'full_lift = "10.5 mm"')),
        ],
    ),
    "key in the wrong section": (
        swap(('bore = "64 mm"', 'bore = "64 mm"\ncollector_bore = "50 mm"')),
        [
            (
                'collector_bore = "50 mm"',
                "throttle.collector_bore",
                ("is no key of [throttle]", "[exhaust_manifold]"),
            )
        ],
    ),
    "unknown section with a near one": (
        swap(("[compressor]", "[compresor]")),
        [
            ("[compresor]", "compresor", ("is no section", "Did you mean [compressor]?")),
            ("", "compressor", ("[compressor] is missing", "with at least card")),
        ],
    ),
    "section as a key": (
        swap(('name = "Test build"', 'name = "Test build"\nlimits = 3')),
        [("limits = 3", "limits", ("is a section, not a key", "[limits]"))],
    ),
    "key at the head that belongs below": (
        swap(('name = "Test build"', 'name = "Test build"\nstroke = "92 mm"')),
        [('stroke = "92 mm"', "stroke", ("is no key of a build file", "It belongs below [engine]"))],
    ),
    "key twice": (
        swap(('stroke = "92 mm"', 'stroke = "92 mm"\nstroke = "95 mm"')),
        [('stroke = "95 mm"', "engine.stroke", ("a second time; first on line 9", "Keep one"))],
    ),
    "section twice": (
        swap(('bore = "76 mm"', 'bore = "76 mm"\n\n[throttle]\ndischarge_coefficient = 0.9')),
        [("[throttle]\ndis", "", ("[throttle] stands here a second time; first on line 39", "one header"))],
    ),
    "key missing": (
        swap(('wheel_diameter = "55 mm"\n', "")),
        [("", "turbine.wheel_diameter", ("is missing", "section on line 45", 'wheel_diameter = "55 mm"'))],
    ),
    "key still empty": (
        swap(('wheel_diameter = "55 mm"', 'wheel_diameter = ""')),
        [('wheel_diameter = ""', "turbine.wheel_diameter", ("is still empty", 'wheel_diameter = "55 mm"'))],
    ),
    "key needed because of another": (
        swap(('spring_rating_basis = "bench"', 'spring_rating_basis = "running"')),
        [
            (
                "",
                "wastegate.running_pressure_difference",
                ("is missing and needed because spring_rating_basis is running",),
            )
        ],
    ),
    "section missing": (
        swap(('[throttle]\nbore = "64 mm"\n', "")),
        [("", "throttle", ("the section [throttle] is missing", "with at least bore"))],
    ),
    "schema of another version": (
        swap(("schema_version = 1", "schema_version = 2")),
        [("schema_version = 2", "schema_version", ("out of range", "newer program"))],
    ),
    "station or QNH not said": (
        swap(('pressure_basis = "station"\n', "")),
        [
            (
                'pressure = "101.3',
                "ambient.pressure",
                ("does not say whether it is station or QNH", "pressure_basis"),
            )
        ],
    ),
    "QNH typed as station pressure": (
        swap(('altitude = "0 m"', 'altitude = "2000 m"')),
        [
            (
                'pressure = "101.3',
                "ambient.pressure",
                ("129.1 kPa at sea level, higher than ever seen", '"QNH"'),
            )
        ],
    ),
    "QNH without altitude": (
        swap(('pressure_basis = "station"\naltitude = "0 m"', 'pressure_basis = "QNH"')),
        [
            (
                "",
                "ambient.altitude",
                ("is missing because the pressure is given as QNH", "altitude of the place"),
            )
        ],
    ),
    "gauge ambient pressure": (
        swap(('pressure_basis = "station"', 'pressure_basis = "gauge"')),
        [('pressure = "101.3', "ambient.pressure", ("is given as gauge", "0 gauge everywhere"))],
    ),
    "two bases that disagree": (
        swap(('pressure = "101.3 kPa"', 'pressure = "101.3 kPa QNH"')),
        [('"101.3 kPa QNH"', "ambient.pressure", ("says QNH, but pressure_basis says station",))],
    ),
    "gauge target typed as absolute": (
        swap(("value = [165, 175]", "value = [65, 75]")),
        [
            (
                "value = [65",
                "boost_control.target",
                ("65 kPa absolute, and ambient is 101.3 kPa", "166.3 kPa absolute"),
            )
        ],
    ),
    "target without its basis": (
        swap((', value_basis = "absolute"', "")),
        [
            (
                "target = { speed = [2500",
                "boost_control.target",
                ("does not say whether it is absolute or gauge", "value_basis"),
            )
        ],
    ),
    "target without its unit": (
        swap((' value_unit = "kPa",', "")),
        [("target = { speed = [2500", "boost_control.target", ("has no value_unit", "Pa, hPa, kPa"))],
    ),
    "spring rating without gauge": (
        swap(('spring_rating = "0.6 bar gauge"', 'spring_rating = "0.6 bar"')),
        [('"0.6 bar"', "wastegate.spring_rating", ("does not say that it is gauge", '"0.6 bar gauge"'))],
    ),
    "absolute spring rating": (
        swap(('spring_rating = "0.6 bar gauge"', 'spring_rating = "1.6 bar absolute"')),
        [('"1.6 bar', "wastegate.spring_rating", ("is given as absolute", "take the ambient pressure off"))],
    ),
    "spring above the lowest boost asked": (
        swap(('spring_rating = "0.6 bar gauge"', 'spring_rating = "0.8 bar gauge"')),
        [
            (
                '"0.8 bar',
                "wastegate.spring_rating",
                (
                    "is 181.3 kPa absolute",
                    "lowest boost asked, 165 kPa absolute (63.7 kPa gauge)",
                    "softer spring",
                ),
            )
        ],
    ),
    "gauge pressure drop": (
        swap(('[exhaust]\npressure_drop = "12 kPa"', '[exhaust]\npressure_drop = "12 kPa gauge"')),
        [('"12 kPa gauge"', "exhaust.pressure_drop", ("difference of pressures, which is not gauge",))],
    ),
    "gauge state of a known point": (
        swap(('at_temperature = "700 degC"', 'at_temperature = "700 degC"\nat_pressure = "0 bar gauge"')),
        [('"0 bar gauge"', "exhaust.at_pressure", ("is given as gauge", "ambient pressure is not known"))],
    ),
    "flange for valve": (
        swap(('valve_diameter_basis = "valve"', 'valve_diameter_basis = "flange"')),
        [
            (
                'valve_diameter = "44',
                "wastegate.valve_diameter",
                ("is given as flange", "valve head across its seat"),
            )
        ],
    ),
    "valve or flange not said": (
        swap(('valve_diameter_basis = "valve"\n', "")),
        [('valve_diameter = "44', "wastegate.valve_diameter", ("whether it is valve or flange",))],
    ),
    "A/R of 82": (
        swap((FLOW, f"{FLOW}\na_r = 82")),
        [("a_r = 82", "turbine.a_r", ("= 82:", "out of range", "Did you mean 0.82?"))],
    ),
    "A/R with a unit of length": (
        swap((FLOW, f'{FLOW}\na_r = "82 mm"')),
        [('a_r = "82', "turbine.a_r", ("measures length, not dimensionless",))],
    ),
    "corrected flow without its reference": (
        swap(('choked_flow = "0.022 kg/s*sqrt(K)/kPa"', 'choked_flow = "20 lb/min"')),
        [
            (
                '"20 lb/min"',
                "turbine.choked_flow",
                ("choked_flow_temperature and choked_flow_pressure are missing",),
            )
        ],
    ),
    "turbine by card and by number": (
        swap((FLOW, f'{FLOW}\ncard = "invented-radial-55mm-0.60"')),
        [
            ("choked_flow =", "turbine.choked_flow", ("stands beside a card",)),
            ("wheel_diameter =", "turbine.wheel_diameter", ("stands beside a card",)),
        ],
    ),
    "air-fuel ratio for lambda": (
        swap(("value = [0.95, 0.82]", "value = [13.9, 12.0]")),
        [
            (
                "13.9",
                "fuel.lambda_target",
                ("at 1500 rpm is 13.9, which is out of range", "Did you mean 0.952?"),
            )
        ],
    ),
    "per cent for a share": (
        swap(("value = [0.82, 0.97, 0.86]", "value = [82, 97, 86]")),
        [("[82,", "breathing.volumetric_efficiency", ("at 1500 rpm is 82", "Did you mean 0.82?"))],
    ),
    "curve of unequal lengths": (
        swap(("value = [0.82, 0.97, 0.86]", "value = [0.82, 0.97]")),
        [("[0.82, 0.97]", "breathing.volumetric_efficiency", ("has 3 speeds and 2 values",))],
    ),
    "curve whose speeds fall": (
        swap(("speed = [1500, 4500, 7000]", "speed = [1500, 7000, 4500]")),
        [("[1500, 7000, 4500]", "breathing.volumetric_efficiency.speed", ("4500 stands after 7000",))],
    ),
    "curve with a speed twice": (
        swap(("speed = [1500, 4500, 7000]", "speed = [1500, 4500, 4500]")),
        [("[1500, 4500, 4500]", "breathing.volumetric_efficiency.speed", ("4500 stands after 4500",))],
    ),
    "curve without unit": (
        swap(('speed = [1500, 4500, 7000], unit = "rpm"', "speed = [1500, 4500, 7000]")),
        [("volumetric_eff", "breathing.volumetric_efficiency", ("has no unit", 'unit = "rpm"'))],
    ),
    "curve with text among numbers": (
        swap(("value = [0.82, 0.97, 0.86]", 'value = [0.82, "0.97", 0.86]')),
        [('"0.97"', "breathing.volumetric_efficiency.value", ("is no number (number 2 of the list)",))],
    ),
    "curve with one point": (
        swap((VE, 'volumetric_efficiency = { speed = [3000], unit = "rpm", value = [0.9] }')),
        [
            ("[3000]", "breathing.volumetric_efficiency.speed", ("has 1 numbers", "needs no curve")),
            ("[3000]", "breathing.volumetric_efficiency.value", ("has 1 numbers",)),
        ],
    ),
    "curve with an unknown key": (
        swap((LAMBDA, LAMBDA.replace("unit", "untis"))),
        [
            ("untis", "fuel.lambda_target.untis", ("is no key of this value", "Did you mean unit?")),
            ("untis", "fuel.lambda_target", ("has no unit",)),
        ],
    ),
    "curve over two lines in braces": (
        swap((LAMBDA, LAMBDA.replace('unit = "rpm", ', 'unit = "rpm",\n  '))),
        [
            (
                "lambda_target",
                "fuel.lambda_target",
                ("several lines", "[fuel.lambda_target] with one key a line"),
            )
        ],
    ),
    "speeds that fall": (
        swap(('from = "1500 rpm"', 'from = "7500 rpm"')),
        [("7500 rpm", "prediction.speeds", ("does not rise",))],
    ),
    "speeds without end": (
        swap(('step = "250 rpm"', 'step = "0.1 rpm"')),
        [("0.1 rpm", "prediction.speeds", ("52501 points", "at most 2000"))],
    ),
    "speeds without unit": (
        swap(('step = "250 rpm"', "step = 250")),
        [("step = 250", "prediction.speeds.step", ("has no unit", '"250 rpm"'))],
    ),
    "target mode without target": (
        swap((TARGET, "")),
        [('mode = "target"', "prediction.mode", ("has no target to hold",))],
    ),
    "spring mode without a gate": (
        swap(('kind = "poppet"', 'kind = "none"'), ('mode = "target"', 'mode = "spring"')),
        [('mode = "spring"', "prediction.mode", ("needs a wastegate", "gate-shut"))],
    ),
    "unknown fuel": (
        swap(('card = "petrol-ron98"', 'card = "petrol-ron99"')),
        [
            (
                "petrol-ron99",
                "fuel.card",
                ("no fuel card 'petrol-ron99'", "Nearest: petrol-ron98", "Looked in"),
            )
        ],
    ),
    "card by a path": (
        swap(('card = "petrol-ron98"', 'card = "../../secrets"')),
        [("secrets", "fuel.card", ("no fuel card",))],
    ),
    "card of the other kind of gate": (
        swap(('kind = "poppet"', 'kind = "poppet"\ncard = "flap-25mm"')),
        [("flap-25mm", "wastegate.card", ("is the card of a flap, but kind says poppet",))],
    ),
    "list of tables": (
        swap(("[throttle]", "[[throttle]]")),
        [
            ("[[throttle]]", "", ("begins a list of tables", "single brackets")),
            ('bore = "64 mm"', "charge_cooler.bore", ("is no key of [charge_cooler]",)),
            ("", "throttle", ("[throttle] is missing",)),
        ],
    ),
    "line of no meaning": (
        swap(('stroke = "92 mm"', 'stroke = "92 mm"\nremember the gasket')),
        [("remember", "", ("remember the gasket is neither a key with a value nor a section",))],
    ),
    "half-written": (
        SOUND[: SOUND.index(", value = [165")],
        [
            ("target = { speed = [2500", "boost_control.target", ("is not closed",)),
            ("", "exhaust", ("[exhaust] is missing",)),
        ],
    ),
    "half-written inside a quote": (
        SOUND[: SOUND.index(' degC"\nbore')],
        [
            ('"700', "exhaust.at_temperature", ("is not closed",)),
            ("", "exhaust.bore", ("is missing",)),
        ],
    ),
}


def _faults(folder: Path) -> tuple[Fault, ...]:
    with pytest.raises(BuildError) as caught:
        read_build(folder)
    assert isinstance(caught.value, ValueError)
    return caught.value.faults


@pytest.mark.parametrize("name", CASES)
def test_every_fault_is_named_and_no_other(tmp_path: Path, name: str) -> None:
    text, expected = CASES[name]
    faults = _faults(write_build(tmp_path, text))
    assert [(fault.key, fault.line) for fault in faults] == [
        (key, line_of(text, part) if part else 0) for part, key, _ in expected
    ], "\n".join(str(fault) for fault in faults)
    for fault, (part, _, words) in zip(faults, expected, strict=True):
        for word in words:
            assert word in str(fault)
        assert str(fault).startswith(f"build.toml, line {fault.line}" if part else "build.toml")
        assert fault.allowed or fault.remedy or "is not closed" in fault.message or "says" in fault.message


def test_there_are_many_cases() -> None:
    assert len(CASES) >= 60


# --- files that are no text, or none of ours ------------------------------------------------------------------------

FILES: dict[str, tuple[bytes, tuple[str, ...]]] = {
    "empty": (b"", ("is empty", "boostwright new")),
    "only comments": (b"# nothing yet\n\n", ("is empty",)),
    "only blanks": (b"   \n\n\t\n", ("is empty",)),
    "cp1252": (
        SOUND.replace("20 degC", "20 °C").encode("cp1252"),
        ("line 17", "0xB0", "in the encoding cp1252 it is '°'", "UTF-8"),
    ),
    "UTF-16 with its mark": (SOUND.encode("utf-16"), ("UTF-16, not UTF-8", "Save it again as UTF-8")),
    "UTF-16 without its mark": (SOUND.encode("utf-16-le"), ("UTF-16, not UTF-8",)),
    "UTF-32": (SOUND.encode("utf-32"), ("UTF-32, not UTF-8",)),
    "binary": (bytes(range(256)) * 20, ("zero bytes", "Nothing was changed")),
    "picture": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0\x02\0", ("zero bytes",)),
    "end lost in a power cut": (SOUND.encode()[:900] + b"\0" * 400, ("zero bytes", "end was lost")),
    "too large": (SOUND.encode() + b"#" * 1_000_001, ("bytes; a build file is a few thousand",)),
}


@pytest.mark.parametrize("name", FILES)
def test_files_that_are_no_build(tmp_path: Path, name: str) -> None:
    data, words = FILES[name]
    folder = write_build(tmp_path, data)
    text = str(BuildError(_faults(folder)))
    for word in words:
        assert word in text
    assert (folder / "build.toml").read_bytes() == data


def test_a_foreign_byte_does_not_hide_the_other_faults(tmp_path: Path) -> None:
    text = swap(('temperature = "20 degC"', 'temperature = "20 °C"'), ('bore = "83 mm"', "bore = 83"))
    keys = [fault.key for fault in _faults(write_build(tmp_path, text.encode("cp1252")))]
    assert keys == ["engine.bore", ""]


def test_there_is_no_folder_no_file_or_no_leave_to_read(tmp_path: Path) -> None:
    assert "does not exist" in str(_faults(tmp_path / "nowhere")[0])
    (tmp_path / "empty").mkdir()
    fault = _faults(tmp_path / "empty")[0]
    assert "has no build.toml" in str(fault)
    assert "boostwright new" in str(fault)
    (tmp_path / "file").write_text("x")
    assert "is a file, not a build folder" in str(_faults(tmp_path / "file")[0])
    (tmp_path / "odd" / "build.toml").mkdir(parents=True)
    assert "is no file" in str(_faults(tmp_path / "odd")[0])


# --- all at once, and nothing lost ----------------------------------------------------------------------------------


def test_all_faults_come_in_one_go_in_the_order_of_the_file(tmp_path: Path) -> None:
    text = swap(
        ('bore = "83 mm"', "bore = 83"),
        ('stroke = "92 mm"', "stroke = 92 mm"),
        ("compression_ratio = 9.0", "compression_ratio = 1"),
        ('pressure_basis = "station"\n', ""),
        ('card = "petrol-ron98"', 'card = "petrol-ron99"'),
        ("value = [0.82, 0.97, 0.86]", "value = [0.82, 0.97]"),
        ("[compressor]", "[compresor]"),
        ('valve_diameter_basis = "valve"', 'valve_diameter_basis = "flange"'),
        ('full_lift = "10.5 mm"', 'full_lift = "10.5 mm'),
        ('signal_source = "compressor-outlet"', 'signal_source = "plenums"'),
    )
    faults = _faults(write_build(tmp_path, text))
    assert [fault.key for fault in faults] == [
        "engine.bore",
        "engine.stroke",
        "engine.compression_ratio",
        "ambient.pressure",
        "fuel.card",
        "breathing.volumetric_efficiency",
        "compresor",
        "wastegate.valve_diameter",
        "wastegate.full_lift",
        "wastegate.signal_source",
        "compressor",
    ]


@pytest.mark.parametrize("name", CASES)
def test_nothing_on_disk_is_changed(tmp_path: Path, name: str) -> None:
    folder = write_build(tmp_path, CASES[name][0])
    before = (folder / "build.toml").read_bytes()
    result = check(folder)
    assert result.faults
    assert not result.sound
    assert [path.name for path in folder.iterdir()] == ["build.toml"]
    assert (folder / "build.toml").read_bytes() == before


@pytest.mark.parametrize("step", range(7))
def test_every_cut_of_a_file_is_refused_without_a_traceback(tmp_path: Path, step: int) -> None:
    """A file cut off anywhere before its last section: refused, with at least one fault that says something."""
    data = SOUND.encode()
    for end in range(step, len(SOUND[: SOUND.index("[prediction]")]), 7):
        checked = check_build(write_build(tmp_path, data[:end]))
        if end < SOUND.index('bore = "76 mm"') + len('bore = "76 mm"'):
            assert checked.build is None
            assert all(fault.message for fault in checked.faults)


ODD = ['""', '"x"', "0", "-1", "1e300", "nan", "-inf", "true", "[]", "{}", "[[[]]]", "{ speed = [] }", "1979-05-27",
       '"1e400 mm"', '"5 mm gauge absolute"', '"\\u0000"', '{ from = "1 rpm" }', "9999999999999999999999999",
       '{ speed = [1, 2], unit = 3, value = "x" }']  # fmt: skip


@pytest.mark.parametrize("odd", ODD)
def test_any_value_under_any_key_is_taken_or_refused(tmp_path: Path, odd: str) -> None:
    lines = SOUND.splitlines()
    for number, line in enumerate(lines):
        key, equals, _ = line.partition(" = ")
        if equals:
            text = "\n".join([*lines[:number], f"{key} = {odd}", *lines[number + 1 :]])
            checked = check_build(write_build(tmp_path, text))
            assert (checked.build is None) == bool(checked.faults), line
            assert all(fault.message and str(fault) for fault in checked.faults)


def test_faulty_cards_are_faults_of_the_build(tmp_path: Path) -> None:
    folder = write_build(tmp_path, swap(('card = "petrol-ron98"', 'card = "mine"')))
    (folder / "cards").mkdir()
    card = folder / "cards" / "mine.toml"
    for data in (b"", b"\xff\xfe\x00", "name = 'ä'".encode("cp1252"), b"kind = 'fuel'\n[fuel]\ndensity = 3"):
        card.write_bytes(data)
        checked = check_build(folder)
        assert checked.faults, data
        assert checked.build is None
        assert card.read_bytes() == data


def test_the_sound_build_is_sound(tmp_path: Path) -> None:
    result = check(write_build(tmp_path))
    assert result.sound, "\n".join(str(fault) for fault in result.faults)
    assert result.warnings == ()
