"""Long work over HTTP: results as the command line prints them, stop and resume, and what is refused."""

from __future__ import annotations

import asyncio
import hashlib
import json
import shutil
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import httpx
import pytest
from like import assert_like

from boostwright.cli.main import main
from boostwright.cli.speeds import parse_speeds
from boostwright.web.app import make_api
from boostwright.web.desk import Desk
from boostwright.web.long_tasks import LongTasks

ESTATE = Path(__file__).resolve().parents[3] / "examples" / "hill_climb_estate"
RPM = "2000, 3500, 5000 rpm"
SPEEDS = parse_speeds(RPM)
CHANGES = {"wastegate.spring_rating": "0.55 bar gauge", "ambient.humidity": None}
SETTINGS = ("--set", "wastegate.spring_rating=0.55 bar gauge", "--set", "ambient.humidity=")
SHEETS = ["order-sheet", "go-no-go", "dyno-card", "pocket-card"]


class _Api:
    """The interface on a copy of the estate, without a socket."""

    def __init__(self, root: Path) -> None:
        self.folder = root / "estate"
        shutil.copytree(ESTATE, self.folder)
        self.desk = Desk(root, "estate")
        self._app = make_api(self.desk)

    def ask(self, method: str, path: str, body: Any = None) -> httpx.Response:
        async def once() -> httpx.Response:
            way = httpx.ASGITransport(app=self._app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=way, base_url="http://127.0.0.1") as client:
                return await client.request(method, path, json=body, timeout=60.0)

        return asyncio.run(once())

    def begin(self, kind: str, body: Any) -> str:
        answer = self.ask("POST", f"/api/jobs/{kind}", body)
        assert answer.status_code == 202, answer.text
        return str(answer.json()["job"])

    def end(self, job: str) -> dict[str, Any]:
        end = time.monotonic() + 120.0
        while time.monotonic() < end:
            state: dict[str, Any] = self.ask("GET", f"/api/jobs/{job}").json()
            if state["state"] not in ("waiting", "running"):
                return state
            time.sleep(0.02)
        raise AssertionError("never ended")

    def close(self) -> None:
        if "jobs" in self.desk.kept:
            self.desk.kept["jobs"].close()


@pytest.fixture(scope="module")
def api(tmp_path_factory: pytest.TempPathFactory) -> Iterator[_Api]:
    made = _Api(tmp_path_factory.mktemp("builds"))
    yield made
    made.close()


def _printed(arguments: list[str], place: Path) -> Any:
    assert main([*arguments, "--json", str(place)]) == 0
    return json.loads(place.read_text(encoding="utf-8"))


def test_a_plan_is_the_command_lines(api: _Api, tmp_path: Path) -> None:
    job = api.begin("plan", {"changes": CHANGES, "speeds": SPEEDS, "samples": 60, "seed": 3})
    done = api.end(job)
    assert done["state"] == "done", done
    table = tmp_path / "table.csv"
    command = ["plan", str(api.folder), *SETTINGS, "--speeds", RPM, "--samples", "60", "--seed", "3"]
    wanted = _printed([*command, "--csv", str(table)], tmp_path / "plan.json")
    assert_like(done["result"], wanted)
    assert done["result"]["settings"] == [f"{key}={text or ''}" for key, text in CHANGES.items()]
    assert api.ask("GET", f"/api/jobs/{job}/table.csv").content == table.read_bytes()


def test_bands_are_the_command_lines(api: _Api, tmp_path: Path) -> None:
    body = {"changes": CHANGES, "speeds": SPEEDS, "samples": 60, "seed": 3, "mode": "spring"}
    done = api.end(api.begin("bands", body))
    command = ["predict", str(api.folder), "--bands", *SETTINGS, "--speeds", RPM, "--samples", "60"]
    wanted = _printed([*command, "--seed", "3", "--mode", "spring"], tmp_path / "bands.json")
    assert_like(done["result"], wanted)


def test_a_whatif_is_the_command_lines(api: _Api, tmp_path: Path) -> None:
    body: dict[str, Any] = {
        "changes": CHANGES, "speeds": SPEEDS, "vary": ["wastegate.valve_diameter=38, 44, 50 mm"],
        "rank_by": "peak_power", "between": "2500 to 4500 rpm", "creep_floor": "150 kPa absolute",
        "compare": ["0", "2"],
    }  # fmt: skip
    job = api.begin("whatif", body)
    done = api.end(job)
    assert done["state"] == "done", done
    command = ["whatif", str(api.folder), *SETTINGS, "--speeds", RPM, "--vary", body["vary"][0]]
    command += ["--rank-by", "peak_power", "--between", "2500 to 4500 rpm"]
    command += ["--creep-floor", "150 kPa absolute", "--compare", "0, 2"]
    wanted = _printed(command, tmp_path / "whatif.json")
    assert_like(done["result"], wanted)
    assert api.ask("GET", f"/api/jobs/{job}/table.csv").text.startswith("number,rank,case")


def test_what_a_whatif_can_be_ranked_by(api: _Api) -> None:
    told = api.ask("GET", "/api/jobs/whatif/figures").json()
    assert told["written"] is True
    by_name = {figure["name"]: figure for figure in told["figures"]}
    assert by_name["mean_torque"]["better"] == "more"
    assert by_name["threshold"]["better"] == "less"
    assert by_name["creep_floor"]["basis"] == "absolute"


def test_a_tornado_is_the_command_lines(api: _Api, tmp_path: Path) -> None:
    done = api.end(api.begin("whatif", {"one_at_a_time": True}))
    assert done["state"] == "done", done
    command = ["whatif", str(api.folder), "--one-at-a-time"]
    assert done["result"] == _printed(command, tmp_path / "t.json")
    assert done["result"]["levers"]


def test_the_sheets_are_the_command_lines(api: _Api, tmp_path: Path) -> None:
    job = api.begin("sheets", {"speeds": SPEEDS, "samples": 0})
    done = api.end(job)
    assert done["state"] == "done", done
    command = ["plan", str(api.folder), "--speeds", RPM, "--samples", "0", "--sheets", str(tmp_path)]
    assert main(command) == 0
    wanted = json.loads((tmp_path / "sheets.json").read_text(encoding="utf-8"))
    assert_like(done["result"], wanted)
    assert done["files"] == [f"{name}.pdf" for name in SHEETS]
    for name in SHEETS:
        pdf = api.ask("GET", f"/api/jobs/{job}/sheets/{name}.pdf")
        assert pdf.headers["content-type"] == "application/pdf"
        assert pdf.content.startswith(b"%PDF-")
        page = api.ask("GET", f"/api/jobs/{job}/sheets/{name}").json()
        assert page["blocks"]
        assert page["build"] == "Hill climb estate"
    assert api.ask("GET", f"/api/jobs/{job}/sheets/no-such.pdf").status_code == 404


def test_the_sheets_of_a_plan_that_is_there_do_not_wait_for_it_again(
    api: _Api, monkeypatch: pytest.MonkeyPatch
) -> None:
    made: list[object] = []

    def make(*_: Any, **__: Any) -> object:
        made.append(object())
        return made[-1]

    monkeypatch.setattr("boostwright.tasks.plan.plan", make)
    tasks = LongTasks()

    def planned(settings: tuple[str, ...] = (), **options: Any) -> object:
        return tasks._planned(api.folder, settings, {"samples": 0, **options}, lambda *_: None)

    assert planned() is planned()
    assert len(made) == 1
    toml = api.folder / "build.toml"
    text = toml.read_text(encoding="utf-8")
    toml.write_text(text + "\n# changed\n", encoding="utf-8")
    assert planned() is made[1]
    toml.write_text(text, encoding="utf-8")
    assert planned(samples=5) is made[2]
    assert planned(("ambient.altitude=900 m",)) is made[3]


def test_a_long_whatif_stops_keeps_what_it_has_and_goes_on(api: _Api) -> None:
    body = {"speeds": SPEEDS, "vary": ["turbine.choked_flow=0.02:0.032:1500 kg/s*sqrt(K)/kPa"]}
    body["between"] = "2000 to 5000 rpm"  # the file's own reach further
    job = api.begin("whatif", body)
    while (state := api.ask("GET", f"/api/jobs/{job}").json())["done"] == 0:
        assert state["state"] in ("waiting", "running"), state
    stopped = api.ask("DELETE", f"/api/jobs/{job}").json()
    assert stopped["state"] == "stopped"
    assert 0 < stopped["done"] < 1501
    assert (api.folder / "whatif").is_dir()
    again = api.begin("whatif", body)
    first = 0
    while first == 0:
        first = api.ask("GET", f"/api/jobs/{again}").json()["done"]
    assert first >= stopped["done"]
    resumed = api.end(again)
    whole = api.end(api.begin("whatif", {**body, "anew": True}))
    assert resumed["state"] == whole["state"] == "done"
    assert resumed["result"]["cases"] == whole["result"]["cases"]


def test_what_is_wrong_with_the_build_is_said_fault_by_fault(api: _Api) -> None:
    changes = {"turbine.choked_flow": "0.027", "engine.bore": "-81 mm"}
    for kind in ("plan", "bands", "whatif", "sheets"):
        failed = api.end(api.begin(kind, {"changes": changes}))
        assert failed["state"] == "failed"
        assert failed["result"] is None
        assert {fault["key"] for fault in failed["faults"]} == {"turbine.choked_flow", "engine.bore"}
        assert all(fault["message"] for fault in failed["faults"])


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("plan", {"samples": 20_001}),
        ("plan", {"samples": -1}),
        ("plan", {"speeds": [0.0]}),
        ("plan", {"speeds": [float(n) for n in range(1, 202)]}),
        ("plan", {"speeds": []}),
        ("plan", {"surprise": 1}),
        ("plan", {"changes": {"a b": "1"}}),
        ("bands", {"samples": 19}),
        ("bands", {"mode": "full-chat"}),
        ("bands", {"samples": 20_000, "speeds": [float(n) for n in range(100, 200)]}),
        ("whatif", {"vary": [""]}),
        ("whatif", {"vary": ["x"] * 201}),
        ("whatif", {"compare": ["1"] * 6}),
        ("sheets", {"seed": 2**31}),
    ],
)
def test_what_is_out_of_bounds_is_refused(api: _Api, kind: str, body: Any) -> None:
    answer = api.ask("POST", f"/api/jobs/{kind}", body)
    assert answer.status_code == 422
    assert answer.json()["faults"][0]["message"]


@pytest.mark.parametrize("kind", ["plan", "whatif", "bands", "sheets"])
@pytest.mark.parametrize("method", ["GET", "DELETE", "PUT"])
def test_a_kind_of_job_is_only_posted_to(api: _Api, kind: str, method: str) -> None:
    answer = api.ask(method, f"/api/jobs/{kind}")
    assert answer.status_code == 405
    assert "POST" in answer.headers["allow"]
    assert answer.json()["faults"]


def test_a_job_that_is_not_there(api: _Api) -> None:
    for method, path in (("GET", ""), ("DELETE", ""), ("GET", "/table.csv"), ("GET", "/sheets/go-no-go.pdf")):
        answer = api.ask(method, f"/api/jobs/0123456789abcdef{path}")
        assert answer.status_code == 404
        assert "no such job" in answer.json()["faults"][0]["message"]
    assert api.ask("GET", "/api/jobs/..%2f..").status_code in (404, 422)
    assert api.ask("POST", "/api/jobs/fly", {}).status_code in (404, 405)


def test_more_cases_than_a_page_holds_are_refused_before_any_is_run(api: _Api) -> None:
    vary = [
        "turbine.choked_flow=0.02:0.032:201 kg/s*sqrt(K)/kPa",
        "wastegate.spring_rating=0.4:0.8:50 bar gauge",
    ]
    failed = api.end(api.begin("whatif", {"vary": vary}))
    assert failed["state"] == "failed"
    assert "10050 cases; the most is 10000 here" in failed["faults"][0]["message"]


def test_holding_and_listing(api: _Api) -> None:
    job = api.begin("whatif", {"one_at_a_time": True})
    api.end(job)
    assert api.ask("POST", f"/api/jobs/{job}/hold", {"held": True}).json()["held"] is True
    newer = api.begin("whatif", {"one_at_a_time": True})
    api.end(newer)
    listed = api.ask("GET", "/api/jobs").json()["jobs"]
    names = [entry["job"] for entry in listed]
    assert listed[-1]["build"] == "estate"
    assert listed[-1]["stamp"] == hashlib.sha256((api.folder / "build.toml").read_bytes()).hexdigest()
    assert listed[-1]["settings"] == []
    assert listed[-1]["options"]["one_at_a_time"] is True
    assert {job, newer} <= set(names)
    assert api.ask("DELETE", f"/api/jobs/{job}").status_code == 200
