"""When the throttle is full: by its own channel where that closes and opens, else by pedal, pressure or speed."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.pulls.grid import Grid, onto
from boostwright.logs.pulls.grid_kernel import count_idle, drop_seldom, kept_ends
from boostwright.logs.pulls.motion import Motion, bridged, runs
from boostwright.logs.pulls.rules import RPM, PullRules
from boostwright.logs.series import Channels, Series

__all__ = ["GUESS", "LIKELY", "SURE", "FullThrottle", "Travel", "full_throttle", "travels"]

SURE, LIKELY, GUESS = "sure", "likely", "guess"

_Floats = NDArray[np.float64]
_SLIDE = 0.02
"""Once full, it stays so until it is this share of its travel below: noise must not cut a pull."""
_SUSTAINED = 0.3
_ENGINE_RUNS = 300 * RPM
_IDLE = 1200 * RPM
_STANDS = 50 * RPM
"""By how much an idle may wander in a second."""
_LEAST_IDLE = 2.0
_A_STOP = 0.6
_RISES = 20 * RPM
_SLOW = 0.2


@dataclass(frozen=True, eq=False)
class FullThrottle:
    """Full throttle on a grid.

    full      (n,)  True where it is full
    opening   (n,)  share of its travel; NaN where no channel tells
    source    channels it was taken from
    certainty "sure", "likely" (full is the highest reading, or by manifold pressure), "guess" (by speed alone)
    words     how it was found, a sentence
    pedal     (n,) share of the pedal's travel beside a throttle; NaN where there is none
    step      [s] time between its true samples
    closed, top   readings taken for its ends; highest: the highest one kept in the log
    """

    full: NDArray[np.bool_]
    opening: _Floats
    source: str
    certainty: str
    words: str
    pedal: _Floats
    step: float
    closed: float = 0.0
    top: float = 1.0
    highest: float = 1.0


@dataclass(frozen=True, eq=False)
class Travel:
    """A channel as a share of its travel, and what is wrong with it: '' where it can be used."""

    name: str
    opening: _Floats
    closed: float
    top: float
    highest: float
    lowest: float
    step: float
    certainty: str
    words: str
    trouble: str


def travels(channels: Channels, grid: Grid, rules: PullRules) -> list[Travel]:
    """Throttles and pedals of a log on its whole grid, the throttle's own opening first."""
    names = _names(channels.names, "throttle_position") + _names(channels.names, "pedal_position")
    found = []
    for name in names:
        found.append(_travel(name, channels.read(name), grid, rules))
        if not found[-1].trouble and name.startswith("pedal"):
            break
    moved = max(
        (t.highest - t.lowest for t in found if t.name.startswith("pedal") and not t.trouble), default=0.0
    )
    return [_beside_a_pedal(t, moved) for t in found]


def _beside_a_pedal(travel: Travel, moved: float) -> Travel:
    """A throttle that hardly moves while the pedal moves by so much says nothing about the foot."""
    stays = travel.lowest > 0.6 * travel.highest and moved > max(0.05, 3.0 * (travel.highest - travel.lowest))
    if travel.trouble or not travel.name.startswith("throttle") or not stays:
        return travel
    if travel.top == travel.highest >= 0.9:  # as on a dyno, where nothing but full throttle was logged
        return travel
    trouble = f"stays at {_percent(travel.lowest)} and more whatever the pedal does, and says nothing about the foot"
    return replace(travel, trouble=trouble)


def full_throttle(
    tried: list[Travel], channels: Channels, grid: Grid, motion: Motion, rules: PullRules
) -> FullThrottle:
    """Where the throttle is full: by its opening, else by the pedal, else by what follows from it.

    tried  throttles and pedals as ``travels`` found them; they are read again on the finer grid
    """
    nothing = np.broadcast_to(np.nan, grid.time.size)
    troubles = [f"{t.name} {t.trouble}" for t in tried if t.trouble]
    good = [t for t in tried if not t.trouble]
    if good:
        taken = good[0]
        pedals = [t for t in good[1:] if t.name.startswith("pedal")]
        opening = _opening(channels, taken, grid)
        words = _sentence(f"{taken.words}{'; ' + '; '.join(troubles) if troubles else ''}")
        pedal = _opening(channels, pedals[0], grid) if pedals else nothing
        full = _full(opening, rules, grid)
        return FullThrottle(
            full,
            opening,
            taken.name,
            taken.certainty,
            words,
            pedal,
            taken.step,
            taken.closed,
            taken.top,
            taken.highest,
        )
    found = _by_pressure(channels, grid, motion)
    why = "; ".join(troubles) if troubles else "the log has no throttle and no pedal"
    if found is not None:
        full, name, step = found
        words = f"{why}; taken from {name}: at or over the air's pressure and near the highest at that speed"
        return FullThrottle(full, nothing, name, LIKELY, _sentence(words), nothing, step)
    full = _by_speed(grid, motion)
    words = f"{why}, nor a manifold pressure that tells; taken from how fast the speed rises"
    return FullThrottle(full, nothing, "engine_speed", GUESS, _sentence(words), nothing, grid.step)


def _opening(channels: Channels, travel: Travel, grid: Grid) -> _Floats:
    value, _ = onto(grid, channels.read(travel.name), nearest=travel.step > _SLOW)
    return _shared_out(value, travel.closed, travel.top)


def _shared_out(value: _Floats, closed: float, top: float) -> _Floats:
    """Readings as shares of the travel from closed to top, in their place."""
    value -= closed
    value *= 1.0 / max(top - closed, 0.05)
    return value


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:] + "."


def _names(names: tuple[str, ...], head: str) -> list[str]:
    return sorted(
        n for n in names if n == head or (n.startswith(head + "_") and n[len(head) + 1 :].isdigit())
    )


def _sustained(value: _Floats, step: float) -> tuple[float, float]:
    """Lowest and highest value that is kept for a third of a second: a spike is no throttle."""
    some = value if np.isfinite(value.sum()) else value[np.isfinite(value)]
    low, high = kept_ends(some, max(1, min(6, round(_SUSTAINED / step))))
    return float(low), float(high)


def _travel(name: str, series: Series, grid: Grid, rules: PullRules) -> Travel:
    """A throttle or pedal from closed to full, as the log shows its ends."""
    value, step = onto(grid, series)
    low, highest = _sustained(value, grid.step)
    if not np.isfinite(highest):
        return Travel(name, value, low, highest, highest, low, step, SURE, "", "holds no readings")
    closed, top = (low if 0.0 <= low < 0.5 else 0.0), min(highest, 1.0)
    words, certainty = f"full throttle is {name} at {_percent(rules.full_throttle)} of its travel", SURE
    if highest < rules.full_throttle:
        if _returns_to(value, highest, closed, grid):
            certainty = LIKELY
            words += f"; its highest reading, {_percent(top)}, is taken for full, since it is reached again and again"
        else:
            words += f"; it never reads more than {_percent(top)}, and the log does not show whether that is its stop"
            if top >= _A_STOP:
                share = _percent(rules.full_throttle * (top - closed) / (1.0 - closed))
                words += f" (if it is, the rule full_throttle={share} counts by it)"
            top = 1.0
    trouble = ""
    if _never_closes(value, highest, grid):
        trouble = (
            f"reads {_percent(float(np.nanmedian(value)))} even while the engine idles, as a diesel's or an electronic "
            "throttle can, and says nothing about the foot"
        )
    return Travel(
        name, _shared_out(value, closed, top), closed, top, highest, low, step, certainty, words, trouble
    )


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"


def _returns_to(value: _Floats, top: float, closed: float, grid: Grid) -> bool:
    """True where the highest reading is a stop: met at least twice, apart, and kept each time."""
    near = value >= top - 0.02 * (top - closed)
    near = bridged(near, grid.time, 2.5 * grid.step)
    stays = [(a, b) for a, b in runs(near) if grid.time[b - 1] - grid.time[a] >= min(1.0, 2 * grid.step)]
    return len(stays) >= 2


def _never_closes(value: _Floats, highest: float, grid: Grid) -> bool:
    """True for a throttle that is open while the engine idles; looked at every half second.

    Full throttle at a held or falling speed, as a dyno's steps have it, is no sign.
    """
    if float(grid.speed.min()) >= _IDLE:
        return False
    stride = max(1, round(0.5 / grid.step))
    bounds = (_ENGINE_RUNS, _IDLE)
    many = count_idle(grid.samples.time, grid.stride, grid.speed, value, stride, bounds, _STANDS)
    if many * stride * grid.step < _LEAST_IDLE:
        return False
    speed, time, value = grid.speed[::stride], grid.time[::stride], value[::stride]
    if speed.size < 3:
        return False
    idle = (speed > _ENGINE_RUNS) & (speed < _IDLE) & np.isfinite(value)
    idle[1:] &= np.abs(np.diff(speed)) < _STANDS * np.maximum(np.diff(time), 0.5)
    return float(np.median(value[idle])) > 0.5 * highest


def _full(opening: _Floats, rules: PullRules, grid: Grid) -> NDArray[np.bool_]:
    """Full from the share of travel on, and until it is clearly below again; NaN is not full."""
    with np.errstate(invalid="ignore"):
        kept = opening >= rules.full_throttle - _SLIDE
    full = bridged(kept, grid.time, min(rules.longest_bridge, 2.5 * grid.step))
    drop_seldom(full, opening, rules.full_throttle)
    return full


def _by_pressure(
    channels: Channels, grid: Grid, motion: Motion
) -> tuple[NDArray[np.bool_], str, float] | None:
    """Full throttle from the manifold pressure: at least the air's, and near the highest seen at that speed."""
    for name in ("pressure_im", "boost"):
        if name not in channels.names:
            continue
        series = channels.read(name)
        pressure, step = onto(grid, series)
        if not np.isfinite(pressure).any():
            continue
        air = 101325.0
        if "pressure_amb" in channels.names:
            amb = channels.read("pressure_amb").value
            air = float(np.nanmedian(amb)) if np.isfinite(amb).any() else air
        absolute = pressure + air if (name == "boost" or series.basis == "gauge") else pressure
        if float(np.nanmax(absolute)) < 0.85 * air:
            continue
        band = np.clip((grid.speed / (250 * RPM)).astype(np.intp), 0, 80)
        highest = np.zeros(82)
        np.maximum.at(highest, band, np.nan_to_num(absolute))
        around = np.maximum(highest[band], np.maximum(highest[band + 1], highest[np.maximum(band - 1, 0)]))
        with np.errstate(invalid="ignore"):
            full = (absolute > 0.9 * air) & (absolute > 0.80 * around) & (motion.slope > 0)
        full &= grid.speed > _IDLE
        with np.errstate(invalid="ignore"):
            worth = (absolute > 0.9 * air) & (motion.slope > _RISES) & (grid.speed > _IDLE)
        return _back_to_the_opening(full, worth, grid), name, step
    return None


def _back_to_the_opening(full: NDArray[np.bool_], worth: NDArray[np.bool_], grid: Grid) -> NDArray[np.bool_]:
    """Full throttle led back to where it opened: boost takes time, until then the manifold holds the air's pressure.

    worth  pressure is the air's at least and speed rises
    """
    longest = max(0.3, 2.5 * grid.step)
    full = bridged(full, grid.time, longest)
    out = full.copy()
    for a, b in runs(bridged(worth | full, grid.time, longest), grid.chunks):
        spans = runs(full[a:b])
        if spans.size:
            out[a : a + spans[-1, 1]] = True
    return out


def _by_speed(grid: Grid, motion: Motion) -> NDArray[np.bool_]:
    """Full throttle from the rise alone: wherever speed rises, to be told apart later by how fast."""
    full = (motion.slope > 20 * RPM) & (grid.speed > _IDLE)
    return bridged(full, grid.time, max(0.3, 2.5 * grid.step))
