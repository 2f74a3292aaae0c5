"""Two hundred engines that nobody knows exactly: the 90 % band holds the truth in 85 to 95 % of them.

Each build has true values of its own. What its owner writes down is the truth less an error from the spread that he
states, and a default stays a default however the engine is; the sampler sees only what is written and its bands. The
truth is the solver at the true values.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from boostwright.build import Build, read_build
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import doubts_of
from boostwright.solve.uncertainty.draws import draw
from boostwright.solve.uncertainty.edges import edges_of
from boostwright.solve.uncertainty.sampled import sampled_at
from boostwright.tasks.ready import cards_of

ESTATE = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"
SPEEDS = np.array([2400.0, 4000.0, 6000.0]) * np.pi / 30.0
BUILDS, SAMPLES = 200, 80
QUANTITIES = ("torque", "power", "boost", "egt_reading", "drive_pressure_ratio", "shaft_speed", "mass_flow_air",
              "peak_pressure", "temperature_im", "surge_margin")  # fmt: skip
# key -> nominal, half width of the band as a share of it, unit and basis, shape
STATED = {
    "turbine.choked_flow": (0.025, 0.08, "kg/s*sqrt(K)/kPa", ""),
    "wastegate.spring_rating": (0.62, 0.06, "bar gauge", ""),
    "exhaust.pressure_drop": (12.0, 0.25, "kPa", "uniform"),
    "charge_cooler.effectiveness": (0.70, 0.08, "", "triangular"),
    "charge_cooler.pressure_drop": (8.0, 0.25, "kPa", ""),
    "intake.pressure_drop": (2.0, 0.3, "kPa", ""),
    "ambient.temperature": (293.0, 0.02, "K", ""),
}


def written(generator: np.random.Generator) -> Build:
    """A build as its owner writes it: numbers about the nominal ones, each with its band."""
    settings = ["prediction.mode=spring", "boost_control.target="]
    for key, (nominal, share, unit, shape) in STATED.items():
        number = nominal * (1.0 + 0.5 * share * generator.uniform(-1.0, 1.0))
        width = share * nominal
        alone = unit.split()[0] if unit else ""
        settings.append(f"{key}={number!r} {unit} +- {width!r} {alone} {shape}".strip())
    return read_build(ESTATE, settings)


@pytest.fixture(scope="module")
def coverage() -> dict[str, np.ndarray]:
    """Per quantity: (builds, speeds) True where the truth lies within the band, and only where it was found."""
    generator = np.random.default_rng(2026)
    inside: dict[str, list[np.ndarray]] = {name: [] for name in QUANTITIES}
    for number in range(BUILDS):
        build = written(generator)
        cards = cards_of(build)
        doubts = doubts_of(build, cards)
        maker = Assembler(build, cards, SPEEDS, "spring", None, doubts)
        # the truth: one engine out of what was written and its bands, from draws of their own
        share = generator.random((1, len(doubts)))
        truth = np.array([[d.distribution.quantile(share[:, k])[0] for k, d in enumerate(doubts)]])
        true = sampled_at(maker, truth, only=QUANTITIES)
        found = sampled_at(maker, draw(doubts, SAMPLES, number), only=QUANTITIES)
        for name in QUANTITIES:
            low, high = edges_of(found.quantities[name], (0.05, 0.95))
            value = true.quantities[name][0]
            inside[name].append(np.where(np.isfinite(value), (value >= low) & (value <= high), np.nan))
    return {name: np.array(rows) for name, rows in inside.items()}


@pytest.mark.parametrize("name", QUANTITIES)
def test_band_of_90_percent_holds_the_truth(coverage: dict[str, np.ndarray], name: str) -> None:
    found = coverage[name]
    assert np.isfinite(found).mean() > 0.98
    assert 0.85 <= np.nanmean(found) <= 0.95, f"{name}: {np.nanmean(found, axis=0)}"


def test_coverage_over_all(coverage: dict[str, np.ndarray]) -> None:
    everything = np.nanmean([np.nanmean(found) for found in coverage.values()])
    assert 0.86 <= everything <= 0.94
