"""Gears from engine speed over road, roller or wheel speed: by known ratios, or by where the ratio gathers."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

__all__ = ["Gear", "GearFacts", "Gears", "find_gears", "gear_at"]

_Floats = NDArray[np.float64]
_BIN = 0.005
_APART = 0.07
"""Gears lie at least this far apart (logarithm of the ratio); real boxes keep 0.12 and more (common practice)."""
_EXACT, _LIKE = 0.03, 0.12
"""How near the known ratios lie to those of the log where they explain them, and how near one is that is meant."""
_LIKE_SEEN = 0.03
_LEAST_TIME = 1.5
_LEAST_SAMPLES = 5
_LEAST_SHARE = 0.004
_LEAST_ROAD = 2.0
_LEAST_ENGINE = 60.0
_STEADY = 0.15
_TYRE_DOUBT = 0.08
"""By how much rolling radius, roller calibration and a speedometer's advance can shift all ratios together."""
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True)
class GearFacts:
    """What is known of the gearbox.

    ratios       gear ratios from first gear on; () unknown
    final_drive  [-]  None for unknown
    tyre_radius  [m]  rolling; None for unknown
    """

    ratios: tuple[float, ...] = ()
    final_drive: float | None = None
    tyre_radius: float | None = None


@dataclass(frozen=True)
class Gear:
    """A gear that was seen.

    label  number of the gear where the ratios are known, else a letter, A for the shortest one seen
    ratio  [rad/m]  engine angle over the way of the wheels
    error  [-]      spread of the ratio in it, one standard deviation over its value
    time   [s]      how long it was driven in
    """

    label: str
    ratio: float
    error: float
    time: float

    @property
    def strange(self) -> bool:
        """True for a ratio that is no gear of the build: a slipping clutch or wheel."""
        return self.label.endswith("?")


@dataclass(frozen=True, eq=False)
class Gears:
    """All gears of a log and the ratio at every cell.

    gears   shortest first
    log_ratio (n,)  logarithm of the ratio [rad/m]; NaN where the car stands or a channel has no sample
    source  channel of the road speed; '' where there is none
    known   the labels are gear numbers
    words   how it was found
    tolerance (n,) [-]  by how much one reading of the ratio can be off: resolution and time between samples
    """

    gears: tuple[Gear, ...]
    log_ratio: _Floats
    source: str
    known: bool
    words: str
    tolerance: _Floats

    def reach(self, tolerance: float) -> float:
        """How near a ratio lies to the gear that is meant (logarithm): gears with numbers lie apart by more."""
        return max(tolerance, _LIKE if self.known else _LIKE_SEEN)

    @functools.cached_property
    def centres(self) -> tuple[tuple[Gear, float, bool], ...]:
        """Each gear with the logarithm of its ratio, and whether it is a strange one."""
        return tuple((gear, math.log(gear.ratio), gear.strange) for gear in self.gears)

    def at(self, time: _Floats, engine: _Floats, road: _Floats | None, road_step: float) -> Gears:
        """The same gears with the ratio on other cells."""
        if road is None:
            nothing = np.full(time.size, np.nan)
            return replace(self, log_ratio=nothing, tolerance=nothing)
        return replace(self, log_ratio=_log_ratio(engine, road), tolerance=_tolerance(road, road_step))


def _log_ratio(engine: _Floats, road: _Floats) -> _Floats:
    some = (road > _LEAST_ROAD) & (engine > _LEAST_ENGINE)
    with np.errstate(all="ignore"):  # what is no ratio is left out behind
        ratio = engine / road
        np.log(ratio, out=ratio)
    np.copyto(ratio, np.nan, where=~some)
    return ratio


def find_gears(
    time: _Floats, engine: _Floats, road: _Floats | None, source: str, road_step: float, facts: GearFacts
) -> Gears:
    """The gears of a log.

    time       (n,) [s]     cells, rising
    engine     (n,) [rad/s] engine speed
    road       (n,) [m/s]   road, roller or wheel speed on the same cells, NaN where unknown; None where there is none
    road_step  [s]          time between its true samples
    Of cells that lie apart all three have the shape (3, n): the cell just before, the cell, the one just behind.
    Returns the gears. A ratio counts only while it hardly moves, so that shifts and slipping clutches make no gear.
    """
    cells = time[1] if time.ndim == 2 else time
    if road is None:
        nothing = np.full(cells.size, np.nan)
        return Gears((), nothing, "", False, "no road, roller or wheel speed in the log", nothing)
    ratio = _log_ratio(engine, road)
    step = np.diff(cells, append=cells[-1])
    longest = max(2.0, 3.0 * road_step)
    if time.ndim == 2:
        before, ratio, after = ratio
        tolerance = _tolerance(road[1], road_step, road[2] - road[1])
        beside = time[2] - time[1]
        beside[beside > longest] = 0.0
        # a cell stands for the time to the next one, however far that is
        step[step > max(longest, 3.0 * _median(step))] = 0.0
    else:
        before, after = np.empty_like(ratio), np.empty_like(ratio)
        before[0], before[1:] = np.nan, ratio[:-1]
        after[-1], after[:-1] = np.nan, ratio[1:]
        tolerance = _tolerance(road, road_step)
        step[step > longest] = 0.0
        beside = step
    some = np.isfinite(ratio)
    reach = np.maximum(np.maximum(np.abs(ratio - before), np.abs(after - ratio)), 0.0)
    steady = reach <= np.maximum(_STEADY * np.maximum(beside, 0.05), 2.0 * tolerance)
    blur = _median(tolerance[some]) if some.any() else 0.0
    least = max(_LEAST_TIME, _LEAST_SAMPLES * min(road_step, 2.0))
    peaks = _gathered(ratio[steady], step[steady], blur, least)
    labels, words = _labels(peaks, facts, blur)
    peaks, labels = _one_a_gear(peaks, labels)
    gears = tuple(
        Gear(label, math.exp(centre), spread, seconds)
        for label, (centre, spread, seconds) in zip(labels, peaks, strict=True)
    )
    known = any(label.isdigit() for label in labels)
    return Gears(gears, ratio, source, known, words, tolerance)


def _tolerance(road: _Floats, road_step: float, change: _Floats | None = None) -> _Floats:
    """Error of one ratio from the resolution of the road speed and from samples that are not of one moment.

    change  of road speed from cell to cell, where these do not follow one another
    """
    if change is None:
        change = np.diff(road[:: max(1, road.size // 8192)])
    change = np.abs(change)
    change = change[change > 1e-6]
    resolution = _quantile(change, 0.05) if change.size else 0.0
    late = 0.0 if road_step < 0.15 else 0.25 * road_step * 3.0  # 3 m/s2 is a hard pull on the road
    fast = np.abs(road)
    np.maximum(fast, _LEAST_ROAD, out=fast)
    return np.divide(min(resolution, 0.3) + late, fast, out=fast)


def _quantile(values: _Floats, share: float) -> float:
    """As numpy has it, of an array without NaN, in a fifth of its time."""
    place = share * (values.size - 1)
    low = int(place)
    high = min(low + 1, values.size - 1)
    part = np.partition(values, low)
    above = part[high:].min()  # one partition and a pass are faster than a partition at two places
    return float(part[low] + (place - low) * (above - part[low]))


def _median(values: _Floats) -> float:
    return _quantile(values, 0.5)


def _gathered(
    ratio: _Floats, seconds: _Floats, blur: float, least: float
) -> list[tuple[float, float, float]]:
    """Where the logarithm of the ratio gathers: (centre, spread, seconds), shortest gear first."""
    some = np.isfinite(ratio)
    ratio, seconds = ratio[some], seconds[some]
    if ratio.size < 4:
        return []
    low = float(ratio.min()) - 0.1
    cell = ((ratio - low) / _BIN).astype(np.intp)
    heap = np.bincount(cell, weights=seconds, minlength=int(cell.max()) + 20)
    width = int(np.clip(round(max(blur, 0.012) / _BIN), 2, 8))
    kernel = np.exp(-0.5 * (np.arange(-3 * width, 3 * width + 1) / width) ** 2)
    smooth = np.convolve(heap, kernel, "same")
    inner = smooth[1:-1]
    peaks = np.flatnonzero((inner > 0) & (inner >= smooth[:-2]) & (inner >= smooth[2:])) + 1
    found: list[tuple[float, float, float]] = []
    reach = max(_APART, 2.5 * width * _BIN)
    total = float(seconds.sum())
    for k in peaks[np.argsort(smooth[peaks])[::-1]]:
        centre = low + (k + 0.5) * _BIN
        if any(abs(centre - c) < reach for c, _, _ in found):
            continue
        near = np.abs(ratio - centre) < 0.5 * reach
        time = float(seconds[near].sum())
        if time < max(least, _LEAST_SHARE * total):
            continue
        middle = _median(ratio[near])
        found.append((middle, 1.4826 * _median(np.abs(ratio[near] - middle)), time))
        if len(found) == 12:
            break
    return sorted(found, reverse=True)


def _one_a_gear(
    peaks: list[tuple[float, float, float]], labels: list[str]
) -> tuple[list[tuple[float, float, float]], list[str]]:
    """Places where the ratio gathers, those of one gear as one: ratio of the longest driven in, time of all."""
    kept: dict[str, tuple[float, float, float]] = {}
    for label, peak in zip(labels, peaks, strict=True):
        other = kept.get(label)
        if other is None:
            kept[label] = peak
        else:
            longer = max(peak, other, key=lambda one: one[2])
            kept[label] = (longer[0], longer[1], peak[2] + other[2])
    return list(kept.values()), list(kept)


def _labels(peaks: list[tuple[float, float, float]], facts: GearFacts, blur: float) -> tuple[list[str], str]:
    """Gear numbers where the known ratios explain what was seen, else letters."""
    letters = [_LETTERS[k] for k in range(len(peaks))]
    seen = "letters from the shortest gear seen"
    if not peaks:
        return [], "the ratio of engine to road speed gathers nowhere"
    if not facts.ratios:
        return letters, f"no gear ratios are known: {seen}"
    gears, centres = np.log(np.array(facts.ratios)), np.array([c for c, _, _ in peaks])
    weight = np.array([t for _, _, t in peaks])
    expected = None
    if facts.final_drive and facts.tyre_radius:
        expected = math.log(facts.final_drive / facts.tyre_radius)
    share, shift = _best_shift(centres, weight, gears, expected, _EXACT + min(blur, _EXACT))
    if share < 0.5:
        return letters, f"the build's gear ratios do not fit the ratios of the log: {seen}"
    away = np.abs(centres[:, None] - gears[None, :] - shift)
    which, near = away.argmin(axis=1), away.min(axis=1) < _LIKE
    if expected is None and len(set(which[near])) < 2:
        return letters, f"one gear and no tyre radius do not say which gear it is: {seen}"
    labels = [
        str(k + 1) if right else f"{_LETTERS[i]}?"
        for i, (k, right) in enumerate(zip(which, near, strict=True))
    ]
    apart = 0.0 if expected is None else round(100 * math.expm1(shift - expected), 1)
    off = (
        f", the log {apart:+.1f} % off them"
        if apart
        else ""
        if expected is None
        else ", which the log has to 0.1 %"
    )
    strange = "" if near.all() else "; with a question mark: no gear of the build, a slipping clutch or wheel"
    return labels, f"by the build's gear ratios{off}{strange}"


def _best_shift(
    centres: _Floats, weight: _Floats, gears: _Floats, expected: float | None, exact: float
) -> tuple[float, float]:
    """The factor (logarithm) that brings most of the driven time to gears of its own, and the share it brings there.

    expected  the factor by final drive and tyre; others are taken up to the doubt of these
    """
    best = (-1.0, 0.0, 0.0)
    for shift in {float(c - g) for c in centres for g in gears}:
        if expected is not None and abs(shift - expected) > _TYRE_DOUBT:
            continue
        away = np.abs(centres[:, None] - gears[None, :] - shift)
        which, right = away.argmin(axis=1), away.min(axis=1) < exact
        share = float(weight[right].sum() / weight.sum())
        # two in one gear are one too many; and of equal fits the nearest to what is known, or the closest
        doubt = 0.3 * (int(right.sum()) - len(set(which[right]))) + float(away.min(axis=1)[right].mean())
        doubt += 0.0 if expected is None else abs(shift - expected)
        if share - doubt > best[0]:
            best = (share - doubt, shift, share)
    return best[2], best[1]


def gear_at(gears: Gears, log_ratio: float, tolerance: float) -> Gear | None:
    """The gear of a ratio; None where none lies within the tolerance (logarithm).

    A road speed that lags puts the ratio of a fast pull a few per cent off that of a cruise; where gears have numbers,
    which lie apart by more, the nearest one within 12 % is meant.
    """
    nearest, away = None, math.inf
    numbered, apart = None, math.inf
    for gear, centre, strange in gears.centres:
        distance = abs(centre - log_ratio)
        if distance < away:
            nearest, away = gear, distance
        if distance < apart and not strange:
            numbered, apart = gear, distance
    if apart <= gears.reach(tolerance):
        return numbered
    return nearest if away <= max(tolerance, _LIKE_SEEN) else None
