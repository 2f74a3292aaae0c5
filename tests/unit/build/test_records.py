"""Days and parts of [plan]: what is read, and what is refused with a way to mend it."""

from __future__ import annotations

from pathlib import Path

import pytest
from sound_build import SOUND, write_build

from boostwright.build import check_build, read_build

PLAN = "\n[plan]\n"


def build_with(tmp_path: Path, lines: str) -> Path:
    return write_build(tmp_path, SOUND + PLAN + lines)


def test_days_and_parts_are_read(tmp_path: Path) -> None:
    text = """
days = [
  { name = "hot finish", settings = ["ambient.temperature=35 degC"], spike = "7 %" },
  { name = "as it is", spike = 0.1 },
]
parts = [
  { name = "gate", settings = ["wastegate.valve_diameter=50 mm"], price = "240.50 eur" },
  { name = "cooler", settings = ["charge_cooler.effectiveness=0.8", "charge_cooler.pressure_drop=5 kPa"] },
]
"""
    plan = read_build(build_with(tmp_path, text))["plan"]
    hot, same = plan.records("days")
    assert (hot.name, hot.settings, hot.spike) == (
        "hot finish",
        ("ambient.temperature=35 degC",),
        pytest.approx(0.07),
    )
    assert (same.settings, same.spike) == ((), 0.1)
    gate, cooler = plan.records("parts")
    assert (gate.price, gate.currency) == (240.5, "EUR")
    assert (cooler.price, cooler.currency, len(cooler.settings)) == (None, "", 2)


def test_without_a_section_everything_has_its_default(tmp_path: Path) -> None:
    plan = read_build(write_build(tmp_path, SOUND))["plan"]
    assert plan.records("days") == plan.records("parts") == ()
    assert plan.si("risk") == 0.01
    assert plan.si("spike") == 0.05
    assert plan.integer("samples") == 1000


BROKEN = {
    "no list": ('days = "cold"', "is no list"),
    "no table": ('days = ["cold"]', "is no table in braces"),
    "no name": ('days = [{ settings = ["a.b=1"] }]', "has no name"),
    "unknown key": ('parts = [{ name = "x", setings = ["a.b=1"] }]', "Did you mean settings?"),
    "name twice": ('days = [{ name = "x" }, { name = "x" }]', "stands twice"),
    "nothing changed": ('parts = [{ name = "x" }]', "changes nothing"),
    "setting without equals": ('parts = [{ name = "x", settings = ["a.b"] }]', "has no equals sign"),
    "setting without section": ('parts = [{ name = "x", settings = ["b=1"] }]', "names no section"),
    "setting of the plan": ('parts = [{ name = "x", settings = ["plan.risk=1"] }]', "change the plan itself"),
    "settings no list": ('parts = [{ name = "x", settings = "a.b=1" }]', "no list of texts"),
    "spike no share": ('days = [{ name = "x", spike = "70 %" }]', "no share from 0 to 0.5"),
    "price without currency": (
        'parts = [{ name = "x", settings = ["a.b=1"], price = "240" }]',
        'price = "240 EUR"',
    ),
    "price with decimal comma": (
        'parts = [{ name = "x", settings = ["a.b=1"], price = "240,5 EUR" }]',
        "decimal point",
    ),
    "price of nothing": ('parts = [{ name = "x", settings = ["a.b=1"], price = "0 EUR" }]', "above 0"),
}


@pytest.mark.parametrize("case", BROKEN, ids=list(BROKEN))
def test_broken_entries_are_refused(tmp_path: Path, case: str) -> None:
    line, words = BROKEN[case]
    checked = check_build(build_with(tmp_path, line))
    assert checked.build is None
    (fault,) = checked.faults
    assert words in str(fault)
    assert fault.key in ("plan.days", "plan.parts")
    assert f"line {(SOUND + PLAN).count(chr(10)) + 1}" in fault.place
