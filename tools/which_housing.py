"""Write docs/howto/which-housing.md and its picture: three housings on one turbine wheel, for the hill-climb estate.

The numbers come from predicting the build that stands on the page. Run from the top folder:
python tools/which_housing.py
"""

from __future__ import annotations

import math
import re
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np

from boostwright.build import read_build
from boostwright.components.turbine_from_build import turbine_of_build, turbine_wheel_of_build
from boostwright.components.turbine_mean_line import flow_sensitivity_to_a_over_r
from boostwright.components.turbine_wheel import TurbineWheel
from boostwright.solve.operating_point import Prediction, Remark
from boostwright.tasks.predict import predict

ROOT = Path(__file__).resolve().parent.parent
PAGE = ROOT / "docs" / "howto" / "which-housing.md"
PICTURE = ROOT / "docs" / "pictures" / "which-housing.png"
EXAMPLE = ROOT / "examples" / "hill_climb_estate"
RPM = math.pi / 30.0
HOUSINGS = ("0.64", "0.82", "1.05")
"""A/R as stamped, inch."""
RATIOS = (1.4, 2.0, 2.6)
USUAL_SENSITIVITY = (0.05, 0.7)
TABLE_SPEEDS = (2500.0, 3500.0, 4500.0, 5500.0, 6500.0)
PICTURE_SPEEDS = tuple(np.arange(1000.0, 6751.0, 250.0))
COMPRESSOR = """\
[compressor]
given_as = "wheel"
inducer_tip_diameter = "49.5 mm"
inducer_hub_diameter = "15 mm"
exducer_diameter = "66 mm"
tip_width = "4.6 mm"
full_blades = 6
splitter_blades = 6
inducer_blade_angle = "60 deg"        # with a protractor, at the tip
"""
TURBINE = """\
[turbine]
given_as = "wheel"
wheel_diameter = "60 mm"
tip_width = "8 mm"
exducer_diameter = "53 mm"
exducer_hub_diameter = "17 mm"
blades = 11
a_over_r = "0.82 in"
"""


def build_text() -> str:
    """The example's build.toml with both wheels in place of card and number."""
    text = (EXAMPLE / "build.toml").read_text(encoding="utf-8")
    for name, section in (("compressor", COMPRESSOR), ("turbine", TURBINE)):
        text, count = re.subn(rf"\[{name}\]\n.*?(?=\n\[)", section, text, flags=re.DOTALL)
        if count != 1:
            raise SystemExit(f"[{name}] was not found in the example")
    return text


def write_build(folder: Path) -> Path:
    """The build of the page in a folder of its own."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "build.toml").write_text(build_text(), encoding="utf-8", newline="\n")
    return folder


def setting(housing: str) -> str:
    """What chooses a housing for one run."""
    return f"turbine.a_over_r={housing} in"


def predictions(folder: Path, speeds: Sequence[float]) -> list[Prediction]:
    """One prediction a housing, small to large, at engine speeds in rpm."""
    radians = [speed * RPM for speed in speeds]
    return [predict(folder, mode="target", settings=[setting(h)], speeds=radians) for h in HOUSINGS]


def remark(prediction: Prediction, code: str) -> Remark:
    """A line about the sweep, by its code."""
    return next(r for r in prediction.remarks if r.code == code)


def threshold(prediction: Prediction) -> tuple[float, str]:
    """Threshold [rpm] and its band in words."""
    found = remark(prediction, "threshold")
    band = re.search(r"band (\S+ to \S+) rpm", found.message)
    return (found.value or math.nan) / RPM, band.group(1) if band else "-"


def wheels(folder: Path) -> list[TurbineWheel]:
    """The wheel in each housing."""
    wheel = turbine_wheel_of_build(read_build(folder)["turbine"])
    return [replace(wheel, a_over_r=float(housing) * 0.0254) for housing in HOUSINGS]


def sensitivities(folder: Path) -> list[list[float]]:
    """d ln(flow) / d ln(A/R) of each housing at the ratios of the page."""
    return [[flow_sensitivity_to_a_over_r(wheel, ratio) for ratio in RATIOS] for wheel in wheels(folder)]


def outside(rows: Sequence[Sequence[float]]) -> str:
    """The written reason for every sensitivity that is not usual."""
    low, high = USUAL_SENSITIVITY
    found = [
        f"{value:.2f} at A/R {housing} and a ratio of {ratio:g}"
        for housing, row in zip(HOUSINGS, rows, strict=True)
        for ratio, value in zip(RATIOS, row, strict=True)
        if not low <= value <= high
    ]
    if not found:
        return f"All lie within the usual {low:g} to {high:g}."
    return (
        f"Outside the usual {low:g} to {high:g}: {'; '.join(found)}. The reason: the housing is so small for its "
        "wheel that the swirl it makes takes most of the expansion, and the wheel's exit hardly throttles any more. "
        "Where only the volute throttles, the limit is 1."
    )


def row(name: str, values: Sequence[float], digits: int) -> str:
    """One line of a table."""
    cells = ["-" if math.isnan(v) else f"{v:.{digits}f}" for v in values]
    return f"| {name} | " + " | ".join(cells) + " |"


def head(first: str, columns: Sequence[str]) -> list[str]:
    """The first two lines of a table."""
    return [f"| {first} | " + " | ".join(columns) + " |", "|---" * (len(columns) + 1) + "|"]


def _housing_table(folder: Path, found: Sequence[Prediction]) -> list[str]:
    starts = [threshold(p) for p in found]
    swallowed = [
        1e3 * turbine_of_build(read_build(folder, [setting(h)])["turbine"], None).choked_swallowing
        for h in HOUSINGS
    ]
    lines = head("A/R, inch", HOUSINGS)
    lines.append(row("threshold, rpm, a lower bound", [value for value, _ in starts], 0))
    lines.append("| its band, rpm | " + " | ".join(band for _, band in starts) + " |")
    lines.append(row("flow when choked, kg/s sqrt(K)/kPa", swallowed, 4))
    for ratio, values in zip(RATIOS, zip(*sensitivities(folder), strict=True), strict=True):
        lines.append(row(f"d ln(flow)/d ln(A/R) at a ratio of {ratio:g}", values, 2))
    return lines


def _speed_table(found: Sequence[Prediction], quantity: str, scale: float, digits: int) -> list[str]:
    lines = head("engine speed, rpm", [f"{speed:.0f}" for speed in TABLE_SPEEDS])
    lines += [
        row(f"A/R {h}", list(p[quantity] / scale), digits) for h, p in zip(HOUSINGS, found, strict=True)
    ]
    return lines


INTRODUCTION = """\
# Which housing

You have a turbo on the bench, no map of either wheel, and three housings to choose from. Below: what to measure, the
commands, and what they print for the hill-climb example. The page and its picture are made by
`tools/which_housing.py`; a test runs it again.

**Unproven.** Compressor and turbine are estimated from dimensions. No open measured map of a radial turbine was found
to check the estimate on, so take the direction and the order of size from this page, not the last digit. A choked flow
read off the housing's own curve is worth more: `given_as = "one-number"`. A prediction is no proof that an engine will
survive: see [cautions](../cautions.md)."""

MEASURE = """\
## What to measure

A caliper, a count of blades and the stamp on the housing. **Inducer** is where the flow enters a wheel and **exducer**
where it leaves, so on the turbine the inducer is the larger diameter. The angle of the compressor's blade at its
inducer counts most: 3 degrees are 6 to 7 % of choked flow. A/R is a length, and the stamp is mostly in inch. In place
of the card and the number of the example (the dimensions are invented):"""

END = """\
## How to read it

The smaller housing comes in earlier, needs more exhaust pressure at the top and sends more gas past the turbine, so it
asks for a larger gate as well. No rule says so in the program; it comes out of the balances, and a test holds it
(`tests/laws/test_housings.py`). The bands of the thresholds overlap, but **between neighbours they share most of their
doubt**, since it is one wheel: the order is surer than any one number. What most of the band comes from stands in the
printed line.

The drive-pressure ratio moves less than A/R does, for two reasons: A/R is no area, and in this estimate the larger
housing gives its wheel less swirl than it wants, so efficiency falls. Measured families of housings often keep it,
because small ones lose more by friction; then the drive-pressure ratios would lie further apart than they do here. More
in [mean lines](../explain/mean-lines.md) and [turbine](../explain/turbine.md)."""


def page() -> str:
    """The whole page."""
    with tempfile.TemporaryDirectory() as place:
        folder = write_build(Path(place) / "build")
        found = predictions(folder, TABLE_SPEEDS)
        estimates = [remark(found[1], code).message for code in ("compressor-estimate", "turbine-estimate")]
        parts = [
            INTRODUCTION,
            MEASURE,
            "\n".join(f"    {line}".rstrip() for line in (COMPRESSOR + "\n" + TURBINE).strip().splitlines()),
            "## The three housings",
            "\n".join(
                f"    boostwright predict FOLDER --mode target --set '{setting(housing)}'"
                for housing in HOUSINGS
            ),
            "\n".join(_housing_table(folder, found)),
            outside(sensitivities(folder)) + " Taken at a blade-speed ratio of 0.65.",
            "Drive-pressure ratio, exhaust over intake manifold, absolute:",
            "\n".join(_speed_table(found, "drive_pressure_ratio", 1.0, 2)),
            "Share of the gas that goes through the gate, %:",
            "\n".join(_speed_table(found, "gate_flow_share", 0.01, 0)),
            "Power, kW:",
            "\n".join(_speed_table(found, "power", 1e3, 1)),
            "![Boost, drive-pressure ratio and gate flow of three housings](../pictures/which-housing.png)",
            "The prediction says what it leans on, with every run:",
            "\n>\n".join(f"> {text}" for text in estimates),
            END,
        ]
    return "\n\n".join(parts) + "\n"


def draw() -> None:
    """Draw the picture."""
    from boostwright.report.figures.style import drawing_style, head_figure, label_axes, line_of, new_figure

    with tempfile.TemporaryDirectory() as place, drawing_style():
        found = predictions(write_build(Path(place) / "build"), PICTURE_SPEEDS)
        figure = new_figure(7.6, 8.4)
        panels = figure.subplots(3, 1, sharex=True)
        words = (
            ("boost", 1e3, "boost, kPa gauge"),
            ("drive_pressure_ratio", 1.0, "drive-pressure ratio,\ntotals, absolute"),
            ("gate_flow_share", 0.01, "gas through the gate, %"),
        )
        for axes, (quantity, scale, label) in zip(panels, words, strict=True):
            for index, (housing, p) in enumerate(zip(HOUSINGS, found, strict=True)):
                look = line_of(index)
                axes.plot(
                    PICTURE_SPEEDS, p[quantity] / scale, color=look.color, linestyle=look.linestyle,
                    marker=look.marker, markersize=3.6, markerfacecolor="white", markeredgecolor=look.color,
                    linewidth=1.5, label=f"A/R {housing} inch, threshold {threshold(p)[0]:.0f} rpm",
                )  # fmt: skip
            label_axes(axes, "", label)
        panels[0].legend(loc="lower right")
        label_axes(panels[2], "engine speed, rpm", words[2][2])
        head_figure(
            figure,
            "Three housings on one turbine wheel, boost target held: estimate from dimensions, unproven",
        )
        figure.savefig(PICTURE, dpi=100, metadata={"Software": None})


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8", newline="\n")
    draw()
    sys.stdout.write(f"{PAGE.relative_to(ROOT)}, {PICTURE.relative_to(ROOT)}\n")
