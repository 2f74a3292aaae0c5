import json
import math
from typing import Any

import pytest

from boostwright.proof.case import CaseResult, ProofResult
from boostwright.provenance.source import CASE_STATUS, read_sources
from boostwright.report.proof_page import proof_page
from boostwright.report.proof_sheet import proof_json, proof_text

SOURCE = next(iter(read_sources()))
STATUS = next(iter(CASE_STATUS))


def case(**changes: Any) -> CaseResult:
    fields: dict[str, Any] = {
        "id": "example-1",
        "subject": "gas_dynamics",
        "quantity": "pressure ratio",
        "words": "Mach 2 | table",
        "relation": "isentropic.pressure_ratio",
        "inputs": {"mach_number": 2.0},
        "expected": 0.1278,
        "unit": "",
        "tolerance": 5e-5,
        "kind": "absolute",
        "why": "four figures are printed",
        "source": SOURCE,
        "where": "table A.1",
        "status": STATUS,
        "formula": "definition",
        "computed": 0.12780452546,
        "deviation": 4.52546e-6,
        "used": 0.0905092,
        "passed": True,
    }
    return CaseResult(**{**fields, **changes})


HELD = case()
RELATIVE = case(
    id="example-2", quantity="flow", expected=0.5, unit="kg/s", kind="relative", tolerance=0.01,
    computed=0.504, deviation=0.004, used=0.8,
)  # fmt: skip
BAND = case(
    id="example-3", subject="heat", quantity="loss", expected=(1.0, 2.0), kind="band", tolerance=0.0,
    computed=1.5, deviation=0.0, used=math.nan,
)  # fmt: skip
FAILED = case(
    id="example-4", subject="heat", quantity="temperature", expected=300.0, unit="K", tolerance=1.0,
    computed=305.0, deviation=5.0, used=5.0, passed=False,
)  # fmt: skip


def lines_with(text: str, word: str) -> list[str]:
    return [" ".join(line.split()) for line in text.splitlines() if word in line]


def test_the_terminal_counts_by_status_and_names_the_largest_use_first() -> None:
    text = proof_text(ProofResult((HELD, RELATIVE, BAND)))
    assert text.startswith("3 values compared: every value lies within its tolerance.")
    assert lines_with(text, CASE_STATUS[STATUS])[0].startswith(f"3 {STATUS}")
    assert "gas_dynamics 2 0 80 %" in lines_with(text, "gas_dynamics")
    nearest = text[text.index("Nearest to their tolerance") :]
    assert nearest.index("flow") < nearest.index("pressure ratio") < nearest.index("loss")
    assert "0.504" in nearest
    assert "+0.8 %" in nearest
    assert "1 to 2" in nearest


def test_what_lies_outside_stands_first_with_its_story() -> None:
    text = proof_text(ProofResult((HELD, FAILED)))
    assert "1 outside their tolerance" in text
    assert text.index("Outside their tolerance") < text.index("Nearest to their tolerance")
    assert "example-4: Mach 2 | table. Relation isentropic.pressure_ratio" in text
    assert lines_with(text, "heat")[0] == "heat 1 1 500 %"


def test_json_has_every_case_and_no_nan() -> None:
    def refuse(word: str) -> None:
        raise AssertionError(word)

    document = json.loads(proof_json(ProofResult((HELD, BAND, FAILED))), parse_constant=refuse)
    assert document["passed"] is False
    assert document["counts"][STATUS] == 3
    assert [one["id"] for one in document["cases"]] == ["example-1", "example-3", "example-4"]
    assert document["cases"][0]["computed"] == 0.12780452546
    assert document["cases"][0]["unit"] == "1"
    assert document["cases"][1]["expected"] == [1.0, 2.0]
    assert document["cases"][1]["tolerance_used"] is None


def test_the_page_is_a_page_of_tables_with_the_sources_at_its_end() -> None:
    page = proof_page(ProofResult((HELD, FAILED), (("turbo.shaft.shaft_acceleration", "definition"),)))
    assert page.startswith("# Proof sheet\n")
    assert "**1 of 2 values lie outside their tolerance.**" in page
    rows = [line for line in page.splitlines() if "table A.1" in line]
    assert len(rows) == 2
    assert all(row.replace("\\|", "").count("|") == 10 for row in rows)
    assert "four figures are printed" in rows[0]
    assert f"{STATUS}; definition" in rows[0]
    assert rows[1].startswith("| **outside** example-4")
    assert "## Compressible flow of a perfect gas" in page
    assert "| `turbo.shaft.shaft_acceleration` | definition |" in page
    sources = page[page.index("## Sources") :]
    assert f"| `{SOURCE}` | " in sources
    assert read_sources()[SOURCE].seen in sources


def test_nothing_run_is_no_success() -> None:
    assert proof_text(ProofResult(())) == "No value was compared.\n"
    assert json.loads(proof_json(ProofResult(())))["passed"] is False


@pytest.mark.parametrize("width", [60, 200])
def test_a_narrow_terminal_is_respected_where_it_can_be(width: int) -> None:
    text = proof_text(ProofResult((HELD, RELATIVE)), width)
    table = text[text.index("Nearest") :]
    assert max(len(line) for line in table.splitlines()) <= width
