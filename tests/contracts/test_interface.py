"""The interface in HTTP, as its own description states it: no request, however odd, gets a server error.

The requests are drawn from the description itself (every route, field and bound in it), and by hand for what it cannot
know: changes of the build that name real keys with unreal values.
"""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings

from boostwright.web.app import OPENAPI_PATH, create_app

EXAMPLES = Path(__file__).parents[2] / "examples"
TOKEN = "a-token-for-tests"
HEADERS = {"Authorization": f"Bearer {TOKEN}", "Host": "127.0.0.1"}
TRIES = 12


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
