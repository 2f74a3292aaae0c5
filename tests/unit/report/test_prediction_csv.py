import csv
import io
from dataclasses import replace

import glossary
from made_up_prediction import ONLY_WHEN_ASKED, made_up_prediction

from boostwright.report.prediction_csv import prediction_csv
from boostwright.solve.operating_point import NoSteadyState


def read(text: str) -> tuple[list[str], list[str], list[dict[str, str]]]:
    rows = list(csv.reader(io.StringIO(text)))
    return rows[0], rows[1], [dict(zip(rows[0], row, strict=True)) for row in rows[2:]]


def test_names_then_units_then_a_row_a_point() -> None:
    names, unit_row, rows = read(prediction_csv(made_up_prediction()))
    units = dict(zip(names, unit_row, strict=True))
    assert names[0] == "engine_speed"
    assert set(glossary.quantities()) - ONLY_WHEN_ASKED <= set(names)
    assert len(rows) == 21
    assert units["engine_speed"] == "rpm"
    assert units["boost"] == "kPa gauge"
    assert units["pressure_em"] == "kPa absolute"
    assert units["temperature_em"] == "degC"
    assert float(rows[10]["engine_speed"]) == 4000.0


def test_values_come_back_to_nine_figures() -> None:
    prediction = made_up_prediction()
    _, _, rows = read(prediction_csv(prediction))
    for row, value in zip(rows[:20], prediction["pressure_em"], strict=False):
        assert abs(float(row["pressure_em"]) * 1e3 / value - 1) < 1e-8


def test_a_point_without_steady_state_has_empty_cells_and_its_reason() -> None:
    _, _, rows = read(prediction_csv(made_up_prediction()))
    assert rows[20]["torque"] == ""
    assert rows[20]["reason"] == "runs-away"
    assert rows[20]["nearest_limit"] == "compressor speed limit 152 000 rpm"
    assert rows[20]["binding_limit"] == ""
    assert rows[0]["reason"] == ""
    assert rows[0]["flags"] == "outside-map-low-speed"
    assert rows[10]["binding_limit"] == "boost-target"


def test_commas_and_line_feeds_in_words_do_not_break_the_table() -> None:
    prediction = made_up_prediction()
    awkward = NoSteadyState("runs-away", 'limit "A", then\nB', "message")
    text = prediction_csv(replace(prediction, outcomes=(*prediction.outcomes[:20], awkward)))
    assert read(text)[2][20]["nearest_limit"] == 'limit "A", then\nB'
