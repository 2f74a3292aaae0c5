"""One compressor map written in three units of flow at three reference conditions: one prediction, to 1e-6."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from boostwright.cards.look_up import find_card
from boostwright.solve.operating_point import Prediction
from boostwright.tasks.predict import predict

BUILD = Path(__file__).resolve().parent.parent.parent / "studies" / "boost_creep" / "build"
POUND = 0.45359237  # kg, exact
FOOT = 0.3048  # m, exact
AIR = 287.05  # J/(kg K), of the card's dry air
# unit, reference pressure [Pa], reference temperature [K], mass flow kg/s -> that unit at that reference
HABITS = (
    ("kg/s", 101325.0, 288.15, lambda m, p, t: m),
    ("lb/min", 96200.0, 302.55, lambda m, p, t: m * 60.0 / POUND),
    ("m3/s", 100000.0, 298.0, lambda m, p, t: m * AIR * t / p),
    ("CFM", 98100.0, 293.15, lambda m, p, t: m * AIR * t / p * 60.0 / FOOT**3),
    ("g/s", 105000.0, 313.15, lambda m, p, t: m * 1e3),
)
CARD = """\
kind = "compressor"
schema_version = 1
name = "mine"
source = "a shipped card, written otherwise"
licence = "as that card"
status = "scaled"

[compressor]
reference_pressure = "{pressure} Pa absolute"
reference_temperature = "{temperature} K"
wheel_diameter = "{diameter} mm"
tip_speed_limit = "{limit} m/s"

[table]
file = "mine.csv"
"""


def _write(folder: Path, unit: str, pressure: float, temperature: float, convert: object) -> None:
    """The card as somebody with this habit would have drawn it: both axes corrected to the reference."""
    card = find_card("compressor", "scaled-cc3-112mm")
    (folder / "cards").mkdir(parents=True)
    (folder / "build.toml").write_text(
        (BUILD / "build.toml").read_text(encoding="utf-8").replace('"scaled-cc3-112mm"', '"mine"'),
        encoding="utf-8",
    )
    p0, t0 = card.si("reference_pressure"), card.si("reference_temperature")
    hot = np.sqrt(temperature / t0)
    speed = card.columns["corrected_speed"] * hot * 30.0 / np.pi
    flow = card.columns["corrected_flow"] * (pressure / p0) / hot
    lines = ["corrected_speed,corrected_flow,pressure_ratio,efficiency", f"rpm,{unit},-,-"]
    ratio, efficiency = card.columns["pressure_ratio"], card.columns["efficiency"]
    for n, m, r, e in zip(speed, flow, ratio, efficiency, strict=True):
        lines.append(f"{n:.12g},{convert(m, pressure, temperature):.14g},{r!r},{e!r}")  # type: ignore[operator]
    (folder / "cards" / "mine.csv").write_text(
        "\n".join(lines).replace("np.float64(", "").replace(")", ""), encoding="utf-8"
    )
    text = CARD.format(
        pressure=pressure,
        temperature=temperature,
        diameter=repr(1e3 * card.si("wheel_diameter")),
        limit=repr(float(card.si("tip_speed_limit"))),
    )
    (folder / "cards" / "mine.toml").write_text(text, encoding="utf-8")


@cache
def predictions() -> tuple[Prediction, ...]:
    """The study's build with each way of writing the map, spring alone, over the range."""
    found = []
    for habit in HABITS:
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name) / "build"
            _write(folder, *habit)
            found.append(
                predict(folder, mode="spring", speeds=np.arange(1500.0, 6501.0, 500.0) * np.pi / 30.0)
            )
    return tuple(found)


@pytest.mark.parametrize("which", range(1, len(HABITS)), ids=[habit[0] for habit in HABITS[1:]])
def test_units_and_references_give_the_same_prediction(which: int) -> None:
    first, other = predictions()[0], predictions()[which]
    assert first.solved.all()
    for name, values in first.quantities.items():
        ours, theirs = values.values, other[name]
        assert (np.isnan(ours) == np.isnan(theirs)).all(), name
        finite = np.isfinite(ours)
        if finite.any():
            measure = np.maximum(np.abs(ours[finite]), 1e-3 * np.abs(ours[finite]).max())
            assert np.max(np.abs(theirs[finite] - ours[finite]) / np.maximum(measure, 1e-300)) < 1e-6, name
    assert first.binding_limit == other.binding_limit
    assert [{f.code for f in flags} for flags in first.flags] == [
        {f.code for f in flags} for flags in other.flags
    ]


def test_it_is_also_what_the_shipped_card_gives() -> None:
    shipped = predict(BUILD, mode="spring", speeds=np.arange(1500.0, 6501.0, 500.0) * np.pi / 30.0)
    assert predictions()[0]["boost"] == pytest.approx(shipped["boost"], rel=1e-6)


def test_a_wrong_unit_is_not_the_same_answer() -> None:
    """The comparison can fail: a map in lb/min read as kg/s."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name) / "build"
        _write(folder, "kg/s", 101325.0, 288.15, lambda m, p, t: m * 60.0 / POUND / 100.0)
        wrong = predict(folder, mode="spring", speeds=(4000.0 * np.pi / 30.0,))
    right = predictions()[0]
    at = int(np.argmin(np.abs(right.speeds - 4000.0 * np.pi / 30.0)))
    assert abs(wrong["shaft_speed"][0] / right["shaft_speed"][at] - 1.0) > 0.01
