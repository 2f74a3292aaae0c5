"""The routes of the build, its cards, its live answers: right answers, and faults for all that is wrong."""

from __future__ import annotations

import asyncio
import json
import math
import shutil
import threading
from pathlib import Path
from typing import Any
from urllib.parse import quote

import httpx
import pytest

from boostwright.web.app import create_app, described

EXAMPLES = Path(__file__).parents[3] / "examples"
TOKEN = "a-token"


class Page:
    """A page as the server sees it."""

    def __init__(self, app: Any) -> None:
        self.app = app

    def ask(self, path: str, send: Any = None, method: str | None = None, **headers: str) -> httpx.Response:
        async def call() -> httpx.Response:
            transport = httpx.ASGITransport(app=self.app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1:8000") as client:
                given = {"Authorization": f"Bearer {TOKEN}", **headers}
                content = send if isinstance(send, bytes) else None if send is None else json.dumps(send)
                if send is not None:
                    given.setdefault("Content-Type", "application/json")
                verb = method or ("GET" if send is None else "POST")
                return await client.request(verb, path, content=content, headers=given)

        return asyncio.run(call())


@pytest.fixture
def root(tmp_path: Path) -> Path:
    for example in ("hill_climb_estate", "transverse_three"):
        shutil.copytree(EXAMPLES / example, tmp_path / "here" / example)
    return tmp_path / "here"


@pytest.fixture
def page(root: Path) -> Page:
    return Page(create_app(root, "hill_climb_estate", TOKEN, 8000))


def _stamp(page: Page, **headers: str) -> str:
    return str(page.ask("/api/build/stamp", **headers).json()["stamp"])


def test_session_units_builds_cards(page: Page) -> None:
    session = page.ask("/api/session").json()
    assert session["build"] == "hill_climb_estate"
    assert [mode["name"] for mode in session["modes"]] == [
        "gate-shut",
        "spring",
        "target",
        "gate-open",
        "no-turbo",
    ]
    units = page.ask("/api/units").json()
    celsius = next(one for one in units["temperature"] if one["unit"] == "degC")
    assert celsius["factor"] == pytest.approx(1.0)
    assert celsius["offset"] == pytest.approx(273.15)
    assert units["pressure"][0]["unit"] == "kPa"
    listed = page.ask("/api/builds").json()
    assert [one["name"] for one in listed["builds"]] == ["hill_climb_estate", "transverse_three"]
    cards = page.ask("/api/cards/compressor").json()
    assert cards[0]["name"] == "estate-112mm"
    assert cards[0]["where"] == "build"
    assert {one["where"] for one in cards[1:]} == {"library"}
    assert page.ask("/api/cards/nothing").status_code == 404


def test_the_form_is_saved_and_a_second_page_is_told(page: Page, root: Path) -> None:
    form = page.ask("/api/build").json()
    saved = page.ask("/api/build/save", {"changes": {"engine.bore": "84 mm"}, "stamp": form["stamp"]})
    assert saved.status_code == 200
    assert saved.json()["stamp"] == _stamp(page) != form["stamp"]
    # a second page read the file before that
    other = page.ask("/api/build/save", {"changes": {"engine.bore": "85 mm"}, "stamp": form["stamp"]})
    assert other.status_code == 409
    assert other.json()["conflict"]["keys"] == [
        {"key": "engine.bore", "mine": "85 mm", "theirs": "84 mm", "was": "83 mm", "both": True}
    ]
    assert 'bore = "84 mm"' in (root / "hill_climb_estate" / "build.toml").read_text(encoding="utf-8")
    again = page.ask("/api/build/save", {"changes": {"engine.bore": "85 mm"}, "stamp": other.json()["stamp"]})
    assert again.status_code == 200


def test_two_pages_may_have_two_builds_open(page: Page, root: Path) -> None:
    other = {"X-Build": "transverse_three"}
    assert page.ask("/api/build", **other).json()["name"] == "transverse_three"
    stamp = _stamp(page, **other)
    assert (
        page.ask("/api/build/save", {"changes": {"engine.bore": "77 mm"}, "stamp": stamp}).status_code == 409
    )
    done = page.ask("/api/build/save", {"changes": {"engine.bore": "77 mm"}, "stamp": stamp}, **other)
    assert done.status_code == 200
    assert 'bore = "83 mm"' in (root / "hill_climb_estate" / "build.toml").read_text(encoding="utf-8")


def test_a_new_build_is_made_and_opened(page: Page, root: Path) -> None:
    made = page.ask("/api/builds", {"from": "transverse_three", "name": "Mein Äuto 2"})
    assert made.status_code == 200
    assert (root / "Mein Äuto 2" / "build.toml").is_file()
    assert page.ask("/api/build").json()["name"] == "Mein Äuto 2"
    named = page.ask("/api/build/stamp", **{"X-Build": "Mein%20%C3%84uto%202"})
    assert named.status_code == 200
    assert page.ask("/api/builds/open", {"name": "hill_climb_estate"}).status_code == 200
    assert page.ask("/api/build").json()["name"] == "hill_climb_estate"


OUTSIDE = [
    "..",
    "../outside",
    "/etc",
    "a/../../outside",
    "",
    ".",
    "hill_climb_estate/../../outside",
    "C:\\",
    "con",
    "a\x00b",
    "hill_climb_estate\\..\\..",
    ".hidden",
    "%2e%2e",
    "link",
    "deep/link",
    "x" * 300,
    "~",
    "outside.",
]


@pytest.mark.parametrize("name", OUTSIDE)
def test_no_name_leads_out_of_the_folder(page: Page, root: Path, name: str) -> None:
    outside = root.parent / "outside"
    shutil.copytree(EXAMPLES / "transverse_three", outside)
    (root / "link").symlink_to(outside)
    (root / "deep").mkdir()
    (root / "deep" / "link").symlink_to(outside)
    (root / "linked file").mkdir()
    (root / "linked file" / "build.toml").symlink_to(outside / "build.toml")
    before = sorted(path.relative_to(root.parent) for path in root.parent.rglob("*"))
    for path, sent in (
        ("/api/builds/open", {"name": name}),
        ("/api/builds/open", {"name": "linked file"}),
        ("/api/builds", {"from": name, "name": "fine"}),
    ):
        assert 400 <= page.ask(path, sent).status_code < 500
    assert 400 <= page.ask("/api/builds", {"from": None, "name": name}).status_code < 500
    assert 400 <= page.ask("/api/build", **{"X-Build": quote(name, safe="")}).status_code < 500
    listed = [one["name"] for one in page.ask("/api/builds").json()["builds"]]
    assert listed == ["hill_climb_estate", "transverse_three"]
    assert sorted(path.relative_to(root.parent) for path in root.parent.rglob("*")) == before


def test_a_build_that_becomes_a_link_is_not_followed(page: Page, root: Path) -> None:
    assert page.ask("/api/build").status_code == 200
    outside = root.parent / "outside"
    (root / "hill_climb_estate").rename(outside)
    (root / "hill_climb_estate").symlink_to(outside)
    assert page.ask("/api/build").status_code == 404


@pytest.mark.parametrize(
    "path",
    [
        "/../pyproject.toml",
        "/..%2fapp.py",
        "/%2e%2e/app.py",
        "/static/index.html",
        "/app.py",
        "/index.html/",
        "/.hidden.js",
        "/etc/passwd",
        "//etc/passwd",
        "/a%00.js",
        "/INDEX.html",
        "/index.html%20",
        "/" + "a" * 5000 + ".js",
    ],
)
def test_no_path_leads_to_another_file(page: Page, path: str) -> None:
    answer = page.ask(path)
    assert answer.status_code == 404
    assert len(answer.text) < 100


def test_page_files_come_with_a_tag(page: Page, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from boostwright.web import static_files

    folder = tmp_path / "static"
    folder.mkdir()
    (folder / "index.html").write_text("<p>one")
    (folder / "app.js").write_text("1")
    (folder / "link.js").symlink_to(tmp_path / "secret.js")
    (tmp_path / "secret.js").write_text("secret")
    monkeypatch.setattr(static_files, "STATIC", folder)
    first = page.ask("/")
    assert (first.status_code, first.text) == (200, "<p>one")
    assert first.headers["content-type"].startswith("text/html")
    assert page.ask("/app.js").headers["content-type"].startswith("text/javascript")
    tag = first.headers["etag"]
    assert page.ask("/", **{"If-None-Match": tag}).status_code == 304
    assert page.ask("/link.js").status_code == 404
    assert page.ask("/", method="HEAD").text == ""
    assert page.ask("/", b"x", method="POST").status_code == 405
    (folder / "index.html").write_text("<p>two!")
    assert page.ask("/", **{"If-None-Match": tag}).text == "<p>two!"


BROKEN_BODIES = [
    b"",
    b"{",
    b"[]",
    b"null",
    b"1e999",
    b"\xff\xfe{}",
    b"[" * 100_000,
    b'{"changes": ' * 20_000,
    b'{"changes": {"a": 1}}',
    b'{"changes": {"": "x"}}',
    b'{"changes": {"a=b": "x"}}',
    b'{"changes": {"a b": "x"}}',
    b'{"nonsense": 1}',
    b'{"changes": {"engine.bore": "\\ud800"}}',
    b'{"changes": {"engine.bore": NaN}}',
    b'{"speeds": [NaN]}',
    b'{"speeds": [1e999]}',
    b'{"speeds": []}',
    b'{"speeds": [100, 100]}',
    b'{"speeds": [-5]}',
    b'{"speeds": ' + b"9" * 5000 + b"}",
    b'{"turn": ' + b"9" * 400 + b"}",
]


@pytest.mark.parametrize("body", BROKEN_BODIES, ids=range(len(BROKEN_BODIES)))
@pytest.mark.parametrize(
    "path", ["/api/live", "/api/build/check", "/api/build/save", "/api/predict", "/api/builds"]
)
def test_a_broken_body_is_a_fault(page: Page, path: str, body: bytes) -> None:
    answer = page.ask(path, body)
    assert 400 <= answer.status_code < 500 or (
        answer.status_code == 200 and path == "/api/live" and body == b"{}"
    )
    assert answer.json()["faults"]


VALUES = [
    "",
    " ",
    "84",
    "84 mm " * 100,
    "nan mm",
    "inf mm",
    "1e400 mm",
    "-0 mm",
    "9" * 400,
    "9" * 5000 + " mm",
    "[1",
    "{",
    "'",
    '"',
    "\x00",
    "84 mm\nstroke = 3",
    "84 mm # note",
    "true",
    "1979-05-27",
    "{ a = { b = 1 } }",
    "[[[[1]]]]",
    "\u202e84 mm",
    "🛞",
    "1_000 mm",
]


@pytest.mark.parametrize("value", VALUES, ids=range(len(VALUES)))
def test_an_odd_value_is_a_fault_or_an_answer_and_never_harms_the_file(
    page: Page, root: Path, value: str
) -> None:
    path = root / "hill_climb_estate" / "build.toml"
    before = path.read_bytes()
    for key in ("engine.bore", "fuel.card", "plan.parts", "engine", "a.b.c.d"):
        changes = {key: value}
        asked = ["/api/build/check"]
        asked += ["/api/live"] if key in ("engine.bore", "engine", "plan.parts") else []
        asked += ["/api/predict"] if key == "engine" else []
        for where in asked:
            answer = page.ask(where, {"changes": changes})
            assert answer.status_code in (200, 404, 422), answer.text
            json.loads(answer.text, parse_constant=lambda word: pytest.fail(word))
        done = page.ask("/api/build/save", {"changes": changes, "stamp": _stamp(page)})
        assert done.status_code in (200, 422), done.text
        if done.status_code == 422:
            assert path.read_bytes() == before
        path.write_bytes(before)


def test_live_is_predict(page: Page) -> None:
    changes = {"wastegate.takeoff_angle": "60 deg"}
    live = page.ask("/api/live", {"changes": changes}).json()
    whole = page.ask("/api/predict", {"changes": changes}).json()
    for name in ("torque", "pressure_im", "temperature_em", "surge_margin"):
        for mine, theirs in zip(live["quantities"][name], whole["quantities"][name]["values"], strict=True):
            assert (mine is None) == (theirs is None)
            assert mine is None or math.isclose(mine, theirs, rel_tol=1e-9)
    assert [one["solved"] for one in live["outcomes"]] == [one["solved"] for one in whole["outcomes"]]
    assert live["binding"] == whole["binding_limit"]


def test_the_newest_question_of_a_page_is_answered_and_older_ones_given_up(page: Page) -> None:
    desk = page.app.inner.desk
    page.ask("/api/live", {"changes": {}})
    answers: dict[int, int] = {}

    def question(turn: int) -> None:
        answers[turn] = page.ask("/api/live", {"changes": {}, "tab": "a", "turn": turn}).status_code

    desk.solving.acquire()
    threads = [threading.Thread(target=question, args=(turn,)) for turn in (1, 2, 3)]
    for thread in threads:
        thread.start()
        while not desk.kept.get("turns") or desk.kept["turns"].newest("a") < threads.index(thread) + 1:
            thread.join(0.01)
    desk.solving.release()
    for thread in threads:
        thread.join()
    assert answers == {1: 409, 2: 409, 3: 200}


def test_every_route_is_described_with_the_shape_of_its_answer(page: Page) -> None:
    document = page.ask("/api/openapi.json").json()
    assert document == json.loads(json.dumps(described()))
    assert len(document["paths"]) > 25
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            good = [code for code in operation["responses"] if code.startswith("2")]
            assert good, f"{method} {path}"
            assert "4XX" in operation["responses"], f"{method} {path}"
            assert operation["description"], f"{method} {path}"


def test_answers_have_the_shapes_they_are_described_with(page: Page) -> None:
    import jsonschema

    document = described()
    for path, sent in (
        ("/api/session", None),
        ("/api/units", None),
        ("/api/builds", None),
        ("/api/build", None),
        ("/api/build/stamp", None),
        ("/api/cards/turbine", None),
        ("/api/live", {"changes": {"prediction.mode": "no-turbo"}}),
        ("/api/live", {}),
        ("/api/build/check", {"changes": {"engine.bore": "84"}}),
    ):
        template = "/api/cards/{kind}" if "cards" in path else path
        shape = document["paths"][template]["get" if sent is None else "post"]["responses"]["200"]
        schema = {**shape["content"]["application/json"]["schema"], "components": document["components"]}
        answer = page.ask(path, sent)
        assert answer.status_code == 200
        jsonschema.validate(answer.json(), schema)


def test_a_program_error_is_said_as_such_and_writes_nothing(
    page: Page, monkeypatch: pytest.MonkeyPatch
) -> None:
    from boostwright.tasks import form

    def broken(*_: object) -> None:
        raise ZeroDivisionError("secret path")

    monkeypatch.setattr(form, "build_form", broken)
    answer = page.ask("/api/build")
    assert answer.status_code == 500
    assert "inside the program" in answer.json()["faults"][0]["message"]
    assert "secret path" not in answer.text
