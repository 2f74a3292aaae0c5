"""The wheel a user installs carries the built screen and the examples, and serves them from where it was put."""

from __future__ import annotations

import os
import subprocess
import sys
import urllib.request
import zipfile
from pathlib import Path

import pytest
from served import PROGRAM, Served

ROOT = Path(__file__).parents[2]
STATIC = ROOT / "src" / "boostwright" / "web" / "static"


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel built from this source, without asking a registry."""
    place = tmp_path_factory.mktemp("wheel")
    command = [
        sys.executable,
        "-m",
        "pip",
        "wheel",
        "--quiet",
        "--no-deps",
        "--no-build-isolation",
        "--no-index",
    ]
    subprocess.run([*command, "--wheel-dir", str(place), str(ROOT)], check=True, capture_output=True)
    (made,) = place.glob("*.whl")
    return made


def test_it_carries_the_screen_as_built_and_no_source_of_it(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as archive:
        names = archive.namelist()
        carried = {
            name.removeprefix("boostwright/web/static/"): archive.read(name)
            for name in names
            if name.startswith("boostwright/web/static/")
        }
    built = {str(path.relative_to(STATIC)): path.read_bytes() for path in STATIC.rglob("*") if path.is_file()}
    assert {"index.html", "app.js", "app.css"} <= set(built)
    assert carried == built
    assert not [name for name in names if "node_modules" in name or name.startswith("frontend")]


def test_it_serves_from_where_it_was_put(
    wheel: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    put = tmp_path / "put here"
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(put)
    monkeypatch.setenv("PYTHONPATH", str(put))
    where = [sys.executable, "-c", "import boostwright; print(boostwright.__file__)"]
    printed = subprocess.run(where, check=True, capture_output=True, text=True, cwd=tmp_path).stdout
    assert printed.startswith(str(put)), "the source was used, not the wheel"
    new = [*PROGRAM, "new", "my car", "--example", "hill-climb-estate"]
    subprocess.run(new, check=True, capture_output=True, cwd=tmp_path, env=os.environ)
    with Served(tmp_path / "my car") as served:
        with urllib.request.urlopen(f"{served.address}/", timeout=20) as answer:
            assert b"app.js" in answer.read()
        for name in ("app.js", "app.css"):
            with urllib.request.urlopen(f"{served.address}/{name}", timeout=20) as answer:
                assert answer.read() == (STATIC / name).read_bytes()
        status, form = served.ask("/api/build")
        assert status == 200
        assert form["sections"]
