import json
import math
from typing import Any

import pytest

from boostwright.proof.case import EVIDENCE, CaseResult, ProofResult, RelationProof
from boostwright.provenance.source import read_sources
from boostwright.report.proof_page import proof_page
from boostwright.report.proof_sheet import proof_json, proof_text

SOURCE = next(iter(read_sources()))
STATUS = next(iter(EVIDENCE))


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
    assert lines_with(text, EVIDENCE[STATUS])[0].startswith(f"3 {STATUS}")
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
    page = proof_page(ProofResult((HELD, FAILED)))
    assert page.startswith("# Proof sheet\n")
    assert "**1 of 2 values lie outside their tolerance.**" in page
    rows = [line for line in page.splitlines() if "table A.1" in line]
    assert len(rows) == 2
    assert all(row.replace("\\|", "").count("|") == 10 for row in rows)
    assert "four figures are printed" in rows[0]
    assert f"{STATUS}; definition" in rows[0]
    assert rows[1].startswith("| **outside** example-4")
    assert "## Compressible flow of a perfect gas" in page
    assert "No read source yet" not in page, "only a run of everything can say so"
    sources = page[page.index("## Sources") :]
    assert f"| `{SOURCE}` | " in sources
    assert read_sources()[SOURCE].seen in sources


OWN = case(id="example-5", status="computed", source="definition", formula="from memory")
LIBRARY = case(id="example-6", status="computed", library="fluids 1.3", formula="from memory")
RELATIONS = (
    RelationProof("gas.one", "definition", "from memory", {"read": 2, "own formula": 1}, {"from memory": 3}),
    RelationProof("gas.two", "definition", "from memory", {"own formula": 4}, {}),
    RelationProof("gas.three", "definition", "read", {}, {"reference library": 1}),
    RelationProof("gas.four", "definition", "definition", {}, {}),
    RelationProof("gas.five", "definition", "from memory", {}, {"read": 6}),
)


def test_values_from_our_own_formula_are_counted_apart() -> None:
    proof = ProofResult((HELD, OWN, LIBRARY), RELATIONS)
    assert proof.counts == {**dict.fromkeys(EVIDENCE, 0), "read": 1, "own formula": 1, "reference library": 1}
    document = json.loads(proof_json(proof))
    assert document["independent"] == 2
    assert [one["evidence"] for one in document["cases"]] == ["read", "own formula", "reference library"]
    assert [one["library"] for one in document["cases"]] == [None, None, "fluids 1.3"]
    assert "2 independent of our own formula" in " ".join(proof_text(proof).split())
    rows = [line for line in proof_page(proof).splitlines() if line.startswith("| example-")]
    assert "| own formula; from memory |" in rows[1]
    assert "| computed by a reference library: fluids 1.3; from memory |" in rows[2]


def test_what_no_read_value_stands_behind_is_listed_by_what_it_has() -> None:
    proof = ProofResult((HELD,), RELATIONS)
    assert [one.name for one in proof.unread] == ["gas.two", "gas.three", "gas.four"]
    text = proof_text(proof)
    listed = " ".join(text[text.index("No read source yet") :].split())
    assert "Of 5 relations 2 have a value that was seen in its source, 1 of them" in listed
    assert "Only another kind of value (1) gas: three" in listed
    assert "Own formula only (1) gas: two" in listed
    assert "Definitions, balances and common practice (1) gas: four" in listed
    page = proof_page(proof)
    assert "| `gas.one` | `definition` | from memory | 2 |  | + 3 |  | 1 |" in page
    unread = page[page.index("## No read source yet") : page.index("## Compressible flow")]
    assert [name for name in ("one", "two", "three", "four", "five") if f"`gas.{name}`" in unread] == [
        "two",
        "three",
        "four",
    ]
    assert json.loads(proof_json(proof))["no_read_source"] == ["gas.two", "gas.three", "gas.four"]


def test_nothing_run_is_no_success() -> None:
    assert proof_text(ProofResult(())) == "No value was compared.\n"
    assert json.loads(proof_json(ProofResult(())))["passed"] is False


@pytest.mark.parametrize("width", [60, 200])
def test_a_narrow_terminal_is_respected_where_it_can_be(width: int) -> None:
    text = proof_text(ProofResult((HELD, RELATIVE)), width)
    table = text[text.index("Nearest") :]
    assert max(len(line) for line in table.splitlines()) <= width
