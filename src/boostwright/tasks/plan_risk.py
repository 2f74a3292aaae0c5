"""The plan's table against everything that is not known of the build: days drawn from it, all solved, none guessed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.components.breathing import Filling
from boostwright.solve.limits import limits_of
from boostwright.solve.plan_actuator import free_actuator
from boostwright.solve.plan_ceiling import ON_THE_LIMIT
from boostwright.solve.problem import Problem
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import doubts_of
from boostwright.solve.uncertainty.draws import draw
from boostwright.solve.uncertainty.room import Room
from boostwright.solve.uncertainty.sampled import Sampled, sampled_at
from boostwright.tasks.fuel_figures import fuel_system_figures
from boostwright.tasks.known_curve import filling_of_known_curve
from boostwright.tasks.plan_bench import Bench
from boostwright.tasks.plan_result import Band, PlanRisk
from boostwright.tasks.progress import Share

__all__ = ["Lowered", "SampledUse", "lowered_to_risk", "sampled_use"]

Array = NDArray[np.float64]

_SHARES = (1.0, 0.85, 0.65, 0.35, 0.0)  # of the table's boost over the air outside
_BANDED = (
    "torque",
    "power",
    "boost",
    "pressure_im",
    "pressure_em",
    "drive_pressure_ratio",
    "egt_reading",
    "temperature_em",
    "temperature_im",
    "shaft_speed",
    "peak_pressure",
    "rod_force_compression",
    "angle_half_burned",
)
_EDGES = (5.0, 95.0)  # per cent
_TRIES = 40


@dataclass(frozen=True)
class SampledUse:
    """Days drawn, held at targets: largest use of any limit (samples, levels, speeds), infinite where not steady, and
    which limits are exceeded."""

    use: Array
    over: Mapping[str, NDArray[np.bool_]]
    quantities: Mapping[str, Array]


@dataclass(frozen=True)
class Lowered:
    """The table brought down until the risk is met, and what the samples say of it."""

    target: Array
    risk: PlanRisk
    bands: Mapping[str, Band]


def sampled_use(bench: Bench, found: Sampled) -> SampledUse:
    """Limits of the build held against sampled quantities (samples, levels, speeds).

    bench  the build the samples were drawn from, for its limits
    The fuel system is judged as stated in the build.
    """
    shape = found.steady.shape
    q = {name: values.ravel() for name, values in found.quantities.items()}
    fuel = fuel_system_figures(bench.build, bench.cards["fuel"], q)
    limits = (
        *limits_of(
            bench.build,
            q | dict(fuel.quantities),
            bench.problem.compressor.speed_lowest_measured,
            bench.speed_limit,
            bench.speed_limit_source,
        ),
        *fuel.limits,
    )
    use = np.full(shape, -np.inf)
    over = {}
    for limit in limits:
        used = np.nan_to_num(limit.utilisation.reshape(shape), nan=-np.inf)
        over[limit.name] = (used > ON_THE_LIMIT) & found.steady
        use = np.maximum(use, used)
    use = np.where(found.steady, use, np.inf)
    over["no-steady-state"] = ~found.steady
    return SampledUse(use, over, found.quantities)


class _FreeGate(Assembler):
    """Samples whose boost control holds the target: spring and signal are for the plan to choose, and what the control
    misses is the spike."""

    def problem(
        self, shifts: Array, fillings: Sequence[Filling | None] | None = None, room: Room | None = None
    ) -> Problem:
        """As its parent, the gate free."""
        return free_actuator(super().problem(shifts, fillings, room))


@dataclass(frozen=True)
class _Draw:
    """The days drawn once, held at any targets."""

    bench: Bench
    maker: Assembler
    shifts: Array
    spike: float

    def use(self, levels: Array, share: Share, words: str) -> SampledUse:
        """At targets (levels, speeds) [Pa absolute], as they are."""
        count = len(self.shifts)
        share.at(0.0, words)
        found = sampled_at(
            self.maker,
            self.shifts,
            targets=levels,
            speed_limit=self.bench.speed_limit,
            told=lambda done: share.at(done / count, words),
        )
        return sampled_use(self.bench, found)

    def at(self, table: Array, share: Share, words: str) -> SampledUse:
        """At a table (speeds,): level 0 without the spike, level 1 with it."""
        ambient = self.bench.problem.ambient.pressure
        return self.use(np.stack([np.maximum(table, ambient), self.spiked(table)]), share, words)

    def spiked(self, table: Array) -> Array:
        """The table with the fixed allowance on it; no target lies below the air outside."""
        return np.maximum(table * (1.0 + self.spike), self.bench.problem.ambient.pressure)


def lowered_to_risk(
    bench: Bench,
    speeds: Array,
    target: Array,
    *,
    step: float,
    samples: int,
    seed: int,
    share: Share | None = None,
) -> Lowered:
    """Bring a table (n,) [Pa absolute] down until no more than the stated share of days exceeds a limit.

    bench  the own day as the build has it, before either end of the knock band
    share  of the task, where it is told how far this is
    Every day carries the spike of [plan] as a fixed allowance: a day is judged by its worst moment, and a boost control
    that overshoots by so much at all does it on nearly every day, so that drawing its size would only thin it out.
    The first guess comes from each day's own ceiling between five levels; the share that counts is solved at the very
    table, and the table comes down until it is met.
    """
    build = bench.build
    stated, spike = build["plan"].si("risk"), build["plan"].si("spike")
    doubts = doubts_of(build, bench.cards)
    known = np.flatnonzero(np.isfinite(target))  # where there is no target there is nothing to keep
    filling = filling_of_known_curve(build, bench.cards, speeds)
    maker = _FreeGate(build, bench.cards, speeds[known], "target", filling, doubts)
    days = _Draw(bench, maker, draw(doubts, samples, seed), spike)
    full = np.maximum(target[known], bench.problem.ambient.pressure)
    table, both = _met(days, full, stated, step, share or Share())
    found = _share(both.use[:, 1])

    def along(values: Array, elsewhere: float) -> Array:
        result = np.full(speeds.shape, elsewhere)
        result[known] = values
        return result

    over = {name: along(share.mean(axis=0)[1], 0.0) for name, share in both.over.items() if share[:, 1].any()}
    result = along(table, np.nan)
    bands = {
        name: Band(along(band.low, np.nan), along(band.high, np.nan)) for name, band in _bands(both).items()
    }
    risk = PlanRisk(
        stated=stated,
        found=found,
        samples=samples,
        seed=seed,
        spike=spike,
        lowered=target - result,
        share_over=over,
        met=found <= stated,
        words=_words(samples, seed, spike, len(doubts)),
    )
    return Lowered(result, risk, bands)


def _share(use: Array) -> float:
    """Share of days (samples, speeds) with a limit exceeded at any speed."""
    return float(np.mean((use > ON_THE_LIMIT).any(axis=1)))


def _met(days: _Draw, full: Array, stated: float, step: float, share: Share) -> tuple[Array, SampledUse]:
    """The table brought down from ``full`` (n,) until the share of days is met, or can be met no more; and what the
    days say of it, without the spike and with it.

    A speed at which more days than that exceed a limit with the gate fully open cannot be mended by any table: it is
    left as it is, and the others come down for themselves.
    """
    ambient = days.bench.problem.ambient.pressure
    levels = np.array([ambient + share * (full - ambient) for share in sorted(_SHARES)])
    words = f"{len(days.shifts)} days drawn from what is not known"
    asked = np.array([full, *(days.spiked(level) for level in levels)])
    first = days.use(asked, share.part(0.0, 0.4), words)
    if _share(first.use[:, -1]) <= stated:
        return full, _some_levels(first, [0, len(levels)])
    ceilings = _own_ceilings(levels, first.use[:, 1:])
    mendable = np.mean(np.isneginf(ceilings), axis=0) <= stated
    ceilings[:, ~mendable] = np.inf
    table, least = full, float(np.floor(ambient / step) * step)
    for turn in range(1, _TRIES + 1):
        # how many turns it takes is not known before: each has half of what is left
        left = share.part(1.0 - 0.6 * 0.5 ** (turn - 1), 1.0 - 0.6 * 0.5**turn)
        lower = np.maximum(_at_share(ceilings, full, stated), ambient)
        lower = np.where(mendable, np.floor(lower / step + 1e-9) * step, full)
        if np.all(lower >= table):  # nothing new: a step down everywhere
            lower = np.where(mendable, np.maximum(table - step, least), full)
        table = np.minimum(table, lower)
        both = days.at(table, left, f"{words}, the table brought down for the {_nth(turn)} time")
        if _share(both.use[:, 1][:, mendable]) <= stated or np.all(table[mendable] <= least):
            break
        # what was solved now goes before what was read between two levels
        over = both.use[:, 1] > ON_THE_LIMIT
        ceilings = np.where(over, np.minimum(ceilings, table - 0.5 * step), np.maximum(ceilings, table))
        ceilings[:, ~mendable] = np.inf
    return table, both


def _nth(turn: int) -> str:
    return {1: "first", 2: "second", 3: "third"}.get(turn, f"{turn}th")


def _some_levels(use: SampledUse, levels: list[int]) -> SampledUse:
    return SampledUse(
        use.use[:, levels],
        {name: over[:, levels] for name, over in use.over.items()},
        {name: values[:, levels] for name, values in use.quantities.items()},
    )


def _own_ceilings(levels: Array, use: Array) -> Array:
    """Table (samples, speeds) [Pa absolute] at which each day, the spike on it, reaches its first limit; infinite where
    it does not, and minus infinite where even the floor is outside.

    levels  (levels, speeds) [Pa absolute], rising, before the spike; use (samples, levels, speeds) with it
    """
    bad = use > ON_THE_LIMIT
    first = np.where(bad.any(axis=1), bad.argmax(axis=1), len(levels))
    rows, columns = np.ogrid[: use.shape[0], : use.shape[2]]
    above, below = np.clip(first, 0, len(levels) - 1), np.clip(first - 1, 0, None)
    high, low = use[rows, above, columns], use[rows, below, columns]
    with np.errstate(invalid="ignore", divide="ignore"):
        share = np.where(np.isfinite(high) & np.isfinite(low), (1.0 - low) / (high - low), 0.0)
    at = levels[below, columns] + np.clip(share, 0.0, 1.0) * (levels[above, columns] - levels[below, columns])
    at = np.where(first == len(levels), np.inf, at)
    return np.where(first == 0, -np.inf, at)


def _at_share(ceilings: Array, full: Array, allowed: float) -> Array:
    """The highest table of one family below which at most the share allowed of days lies at any speed.

    The family: at each speed the same quantile of the days' own ceilings, so that speeds with narrow bands give nothing
    away for those with wide ones.
    """
    ordered = np.sort(ceilings, axis=0)
    count = ceilings.shape[0]
    low, high = 0, count - 1  # rank of the quantile: at rank 0 no day with a ceiling lies below
    while low < high:
        rank = (low + high + 1) // 2
        table = np.minimum(ordered[rank], full)
        share = np.mean((table[None, :] > ceilings).any(axis=1))
        low, high = (rank, high) if share <= allowed else (low, rank - 1)
    return np.asarray(np.minimum(ordered[low], full), dtype=float)


def _bands(both: SampledUse) -> dict[str, Band]:
    found = {}
    for name in _BANDED:
        if name not in both.quantities:
            continue
        values = both.quantities[name][:, 0, :]
        if not np.isfinite(values).any():
            continue
        columns = [column[np.isfinite(column)] for column in values.T]
        edges = np.array([np.percentile(c, _EDGES) if c.size else (np.nan, np.nan) for c in columns])
        found[name] = Band(edges[:, 0], edges[:, 1])
    return found


def _words(samples: int, seed: int, spike: float, doubts: int) -> str:
    allowance = f", each with boost {100.0 * spike:g} % over the table" if spike > 0.0 else ""
    return f"{samples} days drawn from {doubts} doubts with seed {seed}{allowance}"
