"""Plots of a log: readable in grey, every curve told apart, thinned without losing a peak."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.colors import to_rgb

from boostwright.logs.derived.uncertain import exact
from boostwright.report.figures.log_overlay import Overlay, OverlayPanel, OverlayPicture, draw_overlay
from boostwright.report.figures.log_points import SPEED_SCALE
from boostwright.report.figures.log_strips import Strip, StripLine, StripPicture, draw_strips
from boostwright.report.figures.style import drawing_style


def _lightness(colour: tuple[float, float, float]) -> float:
    """CIE L* of a colour, by way of its luminance."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour]
    luminance = float(np.dot([0.2126, 0.7152, 0.0722], linear))
    return 116.0 * luminance ** (1.0 / 3.0) - 16.0 if luminance > 0.008856 else 903.3 * luminance


def test_scale_of_speed_rises_in_lightness() -> None:
    """So a grey print keeps the order, and eyes that tell red from green badly do too."""
    found = np.array([_lightness(to_rgb(SPEED_SCALE(x))) for x in np.linspace(0.0, 1.0, 64)])
    assert (np.diff(found) > 0.0).all()
    assert found[-1] - found[0] > 70.0


def _red_blind(colour: tuple[float, float, float]) -> np.ndarray:
    """A colour as without long-wave cones: Vienot, Brettel and Mollon (1999), matrix from memory."""
    linear = np.array([c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in colour])
    seen = np.array([[0.11238, 0.88762, 0.0], [0.11238, 0.88762, 0.0], [0.00401, -0.00401, 1.0]]) @ linear
    return np.asarray(np.clip(seen, 0.0, 1.0))


def test_scale_of_speed_keeps_its_order_without_red() -> None:
    light = [_red_blind(to_rgb(SPEED_SCALE(x))) @ [0.2126, 0.7152, 0.0722] for x in np.linspace(0.0, 1.0, 24)]
    assert (np.diff(light) > -1e-3).all()


def _line(n: int, label: str = "boost") -> StripLine:
    time = np.arange(n) * 0.01
    value = np.sin(time)
    value[n // 2] = 9.0
    return StripLine(label, time, value, value - 0.1, value + 0.1)


@pytest.mark.parametrize("rows", [50, 3000, 200_000])
def test_a_peak_of_one_row_is_still_drawn(rows: int) -> None:
    picture = StripPicture("strips", "made", (Strip("boost, kPa", (_line(rows),)),), ((1.0, 2.0),))
    with drawing_style():
        figure = draw_strips(picture)
    drawn = figure.axes[0].lines[0].get_ydata()
    assert np.nanmax(np.asarray(drawn, dtype=float)) == 9.0
    assert len(drawn) <= 2 * 1600 + 2 or rows <= 3200
    assert figure.axes[0].get_ylabel() == "boost, kPa"
    assert figure.axes[-1].get_xlabel().startswith("time, s")


def test_a_strip_without_a_value_says_so() -> None:
    nothing = np.full(20, np.nan)
    line = StripLine("x", np.arange(20.0), nothing, nothing, nothing)
    with drawing_style():
        figure = draw_strips(StripPicture("strips", "made", (Strip("x", (line,)),), ()))
    assert "no value" in [text.get_text() for text in figure.axes[0].texts]


def test_pulls_differ_by_mark_and_dash_and_the_prediction_is_the_heavy_line() -> None:
    speed = np.linspace(2500.0, 6500.0, 40)
    curves = [
        Overlay("predicted", speed, speed, speed - 50, speed + 50, predicted=True),
        *(Overlay(f"pull {k}", speed, speed + 10 * k, speed, speed + 20 * k) for k in range(1, 5)),
    ]
    picture = OverlayPicture(
        "over-speed", "made", "engine speed, rpm", (OverlayPanel("boost", tuple(curves)),)
    )
    with drawing_style():
        figure = draw_overlay(picture)
    lines = figure.axes[0].lines
    looks = {(line.get_marker(), line.get_linestyle()) for line in lines[1:]}
    assert len(looks) == 4
    assert lines[0].get_linewidth() > max(line.get_linewidth() for line in lines[1:])
    assert figure.axes[0].get_xlabel() == "engine speed, rpm"


def test_an_axis_by_the_pulls_is_not_set_by_what_lies_outside() -> None:
    """A ratio of 1.1 in the pull and of 6 in overrun: the axis of such a strip ends well below 6, of others not."""
    time = np.arange(0.0, 20.0, 0.1)
    value = np.where((time > 5.0) & (time < 10.0), 1.1 + 0.02 * time, 6.0)
    line = StripLine("drive-pressure ratio", time, value, value, value)
    for by_pulls in (True, False):
        strip = Strip("ratio", (line,), by_pulls)
        with drawing_style():
            figure = draw_strips(StripPicture("strips", "made", (strip,), ((5.5, 9.5),)))
        top = figure.axes[0].get_ylim()[1]
        assert (top < 1.5) == by_pulls


def test_numbers_of_pulls_never_overprint() -> None:
    """Ten pulls close together in a long log: their labels, drawn, do not touch each other."""
    time = np.arange(0.0, 1000.0, 0.5)
    line = StripLine("boost", time, np.sin(time), np.sin(time) - 0.1, np.sin(time) + 0.1)
    pulls = tuple((300.0 + 14.0 * k, 310.0 + 14.0 * k) for k in range(10))
    with drawing_style():
        figure = draw_strips(StripPicture("strips", "made", (Strip("boost, kPa", (line,)),), pulls))
        figure.canvas.draw()
        boxes = [text.get_window_extent() for text in figure.axes[0].texts]
    assert len(boxes) == 10
    for k, one in enumerate(boxes):
        assert not any(one.overlaps(other) for other in boxes[k + 1 :])


def test_labels_of_panels_fit_beside_them() -> None:
    """No vertical label is longer than its panel is high, whatever quantity is drawn."""
    from boostwright.report.log_figures import _PANELS, _label, _words
    from boostwright.report.log_shown import how_shown
    from boostwright.tasks.derive import CATALOGUE, Derived

    nothing = np.zeros(1)
    speed = np.linspace(2500.0, 6500.0, 10)
    panels = []
    for name in _PANELS:
        one = Derived(CATALOGUE[name], nothing, exact(0.0, nothing), (), "", np.inf)
        curve = Overlay("pull 1", speed, speed, speed - 1.0, speed + 1.0)
        panels.append(OverlayPanel(_label(_words(one), how_shown(one)), (curve,)))
    with drawing_style():
        figure = draw_overlay(OverlayPicture("over-speed", "made", "rpm", tuple(panels)))
        figure.canvas.draw()
        for axes in figure.axes:
            label, panel = axes.yaxis.label.get_window_extent(), axes.get_window_extent()
            assert label.height < 1.02 * panel.height, axes.get_ylabel()


def test_a_few_rows_of_fuel_cut_do_not_flatten_a_pull() -> None:
    """A probe that still shows the cut of a gear change is drawn out of the frame; a band of usual width is in it."""
    from matplotlib.figure import Figure

    from boostwright.report.figures.log_frame import frame_by_values

    reading = np.r_[np.full(3, 1.6), np.linspace(1.0, 0.82, 500)]
    axes = Figure().subplots()
    axes.plot(reading)
    frame_by_values(axes, [reading])
    bottom, top = axes.get_ylim()
    assert bottom < 0.82
    assert 1.0 < top < 1.2
    steady = 82.0 + np.sin(np.arange(400.0))  # noise of 1 within a band of 15
    axes = Figure().subplots()
    axes.fill_between(np.arange(400.0), steady - 15.0, steady + 15.0)
    frame_by_values(axes, [steady], [np.full(400, 30.0)])
    bottom, top = axes.get_ylim()
    assert bottom < 70.0
    assert top > 95.0
