"""``boostwright digitise``: a record of a reading becomes the same card again, without the screen."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from boostwright.cards.digitise.session import session_text
from boostwright.cards.look_up import find_card
from boostwright.cards.reader import read_card
from tests.support.map_clicks import clicked
from tests.support.map_pictures import Style, draw_map

EXAMPLES = Path(__file__).parents[2] / "examples"


def run(*arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [str(Path(sys.executable).parent / "boostwright"), *arguments],
        capture_output=True, text=True, check=False,
    )  # fmt: skip


@pytest.fixture(scope="module")
def record(tmp_path_factory: pytest.TempPathFactory) -> Path:
    card, style = find_card("compressor", "cc3-vaneless"), Style(dpi=100)
    rng = np.random.default_rng(3)
    session = clicked(card, draw_map(card, style), style, lambda p: p + rng.uniform(-1, 1, p.shape))
    facts = {**session.facts, "source": "own drawing", "licence": "free", "status": "invented for the demo"}
    path = tmp_path_factory.mktemp("readings") / "own-map.json"
    path.write_text(session_text(replace(session, name="own-map", facts=facts)), encoding="utf-8")
    return path


def test_a_reading_becomes_a_card_and_a_table(record: Path, tmp_path: Path) -> None:
    build = tmp_path / "estate"
    shutil.copytree(EXAMPLES / "hill_climb_estate", build)
    done = run(
        "digitise", str(record), "--build", str(build), "--csv", str(tmp_path / "out.csv"), "--json", "-"
    )
    assert done.returncode == 0, done.stderr
    document = json.loads(done.stdout)
    assert document["island_rms"] < 0.005
    assert "Islands met to" in done.stderr
    card = read_card(build / "cards" / "compressor" / "own-map.toml", "compressor")
    assert card.columns["efficiency"].size == sum(len(line["efficiency"]) for line in document["lines"])
    assert (tmp_path / "out.csv").read_text().startswith("line,corrected_speed,corrected_flow")
    again = run("digitise", str(record), "--build", str(build))
    assert again.returncode == 2
    assert "there is a card of this name already" in again.stderr
    over = run(
        "digitise",
        str(build / "cards" / "compressor" / "own-map.digitised.json"),
        "--build",
        str(build),
        "--over",
    )
    assert over.returncode == 0, over.stderr
    assert read_card(card.path, "compressor").columns["efficiency"] == pytest.approx(
        card.columns["efficiency"]
    )


def test_bad_records_are_refused_with_words(tmp_path: Path) -> None:
    (tmp_path / "bad.json").write_text('{"name": "x", "what": }')
    bad = run("digitise", str(tmp_path / "bad.json"))
    assert bad.returncode == 2
    assert "bad.json, line 1" in bad.stderr
    missing = run("digitise", str(tmp_path / "none.json"))
    assert missing.returncode == 2
    assert "cannot be opened" in missing.stderr
    assert "Traceback" not in bad.stderr + missing.stderr
