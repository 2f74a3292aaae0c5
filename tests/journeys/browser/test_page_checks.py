"""The checks of a drawn page see what they are for, on pages made wrong on purpose, and nothing on a sound one."""

from __future__ import annotations

from typing import Any

import pytest
from page_layout import badly_drawn, serious_violations, unnamed_controls

HEAD = '<!doctype html><html lang="en"><head><title>a page</title></head><body><main><h1>A page</h1>'
SOUND = (
    "<label>Bore <input type=text value='83 mm'></label><button>Save</button>"
    "<p>Some text</p><div style='width:90px;overflow:auto' tabindex=0 role=region aria-label=long>"
    "<pre>a long line that scrolls</pre></div>"
    "<span style='position:absolute;width:1px;height:1px;overflow:hidden;clip-path:inset(50%)'>hidden words</span>"
)
DRAWN_WRONG = {
    "cut off": "<div style='width:60px;overflow:hidden;white-space:nowrap'>text that is too long</div>",
    "cut off below": "<div style='height:20px;overflow:hidden'>one<br>two<br>three</div>",
    "overlap": "<p>first words</p><p style='margin-top:-2em'>second words</p>",
    "page is": "<div style='width:3000px'>wide</div>",
    "px in": "<input aria-label=flow style='width:50px' value='0.0272 kg/s*sqrt(K)/kPa'>",
}


@pytest.fixture
def blank(open_page: Any) -> Any:
    """An empty page."""
    return open_page("about:blank", width=800)


def test_a_sound_page_has_nothing_wrong(blank: Any) -> None:
    blank.set_content(HEAD + SOUND)
    assert badly_drawn(blank) == []
    assert unnamed_controls(blank) == []
    assert serious_violations(blank) == []


@pytest.mark.parametrize("word", DRAWN_WRONG)
def test_what_is_drawn_wrong_is_seen(blank: Any, word: str) -> None:
    blank.set_content(HEAD + SOUND + DRAWN_WRONG[word])
    found = badly_drawn(blank)
    assert len(found) == 1
    assert word in found[0]


def test_a_control_without_a_name_is_seen(blank: Any) -> None:
    blank.set_content(HEAD + SOUND + "<button></button><canvas role=img tabindex=0></canvas>")
    assert len(unnamed_controls(blank)) == 2
    assert any("button-name" in words for words in serious_violations(blank))


def test_pale_ink_is_seen(blank: Any) -> None:
    blank.set_content(HEAD + SOUND + "<p style='color:#aaa;background:#fff'>pale</p>")
    assert any("color-contrast" in words for words in serious_violations(blank))
