"""The search: rises at full throttle become pulls, what nearly is one gets its reason."""

from __future__ import annotations

import numpy as np

from boostwright.logs.gear import Gears, find_gears
from boostwright.logs.pulls.grid import Grid, fine_grid, look_over, onto, samples_of
from boostwright.logs.pulls.grid_kernel import count_rises, fill_stalls, highest_kept, keep_rising
from boostwright.logs.pulls.judge import Judge
from boostwright.logs.pulls.motion import Motion, bridged, motion_of, noise_of, runs
from boostwright.logs.pulls.pieces import Scene, pieces_of
from boostwright.logs.pulls.records import PullSearch
from boostwright.logs.pulls.rules import RPM, PullFacts, PullRules
from boostwright.logs.pulls.state import Describer
from boostwright.logs.pulls.throttle import full_throttle, travels
from boostwright.logs.series import Channels, Series

__all__ = ["find_pulls_in"]

_SLOW = 0.2
_ASIDE = 0.6
_LEAST_STALL = 80 * RPM
_ENOUGH, _PLACES = 8_000, 3_000
_FOLLOWS = 2.0
_WORTH_A_LOOK = 0.33
_MARGIN = 4.0
_ROADS = ("vehicle_speed_roller", "wheel_speed", "vehicle_speed", "vehicle_speed_gps")


def find_pulls_in(
    channels: Channels,
    facts: PullFacts | None = None,
    rules: PullRules | None = None,
    *,
    describe: bool = True,
) -> PullSearch:
    """The pulls of a log and the reason for every stretch that nearly is one.

    channels  of one part of a log; engine speed is needed, all else makes the answer surer
    facts     gear ratios and the barometer, as far as known
    describe  False leaves out state, barometer and figures of each pull
    Raises nothing for a poor log: what is missing stands in the notes.
    """
    # no number, or none an engine can show, must neither stop the search nor be warned about in numpy's words
    with np.errstate(all="ignore"):
        return _found(_Once(channels), facts or PullFacts(), rules or PullRules(), describe=describe)


def _found(channels: Channels, facts: PullFacts, rules: PullRules, *, describe: bool) -> PullSearch:
    if "engine_speed" not in channels.names:
        return PullSearch((), (), 0, "", "", ("The log has no engine speed: no pull can be found in it.",))
    series = channels.read("engine_speed")
    samples = samples_of(series, rules.largest_gap)
    grid = look_over(samples)
    if grid is None:
        return PullSearch((), (), 0, "", "", ("Engine speed holds fewer than three readings.",))
    scene, gears = _scene_of(channels, grid, facts, rules)
    rising = _rising(scene)
    pieces = pieces_of(scene, rising, full=True, least=0.0)
    others = pieces_of(scene, rising, full=False, least=rules.nearly * rules.least_rise)
    judge = Judge(scene, channels)
    pulls, not_taken = judge.full_stretches(pieces)
    partly = judge.other_rises(others)
    ordinary = 0
    if np.isfinite(scene.full.opening).any():
        told = (
            len(partly) + len(pulls) + sum(one.rise >= rules.nearly * rules.least_rise for one in not_taken)
        )
        ordinary = max(0, _rises(grid, rules) - told)
    if describe:
        describer = Describer(channels, facts)
        pulls = [describer.described(pull) for pull in pulls]
    return PullSearch(
        tuple(pulls),
        tuple(sorted((*not_taken, *partly), key=lambda one: one.start)),
        ordinary,
        scene.full.words,
        _gear_words(gears),
        _notes(grid, channels),
    )


class _Once:
    """Channels of which each is read once: the search comes back to them, and tells them apart by their identity."""

    def __init__(self, channels: Channels) -> None:
        self._channels = channels
        self._read: dict[str, Series] = {}

    @property
    def names(self) -> tuple[str, ...]:
        """The channels that are there."""
        return self._channels.names

    def read(self, name: str) -> Series:
        """A channel by our name; raises LogError where there is none of that name."""
        if name not in self._read:
            self._read[name] = self._channels.read(name)
        return self._read[name]


def _rising(scene: Scene) -> np.ndarray:
    """Cells in which engine speed rises; a short dip of the slope is bridged, a fall of the speed or a cut is not."""
    grid, motion, rules = scene.grid, scene.motion, scene.rules
    least = max(rules.slowest_ramp, min(3.0 * motion.error, 3.0 * rules.slowest_ramp))
    rises = bridged(motion.slope > least, grid.time, max(rules.longest_bridge, 1.2 * grid.step))
    stalls = _stalls_between_samples(scene) if grid.step >= _SLOW else _stalls(motion, grid.step)
    keep_rising(rises, motion.slope, -max(rules.slowest_ramp, 3.0 * motion.error), stalls, scene.cut)
    return rises


def _stalls(motion: Motion, step: float) -> np.ndarray:
    """Cells in which the rise breaks off though it goes on before and behind: a cut, a lost grip, a missed change."""
    slope = motion.near
    aside = max(2 * motion.near_half, round(_ASIDE / step))
    stalls = np.empty(slope.size, dtype=np.bool_)
    fill_stalls(slope, aside, max(6.0 * motion.near_error, _LEAST_STALL), stalls)
    return stalls


def _stalls_between_samples(scene: Scene) -> np.ndarray:
    """Cells before which speed hardly rose though it did on both sides: all that slow samples show of a cut."""
    grid = scene.grid
    stalls = np.zeros(grid.time.size, dtype=bool)
    if grid.time.size < 6:
        return stalls
    rate = np.diff(grid.speed) / np.maximum(np.diff(grid.time), 1e-6)
    sides = np.minimum(np.minimum(rate[:-4], rate[1:-3]), np.minimum(rate[3:-1], rate[4:]))
    least = max(6.0 * scene.motion.noise / grid.step, _LEAST_STALL)
    stalls[3:-2] = (rate[2:-2] < 0.3 * sides) & (sides - rate[2:-2] > least)
    return stalls


def _scene_of(channels: Channels, grid: Grid, facts: PullFacts, rules: PullRules) -> tuple[Scene, Gears]:
    """What the rises are judged by, where the throttle is half open at least; gears are those of the whole log."""
    tried = travels(channels, grid, rules)
    source = _road(channels, grid)
    cells = _for_gears(grid)
    road, step = onto(grid, channels.read(source), cells=cells) if source else (None, np.inf)
    gears = find_gears(grid.time[cells], grid.speed[cells], road, source, step, facts.gears)
    samples = grid.samples
    spans = np.array([[0, samples.time.size]], dtype=np.intp)
    good = [t for t in tried if not t.trouble]
    if good:
        near = _near(good[0].opening, grid)
        spans = np.minimum(near * grid.stride, samples.time.size)
    fine = fine_grid(samples, spans)
    way = onto(fine, channels.read(source))[0] if source else None
    motion = motion_of(fine, noise_of(samples.value, fine.step / samples.step))
    full = full_throttle(tried, channels, fine, motion, rules)
    top = float(highest_kept(grid.speed))
    on_fine = gears.at(fine.time, fine.speed, way, step)
    return Scene(fine, motion, on_fine, full, rules, top, _cut(channels, fine), way), gears


def _for_gears(grid: Grid) -> np.ndarray:
    """Cells that gears are looked for in: some thousands, spread over the log. Where these would lie so far apart that
    a change of gear between two does not show, (3, n): fewer, each with the cell just before and just behind it.
    """
    size = grid.time.size
    stride = max(1, size // _ENOUGH)
    if stride * grid.step <= _FOLLOWS:
        return np.arange(0, size, stride)
    places = np.arange(1, size - 1, max(1, size // _PLACES))
    return np.asarray(places + np.array([[-1], [0], [1]]), dtype=np.intp)


def _near(opening: np.ndarray, grid: Grid) -> np.ndarray:
    """Windows round each opening of a third at least; within a chunk, none overlapping."""
    with np.errstate(invalid="ignore"):
        spans = runs(opening > _WORTH_A_LOOK, grid.chunks)
    margin = max(4, round(_MARGIN / grid.step))
    home = np.searchsorted(grid.chunks[:, 0], spans[:, 0], side="right") - 1
    begin = np.maximum(spans[:, 0] - margin, grid.chunks[home, 0])
    end = np.minimum(spans[:, 1] + margin, grid.chunks[home, 1])
    if not begin.size:
        return spans
    apart = np.concatenate(([True], begin[1:] > np.maximum.accumulate(end)[:-1]))
    first = np.flatnonzero(apart)
    # two windows of neighbouring chunks touch but do not overlap
    apart_chunks = np.concatenate(([True], home[1:] != home[:-1]))
    first = np.flatnonzero(apart | apart_chunks)
    return np.stack((begin[first], np.maximum.reduceat(end, first)), axis=1).astype(np.intp)


def _rises(grid: Grid, rules: PullRules) -> int:
    """How often engine speed rises by as much as would be told, whatever the throttle: looked at every second."""
    stride = max(1, round(1.0 / grid.step))
    if grid.speed.size < 2 * stride + 1:
        return 0
    least, ramps = rules.nearly * rules.least_rise, (rules.slowest_ramp, rules.fastest_ramp)
    return int(count_rises(grid.samples.time, grid.stride, grid.speed, stride, *ramps, least))


def _road(channels: Channels, grid: Grid) -> str:
    """The road speed that turns with the driven wheels; one that stands still is passed over, '' for none."""
    for head in _ROADS:
        names = [n for n in channels.names if n == head or n.startswith(head + "_")]
        for name in sorted(n for n in names if n == head or n[len(head) + 1 :].isdigit()):
            value = channels.read(name).value
            value = value[:: max(1, value.size // _ENOUGH)]
            value = value[np.isfinite(value)]
            if value.size and float(value.max()) > 3.0:
                return name
    return ""


def _cut(channels: Channels, grid: Grid) -> np.ndarray:
    """Cells in which the engine turns fast and gets no fuel."""
    for name in ("injector_duty", "injector_time", "mass_flow_fuel"):
        if name in channels.names:
            value, _ = onto(grid, channels.read(name))
            if np.isfinite(value).any() and float(np.nanmax(value)) > 0:
                with np.errstate(invalid="ignore"):
                    return np.asarray((value < 0.01 * float(np.nanmax(value))) & (grid.speed > 1500 * RPM))
    return np.zeros(grid.time.size, dtype=bool)


def _gear_words(gears: Gears) -> str:
    if not gears.source:
        return "Gear: " + gears.words + "; a gear change shows as a fall of engine speed only."
    seen = ", ".join(f"{g.label} {g.ratio:.3g} rad/m ({g.time:.0f} s)" for g in gears.gears)
    return f"Gear: from engine_speed over {gears.source}, {gears.words}{': ' if seen else ''}{seen}."


def _notes(grid: Grid, channels: Channels) -> tuple[str, ...]:
    notes = []
    step = grid.samples.step
    if grid.samples.held:
        notes.append(
            f"Engine speed is a new reading only every {step:.2g} s and is repeated in between; "
            "the ends of a pull are no surer than that."
        )
    elif step > 0.3:
        notes.append(f"Engine speed comes every {step:.2g} s; the ends of a pull are no surer than that.")
    if grid.samples.breaks.size:
        notes.append(f"Engine speed has {grid.samples.breaks.size} holes; no pull is carried across one.")
    if not any(n.startswith("temperature_coolant") for n in channels.names):
        notes.append("No coolant temperature: a cold engine cannot be told.")
    return tuple(notes)
