"""The channels of a log put in time: samples only, lag undone where it can be, lambda put back to its mixture."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.mapping.names import channel_of
from boostwright.logs.series import Channels, ChannelsInMemory, Series
from boostwright.logs.timebase.exhaust_flow import ExhaustFlow, exhaust_flow
from boostwright.logs.timebase.facts import ASSUMED_PROBE, ASSUMED_WAY, TimeFacts
from boostwright.logs.timebase.lag import LagBound, LagUndone, ProbeLag, undo_lag
from boostwright.logs.timebase.lag_estimate import LagFound, lag_from_falls, lift_offs
from boostwright.logs.timebase.lambda_delay import DelayFound, GasWay, delay_from_log, lambda_in_time
from boostwright.logs.timebase.sampling import Sampling, samplings

__all__ = ["TREATMENTS", "Aligned", "Treatment", "put_in_time"]

Array = NDArray[np.float64]

_FOLLOWS = 0.3  # of lambda's variance that what was asked for may leave unexplained
_RICHEST, _LEANEST = 0.66, 1.25
_BACK, _AHEAD = 1.5, 0.3  # s after and before a reading of no mixture
_WELL = 0.05  # s, standard error of a delay that is used

TREATMENTS: Mapping[str, str] = {
    "as-logged": "every row stands",
    "samples-only": "rows that repeat an older value are left out",
    "lag-undone": "the probe's lag is undone",
    "lag-bound": "the probe is too slow or read too rarely: the reading stands, with what the gas was at most",
    "put-back": "each reading stands at the time its mixture was drawn in",
    "not-put-back": "how late it is could not be told, so it stands as read",
}
"""What was done to a channel."""


@dataclass(frozen=True)
class Treatment:
    """What was done to a channel: key of ``TREATMENTS``, and the words for it."""

    channel: str
    code: str
    words: str


@dataclass(frozen=True, eq=False)
class Aligned:
    """A log in time.

    channels    each on its own samples, in SI
    sampled     how each was sampled, by name
    treatments  what was done to each, by name
    undone, bounds  exhaust temperatures whose lag was undone or is bounded, by name
    flow_words  what the exhaust flow was made of, or what is missing for it
    """

    channels: ChannelsInMemory
    sampled: Mapping[str, Sampling]
    treatments: Mapping[str, Treatment]
    undone: Mapping[str, LagUndone]
    bounds: Mapping[str, LagBound]
    flow_words: str


def put_in_time(channels: Channels, facts: TimeFacts | None = None) -> Aligned:
    """A log's channels in time.

    facts  of the car; what they leave open is assumed, and the words say so
    No channel becomes faster than it was sampled. An exhaust temperature whose lag cannot be undone stays as read.
    Lambda keeps its values and is put back in time. Raises LogError where a channel cannot be read.
    """
    facts = facts or TimeFacts()
    sampled = samplings(channels)
    flow = exhaust_flow(channels, sampled, facts)
    made: dict[str, Series] = {}
    treatments: dict[str, Treatment] = {}
    undone: dict[str, LagUndone] = {}
    bounds: dict[str, LagBound] = {}
    for name, sampling in sampled.items():
        series = channels.read(name)
        made[name], treatments[name] = _samples(series, sampling)
        base = _base(name)
        if base in ("egt_reading", "egt_reading_4") and sampling.time.size:
            found = _exhaust(sampling, sampled, facts, flow)
            if isinstance(found, LagUndone):
                undone[name] = found
                made[name] = Series(found.time, found.value, series.basis, series.raw)
                treatments[name] = Treatment(name, "lag-undone", found.words)
            else:
                bounds[name] = found
                treatments[name] = Treatment(name, "lag-bound", f"{sampling.words} {found.words}")
        elif base in ("lambda", "air_fuel_ratio") and sampling.time.size:
            made[name], treatments[name] = _mixture(series, sampling, sampled, facts, flow)
    words = flow if isinstance(flow, str) else flow.words
    return Aligned(ChannelsInMemory(made, "aligned log"), sampled, treatments, undone, bounds, words)


def _base(name: str) -> str:
    found = channel_of(name)
    return found[0].name if found else name


def _samples(series: Series, sampling: Sampling) -> tuple[Series, Treatment]:
    if sampling.kind in ("every row", "unknown") and np.array_equal(sampling.time, series.time):
        return series, Treatment(sampling.name, "as-logged", sampling.words)
    only = Series(sampling.time, sampling.value, series.basis, series.raw)
    code = "as-logged" if sampling.kind in ("every row", "unknown") else "samples-only"
    return only, Treatment(sampling.name, code, sampling.words)


def _exhaust(
    sampling: Sampling, sampled: Mapping[str, Sampling], facts: TimeFacts, flow: ExhaustFlow | str
) -> LagUndone | LagBound:
    """Lag of an exhaust temperature: by the facts, else by the log's own falls, else assumed."""
    lag = facts.probe or _from_log(sampling, sampled, flow) or ASSUMED_PROBE
    if isinstance(flow, str):
        return undo_lag(sampling, lag)
    if not np.isfinite(
        lag.reference_flow
    ):  # stated for full load: the flow the log holds one second in twenty
        full = float(np.quantile(flow.mass, 0.95))
        lag = ProbeLag(lag.time_constant, lag.low, lag.high, lag.how, full, lag.exponent)
    return undo_lag(sampling, lag, np.interp(sampling.time, flow.time, flow.mass))


def _from_log(
    sampling: Sampling, sampled: Mapping[str, Sampling], flow: ExhaustFlow | str
) -> ProbeLag | None:
    """The probe's lag by how it falls after lift-off, where the log shows that."""
    for name in ("throttle_position", "pedal_position"):
        if name not in sampled or sampled[name].time.size < 2:
            continue
        starts = lift_offs(sampled[name])
        found = lag_from_falls(sampling, starts) if starts.size else None
        if isinstance(found, LagFound):
            reference = float("nan")
            if not isinstance(flow, str):
                after = np.concatenate(
                    [
                        flow.mass[(flow.time > s + 0.3) & (flow.time < s + 0.3 + 2 * found.time_constant)]
                        for s in starts
                    ]
                )
                reference = float(np.median(after)) if after.size else float("nan")
            return ProbeLag(found.time_constant, found.low, found.high, found.words, reference)
    return None


def _mixture(
    series: Series,
    sampling: Sampling,
    sampled: Mapping[str, Sampling],
    facts: TimeFacts,
    flow: ExhaustFlow | str,
) -> tuple[Series, Treatment]:
    """Lambda at the times its mixture was drawn in."""
    name = sampling.name
    if isinstance(flow, str):
        words = f"{sampling.words} How late it is cannot be told: {flow}."
        return Series(sampling.time, sampling.value, series.basis, series.raw), Treatment(
            name, "not-put-back", words
        )
    way = facts.way or _way_from_log(sampling, sampled, flow) or ASSUMED_WAY
    made = lambda_in_time(sampling, way, flow.time, flow.volume, flow.speed)
    words = f"{sampling.words} {made.words} Flow by {flow.words}."
    return Series(made.time, made.value, series.basis, series.raw), Treatment(name, "put-back", words)


def _way_from_log(sampling: Sampling, sampled: Mapping[str, Sampling], flow: ExhaustFlow) -> GasWay | None:
    """Way and lag by how lambda follows what was asked for, where the log shows that well."""
    burning = _while_burning(sampling)
    for name in ("lambda_target", "air_fuel_ratio_target"):
        if name not in sampled or sampled[name].time.size < 2:
            continue
        found = delay_from_log(sampled[name], burning, flow.time, flow.volume, flow.speed)
        if isinstance(found, DelayFound) and found.unexplained < _FOLLOWS and found.delay_error < _WELL:
            spread = 2.0 * found.volume_error
            how = f"from the log, by {name}: {found.words}"
            low, high = max(found.volume - spread, 0.0), found.volume + spread
            return GasWay(found.volume, low, high, found.sensor_lag, how)
    return None


def _while_burning(sampling: Sampling) -> Sampling:
    """The readings away from fuel cut and from a probe at its stop, where no mixture was asked for."""
    ratio = sampling.value / (14.7 if sampling.name.startswith("air_fuel") else 1.0)
    away = (ratio < _RICHEST) | (ratio > _LEANEST) | ~np.isfinite(ratio)
    times = sampling.time[away]
    keep = ~away
    if times.size:
        after = np.clip(np.searchsorted(times, sampling.time, side="right") - 1, 0, times.size - 1)
        before = np.clip(after + 1, 0, times.size - 1)
        since, until = sampling.time - times[after], times[before] - sampling.time
        keep &= ~((since >= 0.0) & (since < _BACK)) & ~((until >= 0.0) & (until < _AHEAD))
    return replace(sampling, time=sampling.time[keep], value=sampling.value[keep])
