"""How slow an exhaust probe is, against its siblings and against what a sheath of usual size takes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.thermocouples import before_turbine
from boostwright.logs.sensor_checks.view import LogView

__all__ = ["check_slow", "lag_behind"]

Array = NDArray[np.float64]
_USUAL = 4.0
"""[s] A 3 mm sheath in exhaust gas takes 1 to 4 s (from memory)."""
_LAGS = np.array([0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.5, 8.0, 10.0, 13.0, 17.0])


def check_slow(view: LogView) -> None:
    """Find probes that answer far later than their siblings, or than any of usual size after the throttle shuts."""
    probes = [n for n in before_turbine(view) if n in view.signals]
    if not probes:
        return
    if len(probes) >= 3:
        view.did("exhaust probes against each other in time")
        for name in probes:
            _against_siblings(view, name, [n for n in probes if n != name])
        return
    for name in probes:
        _after_lift(view, name)


def lag_behind(values: Array, reference: Array, step: float) -> tuple[float, float]:
    """First-order lag [s] of one series behind another, and the share of scatter it explains over no lag at all.

    values, reference  (n,) on one clock, finite
    step               [s]
    """
    rest = []
    for lag in _LAGS:
        slow = _lagged(reference, lag, step)
        design = np.column_stack([slow, np.ones_like(slow)])
        fit, *_ = np.linalg.lstsq(design, values, rcond=None)
        rest.append(float(np.std(values - design @ fit)))
    best = int(np.argmin(rest))
    return float(_LAGS[best]), 1.0 - (rest[best] / max(rest[0], 1e-9)) ** 2


def _lagged(values: Array, lag: float, step: float) -> Array:
    if lag <= 0.0:
        return values
    from scipy.signal import lfilter

    share = 1.0 - np.exp(-step / lag)
    return np.asarray(
        lfilter([share], [1.0, share - 1.0], values, zi=np.array([(1.0 - share) * values[0]]))[0]
    )


def _against_siblings(view: LogView, name: str, others: list[str]) -> None:
    together = np.median([view.on(n) for n in others], axis=0)
    mine = view.on(name)
    good = np.isfinite(mine + together)
    if good.sum() < 100 or np.std(together[good]) < 30.0:
        return
    lag, explained = lag_behind(mine[good], together[good], view.step)
    if lag < 1.0 or explained < 0.5:
        return
    spread = 0.5 + view.signals[name].interval
    sure = certainty_of_deviation(lag / (1.2 * spread), 0.95)
    if sure >= LEAST:
        _say(view, name, lag, sure, "behind its siblings", explained)


def _after_lift(view: LogView, name: str) -> None:
    """How long the reading takes for 63 % of what it falls in ten seconds after boost ends."""
    title = f"how slow {name} is"
    values = view.on(name)
    ends = np.flatnonzero(view.boosted[:-1] & ~view.boosted[1:])
    width = round(10.0 / view.step)
    found = []
    for end in map(int, ends):
        part, load = values[end : end + width], view.load[end : end + width]
        after = load[round(1.0 / view.step) :]
        if (
            part.size < width
            or not np.isfinite(part).all()
            or np.nanmax(after, initial=-1.0) > 0.9 * view.barometer[0]
        ):
            continue
        top, drop = float(part[0]), float(part[0] - part[-1])
        if drop < 40.0:
            continue
        took = float(np.argmax(part < top - 0.632 * drop)) * view.step
        # heat transfer to the sheath goes with the root of flow (NACA TN 2599), and off the throttle little flows
        found.append(min(took / max(1.0 - took / 12.0, 0.2), 30.0) * _flow_share(view, end, width))
    if len(found) < 2:
        view.could_not(title, (), "it takes two stretches of ten seconds off the throttle after boost")
        return
    view.did(title)
    lag = float(np.median(found))
    sure = certainty_of_deviation(lag / (0.9 * _USUAL), 0.9)
    if sure >= LEAST:
        _say(view, name, lag, sure, "after the throttle shuts", np.nan)


def _flow_share(view: LogView, end: int, width: int) -> float:
    """Root of the gas flow off the throttle over that on boost before it, both by speed times manifold pressure."""
    flow = view.speed * view.load
    before, after = flow[max(end - 20, 0) : end + 1], flow[end + round(1.0 / view.step) : end + width]
    before, after = before[np.isfinite(before)], after[np.isfinite(after)]
    share = float(np.median(after) / np.median(before)) if before.size and after.size else 0.15
    return float(np.sqrt(np.clip(share if np.isfinite(share) else 0.15, 0.02, 1.0)))


def _say(view: LogView, name: str, lag: float, sure: float, words: str, explained: float) -> None:
    evidence = [Evidence(f"lag {words}", lag, "s"), Evidence("a 3 mm sheath takes up to", _USUAL, "s")]
    if np.isfinite(explained):
        evidence.append(Evidence("share of its difference to them that the lag explains", explained))
    view.faults.append(
        SensorFault(
            "slow-thermocouple",
            (name,),
            f"{name} lags by some {lag:.1f} s {words}: in a pull it never shows what the gas has.",
            sure,
            view.where(np.isfinite(view.on(name)) & view.running),
            tuple(evidence),
            "A sheathed junction follows the gas with the time constant of its mass over its heat transfer.",
            ("soot on the tip", "a tip drawn back into its boss", "a filter in the amplifier"),
            "Compare sheaths; clean the tip, or fit a thinner one. Do not read it against engine speed as it is.",
        )
    )
