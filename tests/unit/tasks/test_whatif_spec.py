"""What a what-if is to vary, read or refused with what to write instead."""

from __future__ import annotations

from pathlib import Path

import pytest

from boostwright.build import read_build
from boostwright.tasks.whatif_cases import cases_of
from boostwright.tasks.whatif_file import WrittenWhatIf, read_whatif_file
from boostwright.tasks.whatif_spec import Choice, WhatIfError, parse_card, parse_step, parse_vary

EXAMPLE = Path(__file__).resolve().parents[3] / "examples" / "hill_climb_estate"


def values(choice: Choice) -> list[str]:
    return [option.settings[0].partition("=")[2] for option in choice.options]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("wastegate.valve_diameter=38, 44, 50 mm", ["38 mm", "44 mm", "50 mm"]),
        ("wastegate.valve_diameter = 38,44 mm valve", ["38 mm valve", "44 mm valve"]),
        (
            "turbine.choked_flow=0.022:0.032:3 kg/s*sqrt(K)/kPa",
            [f"{v} kg/s*sqrt(K)/kPa" for v in ("0.022", "0.027", "0.032")],
        ),
        ("wastegate.spring_rating=0.4, 0.6 bar gauge", ["0.4 bar gauge", "0.6 bar gauge"]),
        ("wastegate.discharge_coefficient=0.6:0.8:3", ["0.6", "0.7", "0.8"]),
        ("wastegate.count=1, 2", ["1", "2"]),
        ("wastegate.takeoff_relation=gardel, idelchik", ["gardel", "idelchik"]),
        ("ambient.temperature=-10, 30 degC", ["-10 degC", "30 degC"]),
    ],
)
def test_values_of_a_key(text: str, expected: list[str]) -> None:
    assert values(parse_vary(text)) == expected


def test_joined_keys_take_the_same_value() -> None:
    choice = parse_vary("wastegate.valve_diameter & wastegate.branch_bore=38, 44 mm")
    assert choice.options[1].settings == ("wastegate.valve_diameter=44 mm", "wastegate.branch_bore=44 mm")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "names no key"),
        ("wastegate.valve_diameter", "has no values"),
        ("wastegate.valve_diameter=38, 44", "has no unit"),
        ("wastegate.valve_diameter=38 mm", "one value"),
        ("wastegate.valve_diameter=38, 38 mm", "a value twice"),
        ("wastegate.valve_diameter=38:50 mm", "range of 2 parts"),
        ("wastegate.valve_diameter=38:50:2.5 mm", "how many there are, not a step"),
        ("wastegate.valve_diameter=38:50:1 mm", "how many there are"),
        ("wastegate.valve_diamter=38, 44 mm", "Did you mean wastegate.valve_diameter"),
        ("wastegate.valve_diameter_basis=valve, flange", "nothing to vary"),
        ("gate=1, 2", "no key of a build"),
        ("wastegate.valve_diameter=38,,44 mm", "is no number"),
        ("wastegate.valve_diameter=thirty mm", "no numbers"),
        ("wastegate.count=1.5, 2", "no whole numbers"),
        ("boost_control.target={ speed = [1] }", "curve or a list"),
        ("wastegate.valve_diameter=1e999, 44 mm", "not finite"),
    ],
)
def test_what_cannot_be_read_says_what_to_write(text: str, words: str) -> None:
    with pytest.raises(WhatIfError, match=words):
        parse_vary(text)


def test_cards() -> None:
    choice = parse_card("compressor=estate-112mm, scaled-cc3-124mm")
    assert choice.options[1].settings == ("compressor.card=scaled-cc3-124mm", "compressor.given_as=card")
    for text, words in (
        ("gearbox=a", "no kind of card"),
        ("turbine=", "names no card"),
        ("turbine", "names no card"),
    ):
        with pytest.raises(WhatIfError, match=words):
            parse_card(text)


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("wastegate.discharge_coefficient", "0.62", "0.82"),
        ("wastegate.valve_diameter=+- 5 %", "41.8 mm valve", "46.2 mm valve"),
        ("wastegate.valve_diameter=+- 2 mm", "42 mm valve", "46 mm valve"),
        ("wastegate.spring_rating=+- 10 %", "0.54 bar gauge", "0.66 bar gauge"),
        ("wastegate.valve_diameter=40, 50 mm", "40 mm", "50 mm"),
        ("intake.pressure_drop=±0.5 kPa", "1.5 kPa", "2.5 kPa"),
    ],
)
def test_steps_of_a_tornado(text: str, low: str, high: str) -> None:
    step = parse_step(text, read_build(EXAMPLE))
    assert (step.low, step.high) == (low, high)


def test_a_band_in_the_build_is_the_step() -> None:
    build = read_build(EXAMPLE, ["exhaust.pressure_drop=12 kPa +- 3 kPa"])
    step = parse_step("exhaust.pressure_drop", build)
    assert (step.low, step.high) == ("9 kPa", "15 kPa")
    assert "its band" in step.source


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("exhaust.pressure_drop", "has no band"),
        ("ambient.temperature=+- 5 %", "where degrees are counted from"),
        ("fuel.lambda_target=+- 5 %", "curve"),
        ("wastegate.kind", "no quantity with a band"),
        ("wastegate.valve_diameter=44 mm", "a low and a high one"),
        ("wastegate.valve_diameter=+- 0 mm", "not above zero"),
        ("wastegate.valve_diameter=+- much", "step"),
        ("wastegate.takeoff_loss=+- 5 %", "no value in this build"),
    ],
)
def test_steps_that_mean_nothing(text: str, words: str) -> None:
    with pytest.raises(WhatIfError, match=words):
        parse_step(text, read_build(EXAMPLE))


def test_a_share_of_an_absolute_pressure_is_asked_about() -> None:
    build = read_build(EXAMPLE, ["limits.boost=190 kPa absolute"])
    with pytest.raises(WhatIfError, match="could be one of the gauge pressure"):
        parse_step("limits.boost=+- 5 %", build)
    step = parse_step("limits.boost=+- 10 kPa", build)
    assert (step.low, step.high) == ("180 kPa absolute", "200 kPa absolute")


def test_every_combination_with_prices_added(tmp_path: Path) -> None:
    path = tmp_path / "whatif.toml"
    path.write_text(
        'vary = ["wastegate.spring_rating=0.4, 0.5 bar gauge"]\n'
        '[[choice]]\nname = "housing"\noptions = [\n'
        '  { name = "as it is" },\n'
        '  { name = "tight", settings = ["turbine.choked_flow=0.02 kg/s*sqrt(K)/kPa"], price = "300 EUR" },\n'
        '  { name = "borrowed", settings = ["turbine.choked_flow=0.03 kg/s*sqrt(K)/kPa"] },\n]\n'
        '[[choice]]\nname = "gate"\noptions = [\n'
        '  { name = "50 mm", settings = ["wastegate.valve_diameter=50 mm"], price = "240 EUR" },\n'
        '  { name = "38 mm", settings = ["wastegate.valve_diameter=38 mm"], price = "150.5 eur" },\n]\n'
        '[[case]]\nname = "all new"\nsettings = ["wastegate.count=2"]\nprice = "900 EUR"\n',
        encoding="utf-8",
    )
    listed = cases_of(read_build(EXAMPLE), (), (), read_whatif_file(path), False)
    assert len(listed.cases) == 1 + 1 + 2 * 3 * 2
    by_name = {case.name: case for case in listed.cases}
    assert by_name["spring rating 0.4 bar gauge, tight, 50 mm"].price == 540.0
    assert by_name["spring rating 0.5 bar gauge, 38 mm"].price == 150.5
    assert by_name["spring rating 0.4 bar gauge, borrowed, 50 mm"].price is None
    assert by_name["all new"].currency == "EUR"
    assert listed.cases[0].price == 0.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("vary = 3\n", "no list of texts"),
        ("varry = []\n", "Did you mean vary"),
        ('[[case]]\nsettings = ["a.b=1"]\n', "has no name"),
        ('[[case]]\nname = "x"\nsettings = ["nothing"]\n', "no equals sign"),
        ('[[case]]\nname = "x"\nsettings = ["a.b=1"]\nprice = 240\n', "no number with its currency"),
        ('[[case]]\nname = "x"\nsettings = ["a.b=1"]\nprice = "240"\n', "no number with its currency"),
        ('[[case]]\nname = "x"\ncost = "240 EUR"\n', "which it does not know"),
        ('[[case]]\nname = "x"\n[[case]]\nname = "x"\n', "twice"),
        ('[[choice]]\nname = "gate"\n', "has no options"),
        ("[[case]\n", "is no TOML"),
    ],
)
def test_a_file_that_cannot_be_used_says_where(text: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "cases.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(WhatIfError, match=words):
        read_whatif_file(path)


def test_a_fault_names_its_line(tmp_path: Path) -> None:
    path = tmp_path / "cases.toml"
    path.write_text('\n[[case]]\nname = "a"\n[[case]]\nname = "b"\nprice = "3"\n', encoding="utf-8")
    with pytest.raises(WhatIfError) as caught:
        read_whatif_file(path)
    assert caught.value.faults[0].line == 4
    with pytest.raises(WhatIfError, match="cannot be read"):
        read_whatif_file(tmp_path / "nowhere.toml")


def test_what_cannot_stand_together_is_refused(tmp_path: Path) -> None:
    build, nothing = read_build(EXAMPLE), WrittenWhatIf()
    twice = ("wastegate.count=1, 2", "wastegate.count=2, 3")
    with pytest.raises(WhatIfError, match="varied twice"):
        cases_of(build, twice, (), nothing, False)
    plain = read_build(EXAMPLE, ["plan.parts="])
    with pytest.raises(WhatIfError, match="Nothing is asked for"):
        cases_of(plain, (), (), nothing, False)
    with pytest.raises(WhatIfError, match="no low and no high end"):
        cases_of(build, ("wastegate.count=1, 2",), ("compressor=a, b",), nothing, True)
    many = tuple(f"{key}=1:2:2000 kPa" for key in ("intake.pressure_drop", "exhaust.pressure_drop"))
    with pytest.raises(WhatIfError, match="the most is"):
        cases_of(build, many, (), nothing, False)
    path = tmp_path / "cases.toml"
    path.write_text(
        '[[case]]\nname = "a"\nsettings = ["wastegate.count=2"]\nprice = "3 EUR"\n'
        '[[case]]\nname = "b"\nsettings = ["wastegate.count=3"]\nprice = "3 GBP"\n',
        encoding="utf-8",
    )
    with pytest.raises(WhatIfError, match="cannot be compared"):
        cases_of(build, (), (), read_whatif_file(path), False)
