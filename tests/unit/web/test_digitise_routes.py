"""The digitiser over HTTP: a reading begun, kept, followed, worked out, made into a card; and refusals."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from boostwright.cards.digitise.session import session_text
from boostwright.cards.look_up import find_card
from boostwright.web.app import create_app
from tests.support.map_clicks import clicked
from tests.support.map_pictures import MapPicture, Style, draw_map
from tests.unit.web.test_build_routes import EXAMPLES, TOKEN, Page

CARD = find_card("compressor", "cc3-vaneless")
STYLE = Style(dpi=100)


@pytest.fixture(scope="module")
def picture() -> MapPicture:
    return draw_map(CARD, STYLE)


@pytest.fixture
def root(tmp_path: Path) -> Path:
    shutil.copytree(EXAMPLES / "hill_climb_estate", tmp_path / "here" / "estate")
    return tmp_path / "here"


@pytest.fixture
def page(root: Path) -> Page:
    return Page(create_app(root, "estate", TOKEN, 8000))


def begun(page: Page, data: bytes, name: str = "own-map") -> Any:
    return page.ask(f"/api/digitise/readings?name={name}", data, "POST", **{"Content-Type": "image/png"})


def record(picture: MapPicture, **facts: str) -> dict[str, Any]:
    rng = np.random.default_rng(2)
    session = clicked(CARD, picture, STYLE, lambda p: p + rng.uniform(-1, 1, p.shape))
    data = json.loads(session_text(session))
    data["name"] = "own-map"
    data["facts"].update(facts)
    return dict(data)


KNOWN = {"source": "own drawing", "licence": "free", "status": "invented for the demo"}


def test_a_picture_becomes_a_card(page: Page, root: Path, picture: MapPicture) -> None:
    made = begun(page, picture.data)
    assert made.status_code == 200
    stamp, reading = made.json()["stamp"], record(picture)
    axes = page.ask("/api/digitise/axes", {"reading": reading}).json()
    assert axes["model"] == "straight"
    assert len(axes["residuals"]) == 4
    fit = page.ask("/api/digitise/fit", {"reading": reading}).json()
    assert {fault["key"] for fault in fit["faults"]} == {"source", "licence", "status"}
    assert len(fit["lines"]) == len(picture.lines)
    assert fit["island_rms"] < 0.005
    surface = fit["overlay"]["surface"]
    assert np.array(surface["pixels"]).shape[:2] == np.array(surface["efficiency"]).shape
    assert page.ask("/api/digitise/card", {"reading": reading}).status_code == 422
    kept = page.ask("/api/digitise/readings/own-map/keep", {"reading": reading, "stamp": stamp})
    assert kept.status_code == 200
    saved = page.ask("/api/digitise/card", {"reading": record(picture, **KNOWN)})
    assert saved.status_code == 200, saved.text
    assert saved.json()["changes"] == {"compressor.card": "own-map"}
    folder = root / "estate" / "cards" / "compressor"
    assert {f"own-map{end}" for end in (".toml", ".csv", ".digitised.json", ".digitised.png")} <= {
        path.name for path in folder.iterdir()
    }
    assert not list((root / "estate" / "digitising").iterdir())
    assert "read from a picture: own drawing" in (folder / "own-map.toml").read_text()
    listed = page.ask("/api/digitise/readings").json()["readings"]
    assert listed == [{"name": "own-map", "what": "compressor", "saved": "compressor", "fault": ""}]
    checked = page.ask("/api/build/check", {"changes": {"compressor.card": "own-map"}}).json()
    assert not checked["faults"]


def test_a_card_is_replaced_only_when_asked_and_the_old_one_stays(
    page: Page, root: Path, picture: MapPicture
) -> None:
    begun(page, picture.data)
    reading = record(picture, **KNOWN)
    assert page.ask("/api/digitise/card", {"reading": reading}).status_code == 200
    folder = root / "estate" / "cards" / "compressor"
    first = (folder / "own-map.toml").read_text()
    opened = page.ask("/api/digitise/readings/own-map").json()
    opened["reading"]["facts"]["notes"] = "mended"
    again = page.ask("/api/digitise/card", {"reading": opened["reading"]})
    assert again.status_code == 409
    assert (folder / "own-map.toml").read_text() == first
    assert page.ask("/api/digitise/card", {"reading": opened["reading"], "over": True}).status_code == 200
    assert "mended" in (folder / "own-map.toml").read_text()
    assert (folder / "own-map.toml.old1").read_text() == first


def test_two_pages_are_told_of_each_other(page: Page, picture: MapPicture) -> None:
    stamp, reading = begun(page, picture.data).json()["stamp"], record(picture)
    first = page.ask("/api/digitise/readings/own-map/keep", {"reading": reading, "stamp": stamp})
    assert first.status_code == 200
    reading["facts"]["notes"] = "other"
    second = page.ask("/api/digitise/readings/own-map/keep", {"reading": reading, "stamp": stamp})
    assert second.status_code == 409
    assert "another page" in second.json()["faults"][0]["message"]
    assert page.ask("/api/digitise/readings/own-map").json()["reading"]["facts"].get("notes") is None
    assert page.ask("/api/digitise/readings/own-map/keep", {"reading": reading}).status_code == 200
    assert page.ask("/api/digitise/readings/own-map").json()["reading"]["facts"]["notes"] == "other"


def test_what_is_put_away_is_still_there(page: Page, root: Path, picture: MapPicture) -> None:
    begun(page, picture.data)
    assert page.ask("/api/digitise/readings/own-map", method="DELETE").status_code == 200
    assert page.ask("/api/digitise/readings").json()["readings"] == []
    assert {p.name for p in (root / "estate" / "digitising").iterdir()} == {
        "own-map.json.old1",
        "own-map.png.old1",
    }
    assert begun(page, picture.data).status_code == 200


def test_a_line_is_followed(page: Page, picture: MapPicture) -> None:
    begun(page, picture.data)
    line = picture.lines[-1][1]
    found = page.ask("/api/digitise/readings/own-map/trace", {"start": list(line[2])}).json()
    assert len(found["points"]) > 4
    nowhere = page.ask("/api/digitise/readings/own-map/trace", {"start": [5.0, 5.0]})
    assert nowhere.status_code == 422
    assert "no line" in nowhere.json()["faults"][0]["message"]


@pytest.mark.parametrize("name", ["..", "../out", "a/b", "UP", "x" * 64, "%2e%2e", ".hidden", "a..b", "a."])
def test_names_that_are_none_are_refused(page: Page, root: Path, picture: MapPicture, name: str) -> None:
    before = sorted(root.parent.rglob("*"))
    assert begun(page, picture.data, name).status_code in (404, 422)
    assert sorted(root.parent.rglob("*")) == before


@pytest.mark.parametrize("data", [b"", b"no picture", b"%PDF-1.4", b"\x89PNG\r\n\x1a\n" + b"\0" * 99])
def test_what_is_no_picture_is_refused_and_nothing_is_made(page: Page, root: Path, data: bytes) -> None:
    refused = begun(page, data)
    assert refused.status_code == 422
    assert refused.json()["faults"][0]["message"]
    assert not (root / "estate" / "digitising").exists() or not list(
        (root / "estate" / "digitising").iterdir()
    )


def test_a_body_beyond_bounds_is_refused(page: Page) -> None:
    assert begun(page, b"\x89PNG\r\n\x1a\n" + b"\0" * 41_000_000).status_code == 413


def test_a_folder_that_leads_out_of_the_build_is_not_followed(
    page: Page, root: Path, picture: MapPicture
) -> None:
    out = root.parent / "elsewhere"
    out.mkdir()
    (root / "estate" / "digitising").symlink_to(out)
    assert begun(page, picture.data).status_code == 422
    assert not list(out.iterdir())


@pytest.mark.parametrize(
    "reading",
    [
        {},
        {"name": 5},
        {"name": "x", "what": "spaceship"},
        {"name": "x", "marks": "no"},
        {"name": "x", "marks": [{"pixel": [1]}]},
        {"name": "x", "strokes": [{"role": "line", "points": [[1, 1e99]]}]},
        {"name": "x", "strokes": [{"role": "wing"}]},
        {"name": "x", "facts": {"unknown": "y"}},
        {"name": "x", "picture": {"file": "../../etc"}},
    ],
)
def test_odd_records_get_faults(page: Page, reading: dict[str, Any]) -> None:
    for path in ("/api/digitise/axes", "/api/digitise/fit", "/api/digitise/card"):
        answer = page.ask(path, {"reading": reading})
        assert answer.status_code in (404, 422), (path, answer.text)
        assert answer.json()["faults"]


def test_a_curve_without_islands_is_no_map(page: Page, picture: MapPicture) -> None:
    reading = record(picture)
    reading["strokes"] = [one for one in reading["strokes"] if one["role"] == "line"]
    refused = page.ask("/api/digitise/fit", {"reading": reading})
    assert refused.status_code == 422
    assert "no islands of efficiency" in refused.json()["faults"][0]["message"]


def test_a_full_disk_changes_nothing(
    page: Page, root: Path, picture: MapPicture, monkeypatch: pytest.MonkeyPatch
) -> None:
    begun(page, picture.data)
    before = {p: p.read_bytes() for p in root.rglob("*") if p.is_file()}

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("boostwright.saving.os.fsync", full)
    reading = record(picture, **KNOWN)
    for path in ("/api/digitise/readings/own-map/keep", "/api/digitise/card"):
        refused = page.ask(path, {"reading": reading})
        assert refused.status_code == 422
        assert "No space" in refused.text
    assert {p: p.read_bytes() for p in root.rglob("*") if p.is_file()} == before
