"""Pictures of known compressor cards as maps, drawn by a plotting library, with where everything lies in them.

The islands are contours of the card's own efficiency, joined between its lines by another library's interpolation
than the program's: shape-preserving cubics over speed at equal share of each line's flow.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from itertools import pairwise

import matplotlib.pyplot as plt
import numpy as np
from matplotlib.figure import Figure
from PIL import Image
from scipy.interpolate import PchipInterpolator

from boostwright.cards.card import Card
from boostwright.cards.compressor import groups_of_lines
from boostwright.units import convert

__all__ = ["MapPicture", "Style", "draw_map", "lines_of"]


@dataclass(frozen=True)
class Style:
    """How a map is drawn."""

    name: str = "plain"
    size: tuple[float, float] = (9.0, 7.0)
    dpi: int = 150
    flow_unit: str = "kg/s"
    line_colours: tuple[str, ...] = ("black",)
    island_colour: str = "black"
    island_dash: str = "-"
    grid: bool = True
    labels: bool = True
    log_x: bool = False
    format: str = "png"
    quality: int = 80
    turn: float = 0.0  # degrees
    corners: tuple[tuple[float, float], ...] | None = (
        None  # where the picture's corners go, as shares of its size
    )
    noise: float = 0.0  # standard deviation of grey, 0 to 255
    below_best: tuple[float, ...] = (0.005, 0.015, 0.03, 0.045, 0.06, 0.08, 0.10, 0.13, 0.16, 0.20, 0.25)


@dataclass(frozen=True)
class MapPicture:
    """A picture and where things lie in it, all in pixels from its upper left corner.

    data     the file
    corners  pixel and value (flow in the style's unit, pressure ratio) of the corners of the plot
    lines    speed [rad/s] and dense polyline of each speed line
    islands  efficiency, dense polyline, and whether it is closed
    surge    polyline
    """

    data: bytes
    corners: list[tuple[tuple[float, float], float, float]]
    lines: list[tuple[float, np.ndarray]]
    islands: list[tuple[float, np.ndarray, bool]]
    surge: np.ndarray
    ticks: list[tuple[tuple[float, float], float | None, float | None]] = field(default_factory=list)


def lines_of(card: Card) -> list[tuple[float, np.ndarray, np.ndarray, np.ndarray]]:
    """Speed [rad/s], flow [kg/s], pressure ratio and efficiency of each line, at the card's own reference."""
    c = card.columns
    out = []
    for group in groups_of_lines(c["corrected_speed"], c.get("line")):
        order = group[np.argsort(c["corrected_flow"][group], kind="stable")]
        speed = float(np.mean(c["corrected_speed"][order]))
        out.append((speed, *(c[k][order] for k in ("corrected_flow", "pressure_ratio", "efficiency"))))
    return out


def _field(card: Card) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Flow, ratio and efficiency on a net of 121 places a line and 10 levels between lines."""
    lines = lines_of(card)
    share = np.linspace(0.0, 1.0, 121)
    rows = []
    for _, flow, ratio, efficiency in lines:
        x = np.hypot((flow - flow[0]) / np.ptp(flow), 0.0)
        x, kept = np.unique(np.round(x, 9), return_index=True)
        # even steps along the line and not over flow, so that an upright end is drawn well
        scaled = np.column_stack([flow[kept] / flow[-1], ratio[kept] / ratio.max()])
        length = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(scaled, axis=0).T))])
        t = length / length[-1]
        rows.append([np.interp(share, t, v[kept]) for v in (flow, ratio, efficiency)])
    speeds = np.array([line[0] for line in lines])
    fine = np.unique(np.concatenate([np.linspace(a, b, 11) for a, b in pairwise(speeds)]))
    out = PchipInterpolator(speeds, np.array(rows), axis=0)(fine)
    return out[:, 0], out[:, 1], out[:, 2]


def draw_map(card: Card, style: Style) -> MapPicture:
    """The card as a picture."""
    lines = lines_of(card)
    figure = Figure(figsize=style.size, dpi=style.dpi)
    axes = figure.add_axes((0.12, 0.11, 0.80, 0.82))

    def shown(flow: np.ndarray) -> np.ndarray:
        return np.array([convert(float(f), "mass_flow", style.flow_unit) for f in flow])

    for i, (speed, flow, ratio, _) in enumerate(lines):
        colour = style.line_colours[i % len(style.line_colours)]
        axes.plot(shown(flow), ratio, color=colour, lw=1.2)
        if style.labels:
            axes.text(
                shown(flow)[-1], ratio[-1], f" {convert(speed, 'rotational_speed', 'rpm'):.0f}", fontsize=8
            )
    flow, ratio, efficiency = _field(card)
    levels = sorted({round(float(efficiency.max()) - v, 2) for v in style.below_best})
    levels = [v for v in levels if efficiency.min() < v < efficiency.max()]
    contours = axes.contour(
        shown(flow.ravel()).reshape(flow.shape), ratio, efficiency, levels, colors=style.island_colour,
        linewidths=0.9, linestyles=style.island_dash,
    )  # fmt: skip
    surge = np.array([[shown(f)[0], r[0]] for _, f, r, _ in lines])
    axes.plot(surge[:, 0], surge[:, 1], color="black", lw=2.0)
    axes.use_sticky_edges = False
    axes.margins(0.06)
    axes.autoscale_view()
    if style.grid:
        axes.grid(True, color="0.8", lw=0.5)
    if style.log_x:
        axes.set_xscale("log")
    axes.set_xlabel(f"corrected flow [{style.flow_unit}]")
    axes.set_ylabel("pressure ratio")
    left, right = axes.get_xlim()
    bottom, top = axes.get_ylim()
    canvas = io.BytesIO()
    figure.savefig(canvas, format="png", dpi=style.dpi)
    image = Image.open(canvas).convert("RGB")
    matrix = _warp(style, image.size)
    image = _warped(image, matrix)
    rng = np.random.default_rng(1)
    if style.noise:
        grey = np.asarray(image, dtype=float) + rng.normal(0.0, style.noise, (*image.size[::-1], 1))
        image = Image.fromarray(np.clip(grey, 0, 255).astype(np.uint8))
    out = io.BytesIO()
    image.save(out, style.format, **({"quality": style.quality} if style.format != "png" else {}))

    def pixels(points: np.ndarray) -> np.ndarray:
        place = axes.transData.transform(points)
        place[:, 1] = style.size[1] * style.dpi - place[:, 1]
        whole = np.column_stack([place, np.ones(len(place))]) @ matrix.T
        return whole[:, :2] / whole[:, 2:]

    def one(x: float, y: float) -> tuple[float, float]:
        return tuple(pixels(np.array([[x, y]]))[0])

    corners = [(one(x, y), x, y) for x in (left, right) for y in (bottom, top)]
    ticks = [(one(x, bottom), x, None) for x in (left, right)] + [
        (one(left, y), None, y) for y in (bottom, top)
    ]
    islands = []
    for level, segments in zip(contours.levels, contours.allsegs, strict=True):
        for segment in segments:
            place = pixels(segment)
            if len(place) > 6 and np.hypot(*np.diff(place, axis=0).T).sum() > 40.0:
                islands.append((float(level), place, bool(np.allclose(segment[0], segment[-1]))))
    plt.close("all")
    return MapPicture(
        out.getvalue(),
        corners,
        [(s, pixels(np.column_stack([shown(f), r]))) for s, f, r, _ in lines],
        islands,
        pixels(surge),
        ticks,
    )


def _warp(style: Style, size: tuple[int, int]) -> np.ndarray:
    """Homography from the drawn picture to the one that is given out."""
    width, height = size
    if style.corners is not None:
        source = np.array([(0, 0), (width, 0), (width, height), (0, height)], dtype=float)
        target = np.array(style.corners) * [width, height]
        rows = []
        for (x, y), (u, v) in zip(source, target, strict=True):
            rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        h = np.linalg.solve(np.array(rows), target.ravel())
        return np.append(h, 1.0).reshape(3, 3)
    turn = np.deg2rad(style.turn)
    c, s = np.cos(turn), np.sin(turn)
    centre = np.array([[1, 0, -width / 2], [0, 1, -height / 2], [0, 0, 1.0]])
    turned = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1.0]])
    back = np.array([[1, 0, width / 2], [0, 1, height / 2], [0, 0, 1.0]])
    return back @ turned @ centre


def _warped(image: Image.Image, matrix: np.ndarray) -> Image.Image:
    """The picture under a homography, on white paper."""
    if np.allclose(matrix, np.eye(3)):
        return image
    inverse = np.linalg.inv(matrix)
    inverse /= inverse[2, 2]
    return image.transform(
        image.size,
        Image.Transform.PERSPECTIVE,
        inverse.ravel()[:8],
        Image.Resampling.BICUBIC,
        fillcolor="white",
    )
