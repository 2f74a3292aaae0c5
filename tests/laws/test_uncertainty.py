"""Spreads, draws, shares of variance, and the samples held beside the law of propagation."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy import stats

from boostwright.build import read_build
from boostwright.components.compressor_from_build import compressor_at_edge
from boostwright.solve.cycle_store import cycle_table
from boostwright.solve.native import compressor_states
from boostwright.solve.problem import cycle_box
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.contributors import shares_of_variance
from boostwright.solve.uncertainty.distribution import Distribution
from boostwright.solve.uncertainty.doubts import Doubt, doubts_of
from boostwright.solve.uncertainty.draws import draw
from boostwright.solve.uncertainty.sampled import sampled
from boostwright.solve.uncertainty.shifted import shifted_build
from boostwright.tasks.ready import cards_of
from boostwright.tasks.uncertainty import predict_bands

ESTATE = Path(__file__).resolve().parents[2] / "examples" / "hill_climb_estate"
RPM = np.pi / 30.0
SPEEDS = np.array([2200.0, 3500.0, 5500.0]) * RPM
U = np.linspace(0.001, 0.999, 201)


def doubt(name: str, spread: Distribution | None = None) -> Doubt:
    return Doubt(name, "", spread or Distribution(), "stated", widths=(1.0,))


# against scipy.stats, which knows each of these spreads
SPREADS = {
    "normal": (Distribution(), stats.norm(scale=0.5)),
    "normal cut off": (Distribution("normal", -0.8, 0.3), stats.truncnorm(-1.6, 0.6, scale=0.5)),
    "normal cut off on one side": (Distribution("normal", -0.6), stats.truncnorm(-1.2, math.inf, scale=0.5)),
    "uniform": (Distribution("uniform", -1.0, 1.0), stats.uniform(-1.0, 2.0)),
    "uniform, lopsided": (Distribution("uniform", 0.0, 1.0), stats.uniform(0.0, 1.0)),
    "triangular": (Distribution("triangular", -1.0, 1.0), stats.triang(0.5, -1.0, 2.0)),
    "triangular, lopsided": (Distribution("triangular", -1.0, 0.5), stats.triang(2.0 / 3.0, -1.0, 1.5)),
    "triangular, one-sided": (Distribution("triangular", 0.0, 1.0), stats.triang(0.0, 0.0, 1.0)),
}


@pytest.mark.parametrize("name", SPREADS)
def test_spreads_are_those_of_a_reference_library(name: str) -> None:
    ours, theirs = SPREADS[name]
    np.testing.assert_allclose(ours.quantile(U), theirs.ppf(U), rtol=1e-9, atol=1e-12)
    assert ours.mean == pytest.approx(theirs.mean(), abs=1e-12)
    assert ours.standard_deviation == pytest.approx(theirs.std(), rel=1e-9)


def test_a_normal_band_holds_95_percent_and_the_others_everything() -> None:
    low, high = Distribution().quantile(np.array([0.02275, 0.97725]))
    assert (low, high) == pytest.approx((-1.0, 1.0), abs=1e-4)  # k = 2 holds 95.45 %
    for shape in ("uniform", "triangular"):
        ends = Distribution(shape, -1.0, 1.0).quantile(np.array([0.0, 1.0]))
        assert ends == pytest.approx((-1.0, 1.0))


def test_another_doubt_does_not_change_the_draws_of_the_others() -> None:
    few, more = [doubt("a.x"), doubt("b.y")], [doubt("a.w"), doubt("a.x"), doubt("c.z"), doubt("b.y")]
    one, two = draw(few, 50, 3), draw(more, 50, 3)
    np.testing.assert_array_equal(one[:, 0], two[:, 1])
    np.testing.assert_array_equal(one[:, 1], two[:, 3])
    assert not np.array_equal(one, draw(few, 50, 4))


def test_draws_fill_every_slice_of_each_spread_and_go_together_with_nothing() -> None:
    doubts = [doubt(f"a.k{k}") for k in range(6)]
    shifts = draw(doubts, 400, 1)
    share = stats.norm.cdf(shifts, scale=0.5)
    assert (np.sort(np.floor(share * 400.0), axis=0) == np.arange(400.0)[:, None]).all()
    together = np.corrcoef(shifts.T) - np.eye(6)
    assert np.abs(together).max() < 0.2


def test_shares_of_a_sum_of_squares_and_lines() -> None:
    """Ishigami-like: known shares of variance of x1 + 0.5 x2 + x3^2 + x1 x2."""
    doubts = [doubt(f"a.k{k}", Distribution("uniform", -1.0, 1.0)) for k in range(4)]
    x = draw(doubts, 4000, 5)
    y = x[:, 0] + 0.5 * x[:, 1] + x[:, 2] ** 2 + x[:, 0] * x[:, 1]
    parts = np.array([1.0 / 3.0, 0.25 / 3.0, 4.0 / 45.0, 0.0])
    together = 1.0 / 9.0
    found = shares_of_variance(x, y)
    total = parts.sum() + together
    np.testing.assert_allclose(found.shares, parts / total, atol=0.02)
    assert found.unexplained == pytest.approx(together / total, abs=0.02)


def test_shares_need_samples_and_say_so() -> None:
    x = draw([doubt(f"a.k{k}") for k in range(30)], 40, 5)
    assert np.isnan(shares_of_variance(x, x[:, 0]).shares).all()
    assert shares_of_variance(x, np.full(40, np.nan)).samples == 0
    assert (shares_of_variance(x, np.full(40, 7.0)).shares == 0.0).all()


LINEAR = ("probe.cycle_offset=30 K +- 20 K", "exhaust_manifold.heat_conductance=8 W/K +- 0.4 W/K")


def test_samples_of_a_linear_case_are_those_of_the_law_of_propagation() -> None:
    """A reading goes down kelvin by kelvin with its offset: u = U / 2 by the GUM, whatever the samples do."""
    build = read_build(ESTATE, LINEAR)
    cards = cards_of(build)
    drawn = tuple(d for d in doubts_of(build, cards) if d.name == "probe.cycle_offset")
    found = sampled(build, cards, SPEEDS, "target", samples=1000, seed=6, doubts=drawn)
    reading = found.quantities["egt_reading"]
    np.testing.assert_allclose(reading.std(axis=0), 10.0, rtol=0.01)
    low, high = np.quantile(reading, [0.05, 0.95], axis=0)
    np.testing.assert_allclose(high - low, 2.0 * 1.6449 * 10.0, rtol=0.02)


def test_propagation_beside_the_samples() -> None:
    found = predict_bands(ESTATE, settings=["wastegate.spring_rating=0.6 bar gauge +- 0.02 bar"], speeds=SPEEDS,
                          samples=500, seed=2, propagate=True)  # fmt: skip
    by_code = {headline.code: headline for headline in found.headlines}
    for code in ("most-power", "highest-shaft-speed", "highest-drive-ratio"):
        headline = by_code[code]
        assert headline.propagated == pytest.approx(headline.standard_deviation, rel=0.12), code
    assert not math.isnan(by_code["threshold"].propagated)


def test_a_gauge_spring_and_target_follow_the_barometer() -> None:
    settings = ['boost_control.target={ speed = [2500, 6500], unit = "rpm", value = [70, 80], value_unit = "kPa", '
                'value_basis = "gauge" }', "ambient.pressure=101.3 kPa +- 4 kPa"]  # fmt: skip
    build = read_build(ESTATE, settings)
    doubts = tuple(d for d in doubts_of(build, cards_of(build)) if d.name == "ambient.pressure")
    moved = shifted_build(build, doubts, np.array([-1.0]))
    old, new = build["boost_control"].curve("target"), moved["boost_control"].curve("target")
    np.testing.assert_allclose(np.array(new.value_points) - np.array(old.value_points), -4000.0)
    assert moved["wastegate"].si("spring_rating") == build["wastegate"].si("spring_rating")


def _maker(*names: str) -> Assembler:
    build = read_build(ESTATE)
    cards = cards_of(build)
    doubts = tuple(d for d in doubts_of(build, cards) if d.name in names)
    assert len(doubts) == len(names)
    return Assembler(build, cards, SPEEDS, "target", None, doubts)


def test_blended_closed_cycle_is_the_one_made_there() -> None:
    """Between the ends the parabola stands within 0.1 % of work and 2 K of a table of its own."""
    maker = _maker("cylinder.burn_duration", "cylinder.wall_heat_factor")
    worst_work = worst_hot = 0.0
    for row in np.array([[0.5, -0.5], [-0.7, 0.7], [1.2, 1.2]]):
        build = maker.sample_build(row)
        problem = maker.problem(row[None])
        own = Assembler(build, maker.cards, SPEEDS, "target", None, ()).nominal
        from boostwright.solve.run import solve

        here, there = solve(problem), solve(own)
        worst_work = max(worst_work, float(np.abs(here["gross_work"] / there["gross_work"] - 1.0).max()))
        worst_hot = max(
            worst_hot, float(np.abs(here["temperature_opening"] - there["temperature_opening"]).max())
        )
    assert worst_work < 2e-3
    assert worst_hot < 3.0
    assert (
        cycle_table(maker.nominal.engine.cycle, cycle_box(maker.build["engine"].si("speed_limit")))
        is not None
    )


def test_blended_compressor_is_the_one_moved_there() -> None:
    names = ("model.compressor_flow", "model.compressor_pressure", "model.compressor_efficiency")
    maker = _maker(*names)
    surface = maker.nominal.compressor
    widths = [d.widths[0] for d in maker.doubts]
    row = np.array([0.6, -0.5, 0.4])
    shift = dict(zip(("flow", "pressure", "efficiency"), row * widths, strict=True))
    own = compressor_at_edge(surface, **shift)
    speed = np.repeat(np.linspace(0.5, 1.0, 6) * surface.speed_highest_measured, 5)
    line = surface.lines[-1]
    flow = np.tile(np.linspace(0.75, 0.95, 5), 6) * line.flow.max() * speed / line.speed
    ours, theirs = (
        compressor_states(maker.maps.at(row[None])[0], speed, flow),
        compressor_states(own.table, speed, flow),
    )
    np.testing.assert_allclose(ours[0], theirs[0], rtol=6e-3)
    np.testing.assert_allclose(ours[1], theirs[1], rtol=1.5e-2)
