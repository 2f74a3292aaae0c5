import json
import math
from dataclasses import replace
from pathlib import Path
from typing import Any

import glossary
import jsonschema
import numpy as np
import pytest
from made_up_prediction import made_up_prediction

from boostwright.report.prediction_json import prediction_document, prediction_json
from boostwright.solve.operating_point import Remark

SCHEMA_PATH = Path(__file__).resolve().parents[3] / "docs" / "reference" / "prediction.schema.json"
SCHEMA = json.loads(SCHEMA_PATH.read_text(encoding="utf-8"))


def read(text: str) -> dict[str, Any]:
    """Parse, refusing the NaN and Infinity that Python's reader would take and JSON does not know."""

    def refuse(word: str) -> None:
        raise AssertionError(f"{word} is no JSON")

    document: dict[str, Any] = json.loads(text, parse_constant=refuse)
    return document


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(SCHEMA)


def test_every_name_the_schema_requires_stands_in_the_glossary() -> None:
    assert set(SCHEMA["properties"]["quantities"]["required"]) <= set(glossary.quantities())


@pytest.mark.parametrize("unsolved", [(), (20,), tuple(range(21))])
def test_a_prediction_follows_the_schema(unsolved: tuple[int, ...]) -> None:
    document = read(prediction_json(made_up_prediction(unsolved=unsolved)))
    jsonschema.Draft202012Validator(SCHEMA).validate(document)
    for values in document["quantities"].values():
        assert len(values["values"]) == 21
    assert len(document["outcomes"]) == len(document["flags"]) == len(document["binding_limit"]) == 21


def test_values_are_si_and_exact() -> None:
    prediction = made_up_prediction()
    document = read(prediction_json(prediction))
    pressure = document["quantities"]["pressure_em"]
    assert pressure["unit"] == "Pa"
    assert pressure["values"][:20] == list(prediction["pressure_em"][:20])
    assert document["quantities"]["lambda"]["unit"] == "1"
    assert document["quantities"]["surge_margin"]["basis"].startswith("1 - surge flow")


def test_no_value_is_null_with_a_reason_beside_it() -> None:
    document = read(prediction_json(made_up_prediction()))
    assert document["quantities"]["torque"]["values"][20] is None
    assert document["outcomes"][20]["reason"] == "runs-away"
    assert document["outcomes"][20]["nearest_limit"] == "compressor speed limit 152 000 rpm"
    assert document["binding_limit"][20] is None
    assert document["outcomes"][0]["solved"] is True


def test_infinity_is_no_value_either() -> None:
    prediction = made_up_prediction()
    torque = replace(prediction.quantities["torque"], values=np.full(21, math.inf))
    changed = replace(
        prediction,
        quantities={**prediction.quantities, "torque": torque},
        remarks=(Remark("threshold", "none", math.nan, "rad/s"),),
    )
    document = read(prediction_json(changed))
    assert document["quantities"]["torque"]["values"] == [None] * 21
    assert document["remarks"][0]["value"] is None


def test_the_layout_of_the_text_changes_nothing() -> None:
    prediction = replace(made_up_prediction(), name='Ünïcode "quoted" \\ name')
    assert read(prediction_json(prediction)) == prediction_document(prediction)
    assert prediction_json(prediction).isascii()


def test_a_schema_that_lets_anything_pass_would_be_no_test() -> None:
    document = prediction_document(made_up_prediction())
    document["outcomes"][20]["reason"] = None
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(SCHEMA).validate(document)
    document = prediction_document(made_up_prediction())
    del document["quantities"]["drive_pressure_ratio"]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(SCHEMA).validate(document)


def test_the_example_of_the_docs_page_runs(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    page = (SCHEMA_PATH.parent / "json-output.md").read_text(encoding="utf-8")
    code = page.split("```python\n")[1].split("```")[0]
    (tmp_path / "prediction.json").write_text(prediction_json(made_up_prediction()), encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    exec(compile(code, "json-output.md", "exec"), {})
    assert capsys.readouterr().out == "332 Nm at 6250 rpm, where creep-floor binds\n"
