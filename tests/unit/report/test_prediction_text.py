from dataclasses import replace

import numpy as np
import pytest
from made_up_prediction import made_up_prediction

from boostwright.report.prediction_text import prediction_text
from boostwright.solve.operating_point import Remark

WIDE = 320


def table_of(text: str) -> list[list[str]]:
    """Rows of the first table: everything under the rule of dashes."""
    lines = text.splitlines()
    start = next(number for number, line in enumerate(lines) if line.startswith("-----")) + 1
    end = lines.index("", start)
    return [line.split() for line in lines[start:end]]


def test_one_row_a_point_in_the_units_of_the_workshop() -> None:
    prediction = made_up_prediction()
    rows = table_of(prediction_text(prediction, WIDE))
    assert len(rows) == 21
    assert rows[10][:4] == ["4000", "320", "134.1", "76.3"]
    assert rows[10][-2:] == ["boost", "target"]


def test_a_point_without_steady_state_shows_no_number() -> None:
    row = table_of(prediction_text(made_up_prediction(), WIDE))[20]
    assert row[0] == "6500"
    assert set(row[1:-3]) == {"-"}
    assert " ".join(row[-3:]) == "no steady state"


@pytest.mark.parametrize(
    "expected",
    [
        "mode target (boost target held)",
        "set for this run: wastegate.spring_rating=0.8 bar gauge",
        "air outside: 95.0 kPa absolute, 15 degC",
        "Most torque 332 Nm at 6250 rpm, most power 217.4 kW at 6250 rpm.",
        "No steady state at 1 of 21 points",
        "6500 rpm: runs-away. The gate is wide open",
        "Nearest limit: compressor speed limit 152 000 rpm.",
        "a lower bound",
        "The valve reaches full lift at 5 500 rpm.",
        "limit: Torque 331 Nm is above the limit of 320 Nm. [limit-torque-cap; at 5250 to 5500 rpm]",
        "outside-map-low-speed; at 1500 to 2000 rpm",
        "Torque 320 Nm (the build): highest use 104 % at 6250 rpm, beyond it",
        "Rules of thumb beside it (they set nothing here)",
        "is accepted. (common practice)",
        "compressor: invented-machine (invented for the demo",
        "own estimate: shaft.mechanical_efficiency = 0.95, probe.diameter = 3 mm",
        "no proof that an engine will survive",
        "total and absolute",
        "Surge margin: 1 - surge flow / flow",
    ],
)
def test_what_must_be_known_stands_under_the_table(expected: str) -> None:
    text = " ".join(prediction_text(made_up_prediction(), WIDE).split())
    assert expected in text


def test_a_rule_of_thumb_stands_apart_from_what_was_computed() -> None:
    text = prediction_text(made_up_prediction(), WIDE)
    assert text.index("About the sweep") < text.index("Rules of thumb") < text.index("is accepted")


def test_a_narrow_terminal_is_respected_and_loses_nothing() -> None:
    text = prediction_text(made_up_prediction(), 80)
    assert max(len(line) for line in text.splitlines()) <= 80
    assert text.count("engine ") >= 2
    wide_cells = {cell for row in table_of(prediction_text(made_up_prediction(), WIDE)) for cell in row}
    assert wide_cells <= set(text.split())


def test_empty_sections_are_left_out() -> None:
    prediction = replace(
        made_up_prediction(unsolved=()), remarks=(), flags=((),) * 21, limits=(), cautions=(), settings=()
    )
    text = prediction_text(prediction, WIDE)
    for title in ("No steady state", "About the sweep", "Rules of thumb", "Limits", "To know", "Cautions"):
        assert title not in text


def test_a_message_that_changes_along_a_group_is_printed_for_both_ends() -> None:
    prediction = made_up_prediction()
    flags = list(prediction.flags)
    flags[2] = (replace(flags[2][0], message="Shaft speed 69 000 rpm is below the lowest measured line."),)
    text = " ".join(prediction_text(replace(prediction, flags=tuple(flags)), WIDE).split())
    assert "Shaft speed 48 200 rpm" in text
    assert "At 2000 rpm: Shaft speed 69 000 rpm" in text


def test_a_limit_that_applies_nowhere_is_not_printed() -> None:
    prediction = made_up_prediction()
    limit = replace(prediction.limits[0], utilisation=np.full(21, np.nan))
    assert "highest use" not in prediction_text(replace(prediction, limits=(limit,)), WIDE)


def test_a_remark_without_status_has_no_empty_brackets() -> None:
    prediction = replace(made_up_prediction(), remarks=(Remark("threshold", "Reached at 2 180 rpm."),))
    assert "()" not in prediction_text(prediction, WIDE)


def test_a_quantity_without_any_value_has_no_column() -> None:
    prediction = made_up_prediction()
    gone = {
        name: replace(prediction.quantities[name], values=np.full(21, np.nan))
        for name in ("gate_lift", "surge_margin")
    }
    text = prediction_text(replace(prediction, quantities={**prediction.quantities, **gone}), WIDE)
    assert "lift" not in text.split("Boost is")[0]
    assert "Surge margin" not in text
    assert "torque" in text
