"""The interface in HTTP, as its own description states it: no request, however odd, gets a server error.

The requests are drawn from the description itself (every route, field and bound in it), and by hand for what it cannot
know: changes of the build that name real keys with unreal values.
"""

from __future__ import annotations

import itertools
import random
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from served import Served, copy_of

from boostwright.web.app import OPENAPI_PATH, create_app

EXAMPLES = Path(__file__).parents[2] / "examples"
TOKEN = "a-token-for-tests"
HEADERS = {"Authorization": f"Bearer {TOKEN}", "Host": "127.0.0.1"}
TRIES = 25


@pytest.fixture(scope="module")
def app(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """The whole application with its guard, over copies of both examples."""
    root = tmp_path_factory.mktemp("builds")
    for example in ("hill_climb_estate", "transverse_three"):
        shutil.copytree(EXAMPLES / example, root / example)
    return create_app(root, "hill_climb_estate", TOKEN, 80)


@pytest.fixture
def interface(app: Any) -> Any:
    """Its description."""
    return schemathesis.openapi.from_asgi(OPENAPI_PATH, app, headers=HEADERS)


def failure(operation: Any) -> str:
    """The first request to one operation that gets a server error, and its answer; nothing where none does."""

    @settings(
        max_examples=TRIES,
        deadline=None,
        derandomize=True,
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(case=operation.as_strategy())
    def tried(case: Any) -> None:
        answer = case.call(headers=HEADERS)
        assert answer.status_code < 500, f"{case.as_curl_command()}\n{answer.status_code} {answer.text[:300]}"

    try:
        tried()
    except Exception as error:  # noqa: BLE001  whatever the application raises is what is looked for
        return f"{operation.method.upper()} {operation.path}: {type(error).__name__}: {str(error)[:600]}"
    return ""


def test_no_request_gets_a_server_error(interface: Any) -> None:
    operations = [found.ok() for found in interface.get_all_operations()]
    assert len(operations) > 10
    wrong = [words for operation in operations if (words := failure(operation))]
    assert not wrong, "\n\n".join(wrong)


ODD_TEXTS = (
    "", " ", "0", "-1", "nan", "inf", "-inf kPa", "1e400 mm", "1e-320 mm", "9" * 4000, "1 parsec", "12", "0.5 bar",
    "1,5 bar", "'", '"', "]", "[engine]", "\x00", "\n", "\u202e12 mm", "½ bar", "true", "[1, 2", "0.7 +- 9", "1 +- -1",
    '{ speed = [1, 1], unit = "rpm", value = [0, 0] }', '{ speed = [1], unit = "rpm", value = [nan] }', "{}", "83 mm",
    "{ speed = [], value = [] }", '"83 mm"', "1e6 K", "../../etc/passwd", "petrol-ron98", "𝟙 kPa", '[{ name = "x" }]',
    "1 kPa absolute gauge", "-0.0 mm",
)  # fmt: skip


def keys_of(form: Any) -> dict[str, bool]:
    """Every key of the build that the form knows, and whether it stands in the file."""
    fields = [parameter for section in form["sections"] for parameter in section["parameters"]]
    return {field["key"]: field["text"] is not None for field in fields}


def test_no_text_in_any_field_gets_a_server_error(tmp_path: Path) -> None:
    with Served(copy_of("hill_climb_estate", tmp_path)) as served:
        stands = keys_of(served.ask("/api/build")[1])
        keys = list(stands)
        assert len(keys) > 100
        assert sum(stands.values()) > 50
        draw = random.Random(5)
        tried: list[dict[str, str | None]] = [
            {key: text} for key, text in zip(keys, itertools.cycle(ODD_TEXTS), strict=False)
        ]
        tried += [dict(zip(draw.sample(keys, 3), draw.sample(ODD_TEXTS, 3), strict=True)) for _ in range(60)]
        wrong = []
        routes = ("/api/build/check", "/api/live")
        for number, changes in enumerate(tried):
            # one field goes to the routes in turn, and so does each text, since their count is odd; three go to both
            for route in routes if len(changes) > 1 else (routes[number % 2],):
                status, answer = served.ask(route, {"changes": changes})
                if status >= 500:
                    wrong.append(f"{route} {str(changes)[:120]}: {status} {str(answer)[-200:]}")
                elif status >= 400 and not answer["faults"]:
                    wrong.append(f"{route} {str(changes)[:120]}: refused without a word")
        # each that stands in the file is taken out by itself; of those that do not, all at once is as much as each
        absent = [key for key in keys if not stands[key]]
        for gone in [*([key] for key in keys if stands[key]), absent]:
            status, answer = served.ask("/api/build/check", {"changes": dict.fromkeys(gone)})
            if status >= 500:
                wrong.append(f"without {', '.join(gone)[:200]}: {status} {str(answer)[-200:]}")
    assert not wrong, "\n".join(wrong[:20])
