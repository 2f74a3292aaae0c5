"""Write docs/proof/levels.md: ordinary builds drawn at random, held beside the bands of the trade.

Every number is asked of the program when this runs: python tools/levels.py. A test runs it with fewer builds.
"""

from __future__ import annotations

import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT))

from boostwright.build import Build, read_build  # noqa: E402
from boostwright.cards.card import Card  # noqa: E402
from boostwright.cards.look_up import find_card  # noqa: E402
from boostwright.components.fuel_blend import fuel_card  # noqa: E402
from boostwright.solve.cycle_batch import closed_cycles  # noqa: E402
from boostwright.solve.operating_point import Prediction  # noqa: E402
from boostwright.solve.problem import assemble  # noqa: E402
from boostwright.tasks.predict import predict_build  # noqa: E402
from tools.level_bands import BANDS, Band, measures  # noqa: E402
from tools.ordinary_builds import ordinary_builds, read_ordinary  # noqa: E402

Array = NDArray[np.float64]
PAGE = ROOT / "docs" / "proof" / "levels.md"
BUILDS, SEED = 120, 2
EXAMPLES = (
    ("hill_climb_estate", "target"),
    ("hill_climb_estate", "no-turbo"),
    ("transverse_three", "target"),
    ("transverse_three", "no-turbo"),
)

INTRO = """\
# Levels

{count} ordinary builds, drawn at random and always the same ones: 1.0 to 3.5 litres, compression ratio 8 to 11,
three in ten without turbo, the others at 0.3 to 1.5 bar of boost with a turbocharger sized for them; RON 95, RON 98
or E85; lambda 0.78 to 1; 1500 to 7000 rpm. Spark at the knock limit, at the cap of 20 deg on E85. Everything else is
at its default. Beside them the two examples.

A band that was *computed* fails a test when it is left. One from memory, second-hand or of common practice raises a
question; the questions are answered below the table. Made by `tools/levels.py`.
"""

QUESTIONS = """\
## What lies outside, and why

**Residual gas below 5 % without boost** are engines with a compression ratio above 9.5 or so: less room is left at the
top. Where no cams are described a stock petrol engine's are taken, with no overlap at 1 mm of lift; 20 deg more or less
moves the residual gas of the examples without turbo by +1.4 and -0.8 %, with the exhaust above boost by up to +2 and
-1.2 %, and knock-limited CA50 there by 1 to 3 deg. A pulse that meets the overlap is in none of it, and can do as much.
Describe the cams where you know them.

**Charge below 320 K** is found at 1500 to 2000 rpm where the exhaust stands below the intake's pressure: little
burned gas stays, the mixture is rich, and boost has hardly warmed the air. Less what evaporates, charges take up what
published relations have: see [cylinder](../explain/cylinder.md).

**Heat to the walls below 20 % of the fuel's** are boosted engines at lambda 1, above 2500 rpm or so. The published
split has 28 % for one engine at one speed, neither of them stated. Taylor and Toong's law, from many engines, falls
with speed and with density; every point here lies at 1.0 to 1.3 times its coolant heat, and oil is to be added to
that. Where walls take little, or E85 burns late, the exhaust has more than its band; where they take much, in small
engines without boost below 3500 rpm, it has less. Below 2000 rpm the split is not asked: by that law and by Kolchin
and Demidov's an engine at 1500 rpm gives its walls 1.3 to 1.7 times the share that it gives at 5000.

**Mechanical efficiency above 0.94** is found where BMEP passes 22 bar and the exhaust stands below the intake's
pressure: friction by places hardly knows cylinder pressure.

**Burn durations above 35 deg** are E85 without boost above 5000 rpm: its evaporation cools the charge, and its flame,
some tenth faster than petrol's (from memory), is taken as petrol's.

**Pressure at intake closing below 0.9 of the manifold's** is E85 at 1500 and 2000 rpm: its evaporation cools the
charge, and the filling stated for petrol is taken as it stands.

**Peak pressure over that of compression above 3.2** are compression ratios below 8.7 at 1500 to 3500 rpm with best
phasing; **over BMEP** below 3.3 CA50 later than 27 deg, above 6 ratios above 9 at 6000 rpm and more, where friction
takes much. **CA50 above 32 deg** is RON 95 at ratios near 11 and 2.1 to 2.5 bar: nobody would run it.

**Gas at the turbine below 750 degC** has lambda 0.79 to 0.85, 3000 to 4000 rpm and no retard.

**Temperature lost in the manifold** above 80 K are small engines at 3000 to 4000 rpm: the manifold's conductance is one
number whatever the size of the engine. State it.

**The examples made otherwise** (compression ratio 8 to 11, lambda 0.78 to 1, RON 95, E85, 0 and 40 degC, 2000 m; with
and without turbo) leave the same bands and a few more, each by little. Air of 0 or 2 degC brings a charge of 310 to
320 K, air of 40 degC at full boost 380 to 383. At 2000 m an unboosted engine has a fifth less BMEP, and friction
takes more of it. At lambda 1 without turbo the exhaust of 2000 to 2250 rpm has 32.3 to 32.9 % of the fuel's heat. At
ratio 10.5 and lambda 1 with boost CA50 stands at 12 to 23 deg, and walls take 19.3 to 20 %. At ratio 8 without turbo
brake power over air falls to 807 kJ/kg at 6000 rpm.
"""


@dataclass(frozen=True)
class Level:
    """One prediction beside the bands.

    measured  band's name -> (n,) in the band's unit
    opening   (n,) [K] temperature at exhaust opening, solved less direct call of the closed cycle
    peak      (n,) [-] peak pressure, solved over direct less 1
    flagged   (n,) True where the point says that it left the table of closed cycles
    """

    measured: dict[str, Array]
    opening: Array
    peak: Array
    flagged: NDArray[np.bool_]


def cards_of(build: Build) -> dict[str, Card]:
    """The cards a build names, as a prediction takes them."""
    kinds = [kind for kind in ("compressor", "turbine") if build[kind].has("card")]
    return {
        "fuel": fuel_card(build),
        **{kind: find_card(kind, build[kind].text("card"), build.folder) for kind in kinds},
    }


def level(build: Build) -> Level:
    """A build predicted as it stands, its cycles run again directly, and all of it put beside the bands."""
    p = predict_build(build)
    problem = assemble(build, cards_of(build), p.speeds, p.mode)
    q = {name: values.values for name, values in p.quantities.items()}
    there = np.isfinite(q["torque"])
    compression, opening, peak = (np.full(p.speeds.shape, np.nan) for _ in range(3))
    if there.any():
        direct = closed_cycles(
            problem.cycle.model,
            engine_speed=p.speeds[there],
            mass=q["trapped_mass"][there],
            temperature=q["trapped_temperature"][there],
            lambda_value=q["lambda"][there],
            residual_fraction=q["residual_fraction"][there],
            angle_half_burned=q["angle_half_burned"][there],
        )
        compression[there] = direct["compression_pressure"]
        opening[there] = q["temperature_opening"][there] - direct["temperature_opening"]
        peak[there] = q["peak_pressure"][there] / direct["peak_pressure"] - 1.0
    return Level(measures(build, p, compression), opening, peak, _flagged(p))


def _flagged(p: Prediction) -> NDArray[np.bool_]:
    return np.array(["outside-cycle-table" in {flag.code for flag in flags} for flags in p.flags])


def sweep(count: int, seed: int) -> list[Level]:
    """That many ordinary builds beside the bands."""
    with tempfile.TemporaryDirectory() as folder:
        return [level(read_ordinary(one, Path(folder))) for one in ordinary_builds(count, seed)]


def examples() -> list[Level]:
    """Both examples in both modes beside the bands."""
    return [
        level(read_build(ROOT / "examples" / name, [f"prediction.mode={mode}"])) for name, mode in EXAMPLES
    ]


def together(levels: Sequence[Level], band: Band) -> Array:
    """Every number there is for a band."""
    values = np.concatenate([one.measured[band.name] for one in levels])
    return values[np.isfinite(values)]


def share_outside(values: Array, band: Band) -> tuple[float, float]:
    """Shares below and above a band."""
    return float(np.mean(values < band.low)), float(np.mean(values > band.high))


def _span(values: Array) -> str:
    there = values[np.isfinite(values)]
    return f"{_short(there.min())} to {_short(there.max())}" if there.size else "-"


def _short(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 100.0 else f"{value:.1f}" if abs(value) >= 10.0 else f"{value:.2f}"


def _row(band: Band, builds: Sequence[Level], known: Sequence[Level]) -> str:
    values = together(builds, band)
    below, above = share_outside(values, band)
    low, middle, high = np.percentile(values, [5.0, 50.0, 95.0])
    cells = [
        band.words,
        band.unit,
        f"{band.low:g} to {band.high:g}",
        band.status,
        f"{_short(low)}, {_short(middle)}, {_short(high)}",
        _span(values),
        f"{100.0 * below:.0f} / {100.0 * above:.0f}",
        *(_span(one.measured[band.name]) for one in known),
    ]
    return "| " + " | ".join(cells) + " |"


def page(count: int = BUILDS) -> str:
    """The whole page."""
    builds, known = sweep(count, SEED), examples()
    columns = ["quantity", "unit", "band", "how known", "5, 50 and 95 of 100", "lowest to highest"]
    columns += ["% of points below / above", "estate", "estate without turbo", "three", "three without turbo"]
    head = ["| " + " | ".join(columns) + " |", "|---" * len(columns) + "|"]
    opening = np.concatenate([one.opening[~one.flagged] for one in builds])
    peak = np.concatenate([one.peak[~one.flagged] for one in builds])
    points = int(np.isfinite(opening).sum())
    check = (
        f"Every one of the {points} solved points was run again by the closed cycle itself, without the table: "
        f"temperature at exhaust opening differs by {np.nanmax(np.abs(opening)):.1f} K at most, peak pressure by "
        f"{100.0 * np.nanmax(np.abs(peak)):.1f} %."
    )
    rows = [_row(band, builds, known) for band in BANDS]
    return "\n".join([INTRO.format(count=count), *head, *rows, "", check, "", QUESTIONS])


def main() -> None:
    """Write the page."""
    PAGE.write_text(page(), encoding="utf-8")


if __name__ == "__main__":
    main()
