"""Write docs/proof/is-this-believable.md: the examples' numbers, line by line, beside what engines are known to do.

Every number is asked of the program when this runs; a test runs it again.
"""

from __future__ import annotations

import sys
from functools import cache
from pathlib import Path
from textwrap import fill

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from boostwright.build import read_build  # noqa: E402
from boostwright.components.closed_cycle import cycle_model  # noqa: E402
from boostwright.solve.operating_point import Prediction  # noqa: E402
from boostwright.tasks.predict import predict_build  # noqa: E402
from tools.level_bands import BANDS, Band, measures  # noqa: E402

Array = NDArray[np.float64]
PAGE = ROOT / "docs" / "proof" / "is-this-believable.md"
ESTATE, THREE = "hill_climb_estate", "transverse_three"
STOICHIOMETRIC = ("fuel.lambda_target=1.0",)
RUNS = {
    "target": (),
    "lambda 1": STOICHIOMETRIC,
    "no turbo": ("prediction.mode=no-turbo",),
}
_RPM = np.pi / 30.0
_DEGREE = np.pi / 180.0
_POLYTROPIC = 1.32  # of the charge on its way up; as the closed cycle's own first guess


@cache
def prediction(example: str, settings: tuple[str, ...]) -> Prediction:
    """One example with settings laid over it."""
    return predict_build(read_build(ROOT / "examples" / example, list(settings)))


def measured(example: str, settings: tuple[str, ...]) -> dict[str, Array]:
    """Every band's quantity of a prediction."""
    from boostwright.cards.look_up import find_card

    build = read_build(ROOT / "examples" / example, list(settings))
    p = prediction(example, settings)
    card = find_card("fuel", build["fuel"].text("card"), build.folder)
    geometry = cycle_model(build["engine"], card).geometry
    ratio = float(geometry.volume(geometry.intake_closing)) / geometry.clearance_volume
    return measures(build, p, p["trapped_pressure"] * ratio**_POLYTROPIC)


def span(values: Array, digits: int) -> str:
    """Lowest to highest of what there is."""
    there = values[np.isfinite(values)]
    if not there.size:
        return "-"
    low, high = there.min(), there.max()
    return f"{low:.{digits}f}" if there.size == 1 else f"{low:.{digits}f} to {high:.{digits}f}"


def place(values: list[Array], band: Band) -> str:
    """Where in the band the values lie, in words."""
    there = np.concatenate([v[np.isfinite(v)] for v in values])
    if not there.size:
        return "no point to judge"
    outside = (there < band.low) | (there > band.high)
    if outside.any():
        sides = [
            f"{side} it at {count}"
            for side, count in (("below", (there < band.low).sum()), ("above", (there > band.high).sum()))
            if count
        ]
        return f"**{', '.join(sides)} of {there.size} points**"
    low, high = ((edge - band.low) / (band.high - band.low) for edge in (there.min(), there.max()))
    return f"inside, {100 * low:.0f} to {100 * high:.0f} % of the way up"


def band_table() -> list[str]:
    """Every band with both examples beside it."""
    lines = [
        "| quantity | unit | band | how known | estate | three-cylinder | where in the band |",
        "|---|---|---|---|---|---|---|",
    ]
    found = {example: [measured(example, run) for run in RUNS.values()] for example in (ESTATE, THREE)}
    for band in BANDS:
        digits = 0 if band.high >= 100 else 1 if band.high >= 10 else 2 if band.high >= 1.2 else 3
        values = {example: [m[band.name] for m in found[example]] for example in found}
        cells = [span(np.concatenate(values[example]), digits) for example in (ESTATE, THREE)]
        where = place(values[ESTATE] + values[THREE], band)
        limits = f"{band.low:.{digits}f} to {band.high:.{digits}f}"
        known = f"{band.status}: {band.source}"
        lines.append(
            f"| {band.words} | {band.unit} | {limits} | {known} | {cells[0]} | {cells[1]} | {where} |"
        )
    return lines


def line_table() -> list[str]:
    """The demo's line at six speeds."""
    p = prediction(ESTATE, ())
    chosen = [int(np.argmin(np.abs(p.speeds / _RPM - rpm))) for rpm in (2000, 3000, 4000, 5000, 6000, 6750)]
    rows = (
        ("torque, Nm", p["torque"], 0),
        ("BMEP, bar", p["bmep"] / 1e5, 1),
        ("manifold pressure, kPa absolute", p["pressure_im"] / 1e3, 0),
        ("BMEP over it, bar a bar", p["bmep"] / p["pressure_im"], 1),
        ("BSFC, g/kWh", p["bsfc"] * 3.6e9, 0),
        ("lambda", p["lambda"], 2),
        ("CA50, deg", p["angle_half_burned"] / _DEGREE, 1),
        ("knock integral", p["knock_integral"], 2),
        ("CA50 at the strict end of the knock band, deg", p["knock_limited_phasing_late"] / _DEGREE, 1),
        ("peak pressure, bar", p["peak_pressure"] / 1e5, 0),
        ("gas at the turbine, degC", p["temperature_em"] - 273.15, 0),
        ("the probe shows, degC", p["egt_reading"] - 273.15, 0),
        ("drive-pressure ratio, absolute", p["drive_pressure_ratio"], 2),
        ("residual gas, %", 100.0 * p["residual_fraction"], 1),
        ("mechanical efficiency", p["mechanical_efficiency"], 2),
    )
    lines = ["| rpm | " + " | ".join(f"{p.speeds[i] / _RPM:.0f}" for i in chosen) + " |"]
    lines.append("|---" * (len(chosen) + 1) + "|")
    for words, values, digits in rows:
        lines.append(f"| {words} | " + " | ".join(f"{values[i]:.{digits}f}" for i in chosen) + " |")
    return lines


def at(example: str, settings: tuple[str, ...], name: str, rpm: float) -> float:
    """A quantity (SI) at the speed nearest to the one named."""
    p = prediction(example, settings)
    return float(p[name][int(np.argmin(np.abs(p.speeds / _RPM - rpm)))])


def share_to_walls(example: str, settings: tuple[str, ...], rpm: float) -> float:
    """Heat to walls and ports over the fuel's heat [%]."""
    heat = sum(at(example, settings, name, rpm) for name in ("wall_heat_flow", "port_heat_flow"))
    fuel = prediction(example, settings).constants["lower_heating_value"].values
    return 100.0 * heat / (at(example, settings, "mass_flow_fuel", rpm) * float(np.mean(fuel)))


def later(degrees: float) -> tuple[float, float, float]:
    """What retard from 8 deg does at 4000 rpm: torque lost [%], exhaust hotter [K a degree], peak pressure lost [%]."""
    runs = [("spark.set_by=phasing", f"spark.phasing={angle:g} deg") for angle in (8.0, 8.0 + degrees)]
    torque, hot, peak = (
        [at(ESTATE, run, name, 4000.0) for run in runs]
        for name in ("torque", "temperature_port", "peak_pressure")
    )
    return (
        100.0 * (1.0 - torque[1] / torque[0]),
        (hot[1] - hot[0]) / degrees,
        100.0 * (1.0 - peak[1] / peak[0]),
    )


def lines_of_defence() -> str:
    """Line by line, with today's numbers."""
    five, ten = later(5.0), later(10.0)
    early = at(ESTATE, (), "torque_knock_early", 4000.0)
    late = at(ESTATE, (), "torque_knock_late", 4000.0)
    hot = [at(ESTATE, (), f"temperature_em_knock_{end}", 4000.0) - 273.15 for end in ("early", "late")]
    rich, one = (at(ESTATE, run, "temperature_em", 5000.0) for run in ((), STOICHIOMETRIC))
    trapped = prediction(ESTATE, ())["trapped_pressure_ratio"]
    ratio = at(ESTATE, (), "drive_pressure_ratio", 6750.0)
    beside = np.concatenate(
        [measured(example, STOICHIOMETRIC)["walls_over_taylor"] for example in (ESTATE, THREE)]
    )
    slow = [share_to_walls(ESTATE, STOICHIOMETRIC, rpm) for rpm in (1500.0, 6000.0)]
    words = (
        "**Torque.** BMEP over absolute manifold pressure is the figure that travels between engines, and it "
        "lies where "
        "boosted petrol engines of compression ratio 9 are. It hangs on filling (yours to state), on friction and on "
        f"phasing. Against best phasing 5 deg of retard cost {five[0]:.1f} % of torque and 10 deg {ten[0]:.1f} %; "
        "dynamometers find 1 to 1.5 and 3 to 5 (common practice). The doubt about knock alone is worth "
        f"{late:.0f} to {early:.0f} Nm at 4000 rpm. *What would prove it wrong:* your naturally aspirated curve, "
        "turned "
        "back through the cycle, asking for a filling outside 0.75 to 1.08.",
        "**Consumption.** BSFC follows from the energy balance, nothing sets it. Rich mixture accounts for most "
        "of what "
        "stands above the best engines: a quarter of the fuel's heat leaves unburned at lambda 0.82.",
        "**Exhaust temperature.** From the first law: fuel's heat less work, walls and what is left unburned. "
        f"Enrichment from lambda 1 to {at(ESTATE, (), 'lambda', 5000.0):.2f} takes {one - rich:.0f} K off at 5000 "
        "rpm; a "
        f"degree of retard puts {five[1]:.0f} K on (6 to 10 is usual, from memory). The reading stands "
        f"{at(ESTATE, (), 'temperature_em', 5000.0) - at(ESTATE, (), 'egt_reading', 5000.0):.0f} K below the gas, as a "
        f"3 mm probe does. Over the knock band the gas at 4000 rpm stands at {hot[0]:.0f} to {hot[1]:.0f} degC: "
        "no other "
        "doubt here moves it as far. *Weakest link:* heat to the ports, our own estimate; 1 % of the fuel's heat "
        "is 25 to "
        "30 K. *What would prove it wrong:* a bare fine-wire probe in the collector on a first pull.",
        "**Heat to the walls.** Woschni's relation and a factor that is ours. Walls and ports together stand at "
        f"{np.nanmin(beside):.2f} to {np.nanmax(beside):.2f} times what Taylor and Toong's law gives the coolant, oil "
        "apart, at every speed and boost with lambda 1 (see [wall heat](../explain/wall-heat.md)). As a share of the "
        "fuel's heat that law falls as speed to the power -0.25, Kolchin and Demidov's to -0.3 to -0.4: at 1500 rpm an "
        "engine gives its walls 1.3 to 1.7 times the share that it gives at 5000 or 6000; here "
        f"{slow[0]:.0f} and {slow[1]:.0f} %. "
        "The published split names neither engine nor speed, and one at full load is taken near rated speed; so its "
        "band is asked from 2000 rpm, and Taylor and Toong at all. *What would prove it wrong:* coolant flow and how "
        "much it warms.",
        f"**Drive pressure.** {ratio:.2f} at the top, from the turbine's flow and the shaft's balance, which closes to "
        "1e-9. What can be wrong is the turbine, known by one number and an assumed efficiency. *What would prove it "
        "wrong:* one pressure tap ahead of the turbine.",
        "**Knock.** The limit is a correlation of 1978 that knows octane number, pressure and temperature. Read "
        "it as a "
        "difference (hotter, denser, leaner), not as a promise, until one knock-limited point of yours has set the "
        "multiplier. Where the knock integral stays below 1 at high speed the model runs best phasing; engines of this "
        "kind often need some retard there too, and the strict end of the band says how much.",
        "**Peak pressure.** Mean of the cycles. It follows from phasing and burn duration; the rods see the tail "
        "above it.",
        f"**Filling.** Pressure at intake closing over the manifold's comes to {trapped.min():.2f} to "
        f"{trapped.max():.2f}: "
        "what the stated filling traps fits the pressure it was stated for. What the charge takes up on its way in "
        "follows "
        "a cylinder filled by steps, and published warming ([cylinder](../explain/cylinder.md)).",
        f"**Residual gas.** {100 * at(ESTATE, (), 'residual_fraction', 6000.0):.1f} % at 6000 rpm: what the clearance "
        "holds, what the piston moves through both valves about top dead centre, and what drive pressure above boost "
        "pushes back while they overlap; without boost it is 5 to 6 %. Neither example describes its cams, so a stock "
        "overlap stands for them: 20 deg more or less of it is worth up to 2 points and 1 to 3 deg of spark.",
        "**Friction.** Sandoval and Heywood by places, constants from memory; other relations lie up to 50 % "
        "above it at "
        "the top (see [friction](../explain/friction-and-breathing.md)).",
    )
    return "\n\n".join(fill(text, 118, break_long_words=False, break_on_hyphens=False) for text in words)


def page() -> str:
    """The whole page."""
    return f"""\
# Is this believable?

The numbers of the [first prediction](../tutorial/1-first-prediction.md), defended line by line, with what is known of
engines beside them. Made by `tools/is_this_believable.py`; a test makes it again.

No whole turbocharged petrol engine with enough detail to predict it could be found in the open. So each line stands
on its parts: the [proof sheet](index.md) for the relations, balances that close, trends that every calibrator
knows, and the bands below. A band marked *read* or *computed* would fail a result; one from memory or practice raises a
question.

## The line

The hill-climb estate holding its target at sea level, spark at the knock limit, RON 98:

{chr(10).join(line_table())}

{lines_of_defence()}

## The bands

Both examples, each as it stands (target held), with lambda 1 everywhere, and without turbo; lowest to highest over the
speeds that the band speaks of.

{chr(10).join(band_table())}

## What this cannot do

- Prove a prediction: bands are wide, and an engine can lie inside all of them and still be 8 % off in torque.
- Speak for your parts: the turbine is one number, the wheel is invented, the manifold's heat loss a guess.
- Replace a first pull at low boost, with every sensor read against this page before the next step.
"""


def main() -> None:
    """Write the page."""
    PAGE.write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
