from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from made_up_prediction import made_up_prediction
from matplotlib.figure import Figure
from matplotlib.text import Text

from boostwright.report.figures.limit_strip import Span, spans_of
from boostwright.report.figures.style import FAINT, HATCHES, INKS, PAPER, drawing_style, line_of
from boostwright.report.prediction_figures import (
    map_picture,
    prediction_figures,
    speed_pictures,
    write_prediction_figures,
)
from boostwright.solve.operating_point import Prediction

NAMES = ["torque-and-power", "pressures", "wastegate", "drive-pressure-ratio", "compressor-map"]


def texts(figure: Figure) -> str:
    """Every text on the figure, legends and labels included, line breaks taken out."""
    figure.draw_without_rendering()
    return " | ".join(found.get_text().replace("\n", " ") for found in figure.findobj(Text))


def drawn(prediction: Prediction) -> dict[str, str]:
    with drawing_style():
        return {name: texts(figure) for name, figure in prediction_figures(prediction)}


@pytest.fixture(scope="module")
def words() -> dict[str, str]:
    return drawn(made_up_prediction())


def test_every_plot_is_there(words: dict[str, str]) -> None:
    assert list(words) == NAMES


@pytest.mark.parametrize("name", NAMES)
def test_every_plot_says_what_it_shows_of_which_build_in_which_mode(words: dict[str, str], name: str) -> None:
    assert "made-up estate, mode target" in words[name]


@pytest.mark.parametrize(
    ("name", "label"),
    [
        ("torque-and-power", "torque at the crankshaft, Nm"),
        ("torque-and-power", "power at the crankshaft, kW"),
        ("torque-and-power", "limit: torque 320 Nm"),
        ("pressures", "kPa gauge"),
        ("pressures", "total pressure, kPa absolute"),
        ("pressures", "exhaust manifold"),
        ("pressures", "downpipe"),
        ("wastegate", "lift of the valve, mm"),
        ("wastegate", "% of mass flow"),
        ("drive-pressure-ratio", "exhaust manifold over intake manifold, totals, absolute"),
        ("compressor-map", "corrected air flow, g/s (at 101.325 kPa and 288.15 K, totals)"),
        ("compressor-map", "pressure ratio, total to total, absolute"),
        ("compressor-map", "surge line"),
        ("compressor-map", "choke"),
        ("compressor-map", "least surge margin: 17 % at 1500 rpm"),
        ("compressor-map", "least choke margin: 22 % at 6250 rpm"),
        ("compressor-map", "Map: invented-machine (invented for the demo)"),
        ("compressor-map", "points of the card"),
        ("compressor-map", "145 000"),
        ("compressor-map", "4500"),
        ("compressor-map", "73 %"),
    ],
)
def test_axes_carry_quantity_unit_and_basis(words: dict[str, str], name: str, label: str) -> None:
    assert label in words[name]


@pytest.mark.parametrize("name", NAMES[:4])
def test_the_strip_under_the_speed_axis_names_what_binds(words: dict[str, str], name: str) -> None:
    for label in (
        "engine speed, rpm",
        "spool",
        "boost target",
        "torque cap",
        "creep floor",
        "no steady state",
    ):
        assert label in words[name]


def test_the_strip_tells_its_parts_apart_without_colour() -> None:
    with drawing_style():
        _, figure = next(prediction_figures(made_up_prediction()))
        keys = figure.axes[-1].get_legend().get_patches()  # type: ignore[union-attr]
    assert len({patch.get_hatch() for patch in keys}) == 5
    assert len({patch.get_facecolor() for patch in keys}) == 1


def test_files_are_whole_and_the_same_every_time(tmp_path: Path) -> None:
    prediction = made_up_prediction()
    first = write_prediction_figures(prediction, tmp_path / "a" / "new", "--plot")
    second = write_prediction_figures(prediction, tmp_path / "b", "--plot")
    assert [path.name for path in first] == [f"{name}.{end}" for name in NAMES for end in ("png", "svg")]
    for one, other in zip(first, second, strict=True):
        content = one.read_bytes()
        assert content == other.read_bytes()
        assert content.startswith(b"\x89PNG" if one.suffix == ".png" else b"<?xml")
        assert len(content) > 20_000


def test_a_curve_has_a_gap_where_there_is_no_steady_state() -> None:
    picture = speed_pictures(made_up_prediction(unsolved=(10, 20)))[0]
    gaps = np.isnan(picture.panels[0].curves[0].values)
    assert list(np.flatnonzero(gaps)) == [10, 20]
    assert [span.label for span in picture.spans].count("no steady state") == 2


def test_a_sweep_without_any_steady_state_still_draws_and_says_so() -> None:
    found = drawn(made_up_prediction(unsolved=tuple(range(21))))
    assert "no point to show" in found["torque-and-power"]
    assert "no steady state" in found["wastegate"]
    assert "least surge margin" not in found["compressor-map"]


def test_a_single_point_draws() -> None:
    whole = made_up_prediction()
    one = replace(
        whole,
        speeds=whole.speeds[3:4],
        quantities={key: replace(value, values=value.values[3:4]) for key, value in whole.quantities.items()},
        outcomes=whole.outcomes[3:4],
        binding_limit=whole.binding_limit[3:4],
        flags=whole.flags[3:4],
        limits=(),
    )
    assert list(drawn(one)) == NAMES


def test_no_map_no_map_plot() -> None:
    prediction = made_up_prediction(with_map=False)
    assert map_picture(prediction) is None
    assert list(drawn(prediction)) == NAMES[:4]


def test_extrapolated_speed_lines_say_so() -> None:
    prediction = made_up_prediction()
    card = prediction.compressor_map
    assert card is not None
    assert "extrapolated" not in drawn(prediction)["compressor-map"]
    measured = replace(
        card,
        measured_speed=np.where(card.measured_speed > card.speeds_corrected[0], card.measured_speed, 0.0),
    )
    assert "speed line, extrapolated" in drawn(replace(prediction, compressor_map=measured))["compressor-map"]


def test_ragged_speed_lines_draw() -> None:
    prediction = made_up_prediction()
    card = prediction.compressor_map
    assert card is not None
    flow, ratio, efficiency = card.flow.copy(), card.pressure_ratio.copy(), card.efficiency.copy()
    for line in range(0, 7, 2):
        flow[line, 30:] = ratio[line, 30:] = efficiency[line, 30:] = np.nan
    ragged = replace(card, flow=flow, pressure_ratio=ratio, efficiency=efficiency)
    picture = map_picture(replace(prediction, compressor_map=ragged))
    assert picture is not None
    assert np.isfinite(picture.choke_flow).all()
    assert "choke" in drawn(replace(prediction, compressor_map=ragged))["compressor-map"]


def test_spans_meet_half_way_and_reach_half_a_step_out() -> None:
    spans = spans_of(np.array([1000.0, 2000.0, 3000.0]), ["a", "a", "b"])
    assert spans == [Span(500.0, 2500.0, "a"), Span(2500.0, 3500.0, "b")]
    assert spans_of(np.array([3000.0]), ["a"]) == [Span(2950.0, 3050.0, "a")]
    assert spans_of(np.array([]), []) == []


def lightness(ink: str) -> float:
    """CIE 1976 L* of an sRGB ink (IEC 61966-2-1 transfer, CIE 15 lightness)."""
    parts = [int(ink[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return float(116 * luminance ** (1 / 3) - 16)


def test_inks_differ_in_lightness_so_that_grey_is_enough() -> None:
    levels = sorted(lightness(ink) for ink in (*INKS, FAINT, PAPER))
    assert min(np.diff(levels)) >= 12


def test_lines_differ_in_dash_and_marker_too() -> None:
    looks = [line_of(index) for index in range(3)]
    assert len({str(look.linestyle) for look in looks}) == len({look.marker for look in looks}) == 3
    assert len(set(HATCHES)) == len(HATCHES)
