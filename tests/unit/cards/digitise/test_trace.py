"""Lines followed in pictures whose lines are known."""

from __future__ import annotations

import io

import numpy as np
import pytest
from matplotlib.figure import Figure

from boostwright.cards.digitise.picture import colours_of, open_picture
from boostwright.cards.digitise.trace import TraceError, thinned, trace_line

ANGLES = np.linspace(0.0, 2.0 * np.pi, 400)
LOOPS = [(0.6 + a * np.cos(ANGLES), 1.5 + b * np.sin(ANGLES)) for a, b in ((0.3, 0.5), (0.2, 0.3))]
X = np.linspace(0.05, 1.0, 300)
CURVES = [(X, 0.8 + 0.45 * k - 0.12 * k * (X - 0.1) ** 2 * 3.0) for k in range(1, 5)]


def picture(
    kind: str = "png", loop_ink: str = "black", loop_dash: str = "-", turn: float = 0.0
) -> tuple[np.ndarray, list[np.ndarray], list[np.ndarray]]:
    """Four falling lines crossed by two loops; colours, and where the lines and the loops lie."""
    figure = Figure(figsize=(9.0, 7.0), dpi=120)
    axes = figure.add_axes((0.1, 0.1, 0.85, 0.85))
    for x, y in CURVES:
        axes.plot(x, y, color="tab:blue", lw=1.2)
    for x, y in LOOPS:
        axes.plot(x, y, color=loop_ink, lw=1.0, ls=loop_dash)
    axes.grid(True, color="0.8")
    stream = io.BytesIO()
    figure.savefig(stream, format=kind)
    opened = open_picture(stream.getvalue())

    def there(x: np.ndarray, y: np.ndarray) -> np.ndarray:
        place = axes.transData.transform(np.column_stack([x, y]))
        return np.column_stack([place[:, 0], opened.height - place[:, 1]])

    return colours_of(opened.png), [there(*c) for c in CURVES], [there(*c) for c in LOOPS]


def off(points: np.ndarray, line: np.ndarray) -> np.ndarray:
    d = np.diff(line, axis=0)
    out = []
    for p in points:
        t = np.clip(np.sum((p - line[:-1]) * d, axis=1) / np.maximum(np.sum(d * d, axis=1), 1e-12), 0, 1)
        out.append(np.min(np.hypot(*(line[:-1] + t[:, None] * d - p).T)))
    return np.array(out)


@pytest.mark.parametrize(("kind", "whole"), [("png", 4), ("jpg", 1)])
def test_coloured_lines_are_followed_through_others_to_half_a_pixel(kind: str, whole: int) -> None:
    """In a JPEG, whose colours bleed, lines may be lost where others cross them at small angles: see the how-to."""
    colours, curves, _ = picture(kind)
    followed = 0
    for line in curves:
        found = trace_line(colours, tuple(line[20] + [1.0, -1.0]))
        assert not found.closed
        good = np.sqrt(np.mean(off(found.points, line) ** 2)) < 0.5 and off(found.points, line).max() < 2.0
        followed += bool(good and off(line[3:-3], found.points).max() < 2.5)
    assert followed >= whole


@pytest.mark.parametrize("kind", ["png", "jpg"])
def test_loops_come_round(kind: str) -> None:
    colours, _, loops = picture(kind)
    for line in loops:
        found = trace_line(colours, tuple(line[60]))
        assert found.closed
        assert np.sqrt(np.mean(off(found.points, line) ** 2)) < 0.6
        assert off(line, np.vstack([found.points, found.points[:1]])).max() < 3.0


def test_a_line_is_followed_to_where_it_is_asked() -> None:
    colours, curves, _ = picture()
    line = curves[1]
    found = trace_line(colours, tuple(line[20]), tuple(line[120]))
    assert found.ended[1] == "reached"
    assert found.points[-1] == pytest.approx(line[120], abs=1.5)
    assert off(found.points, line).max() < 1.0


def test_dashes_are_walked_over() -> None:
    colours, _, loops = picture(loop_ink="tab:red", loop_dash="--")
    found = trace_line(colours, tuple(loops[0][60]))
    assert off(found.points, loops[0]).max() < 2.0
    assert np.mean(off(loops[0], found.points) < 2.5) > 0.9


@pytest.mark.parametrize(
    ("start", "words"), [((300.0, 830.0), "no line"), ((5000.0, 10.0), "outside the picture")]
)
def test_where_there_is_no_line_it_says_so(start: tuple[float, float], words: str) -> None:
    colours, _, _ = picture()
    if words == "no line":
        colours[780:, :] = 255
    with pytest.raises(TraceError, match=words):
        trace_line(colours, start)


def test_noise_is_no_line_and_ends() -> None:
    rng = np.random.default_rng(3)
    colours = rng.integers(0, 255, (300, 400, 3), dtype=np.uint8)
    for start in rng.uniform(10, 290, (20, 2)):
        try:
            assert len(trace_line(colours, tuple(start)).points) < 3000
        except TraceError:
            continue


def test_thinning_keeps_the_shape() -> None:
    t = np.linspace(0.0, 1.0, 500)
    line = np.column_stack([600 * t, 200 * np.sin(3 * t)])
    few = thinned(line)
    assert len(few) < 60
    assert off(line, few).max() < 0.5
