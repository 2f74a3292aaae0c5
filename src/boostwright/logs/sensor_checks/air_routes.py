"""Pairs of routes to the air flow: those of the derived quantities where a build is there, plain ones where none is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.agreement import Agreement, agreements, deviation_of
from boostwright.logs.derived.air_flow import PAIRS, ROUTE_WORDS
from boostwright.logs.derived.catalogue import work_out
from boostwright.logs.derived.facts import Facts
from boostwright.logs.pulls.rules import PullFacts
from boostwright.logs.pulls.search import find_pulls_in
from boostwright.logs.sensor_checks.view import LogView, Mask
from boostwright.logs.series import ChannelsInMemory, Series

__all__ = ["DUTY", "Pair", "derived_pairs", "plain_pairs", "plain_routes", "route_words"]

Array = NDArray[np.float64]
DUTY = "duty"
_R = 287.05
_FILLING, _FILLING_HALF = 0.92, 0.24
_PETROL = 745.0
_SAME_BOX = 0.03
"""Half-width of injector time over duty, which one box works out of one number: their roundings (own estimate)."""
_LONG, _ROUND = 30_000, 10.0
"""Rows from which a log is cut to its pulls, and the seconds left round them."""
_FIRINGS = (0.5, 1.0, 2.0)


@dataclass(frozen=True)
class Pair:
    """Two routes held against each other.

    one, other  'meter', 'speed_density', 'fuel', 'injectors', or DUTY: the injectors by their duty
    log_ratio   [-] median of the logarithm of one over other
    allowed     [-] 95 % half-width of what two sound ones are apart
    """

    one: str
    other: str
    log_ratio: float
    allowed: float

    @property
    def z(self) -> float:
        """Deviation over allowance."""
        return abs(self.log_ratio) / self.allowed


def route_words(route: str) -> str:
    """A route in words."""
    return "injector duty times lambda" if route == DUTY else ROUTE_WORDS[route]


def derived_pairs(view: LogView, car: Facts, without: tuple[str, ...]) -> tuple[list[Pair], Mask]:
    """The pairs that ``boostwright derive`` holds against each other, over the pulls; and where these are.

    without  channels that are not to be used, since they are doubtful already
    No pair where the log has no pull: away from full load the filling is not known well enough.
    """
    channels = view.channels(*without)
    facts = PullFacts(view.facts.gears, view.facts.barometer)
    pulls = find_pulls_in(channels, facts, describe=False).pulls
    stretches = [(pull.start, pull.end) for pull in pulls]
    mask = np.zeros(view.grid.size, dtype=bool)
    for start, end in stretches:
        mask |= (view.grid >= start) & (view.grid <= end)
    if not stretches:
        return [], mask
    names = [f"air_flow_{a}_over_{b}" for a, b in PAIRS]
    cut = _around(channels, stretches)
    found = [_of(one) for one in agreements(work_out(cut, car, names).made, stretches)]
    if "injector_time" in channels.names and "injector_duty" in channels.names:
        by_duty = _around(view.channels(*without, "injector_time"), stretches)
        found += _by_duty(by_duty, car, stretches)
        found += _time_over_duty(view)
    return found, mask


def _of(one: Agreement, rename: bool = False) -> Pair:
    first, _, second = one.name.removeprefix("air_flow_").partition("_over_")
    if rename:
        first, second = (DUTY if name == "injectors" else name for name in (first, second))
    return Pair(first, second, *deviation_of(one.difference, one.band))


def _around(channels: ChannelsInMemory, stretches: list[tuple[float, float]]) -> ChannelsInMemory:
    """Channels of a long log, cut to the pulls and ten seconds round them, since nothing else decides."""
    series = {name: channels.read(name) for name in channels.names}
    if max((one.time.size for one in series.values()), default=0) < _LONG:
        return channels
    cut = {}
    for name, one in series.items():
        keep = np.zeros(one.time.size, dtype=bool)
        for start, end in stretches:
            keep |= (one.time >= start - _ROUND) & (one.time <= end + _ROUND)
        cut[name] = Series(one.time[keep], one.value[keep], one.basis)
    return ChannelsInMemory({name: one for name, one in cut.items() if one.time.size >= 8})


def _by_duty(channels: ChannelsInMemory, car: Facts, stretches: list[tuple[float, float]]) -> list[Pair]:
    names = [f"air_flow_{a}_over_{b}" for a, b in PAIRS if "injectors" in (a, b)]
    return [_of(one, rename=True) for one in agreements(work_out(channels, car, names).made, stretches)]


def _time_over_duty(view: LogView) -> list[Pair]:
    """Time an injector is on, over what its duty and the engine's speed make of it; batches fire twice or half."""
    time, duty, speed = view.on("injector_time"), view.on("injector_duty"), view.speed
    with np.errstate(invalid="ignore", divide="ignore"):
        share = (time * speed / (4.0 * np.pi) / duty)[(duty > 0.15) & (time > 0.0)]
    share = share[np.isfinite(share)]
    if share.size < 10:
        return []
    ratio = float(np.median(share))
    if ratio <= 0.0 or float(np.percentile(share, 75) - np.percentile(share, 25)) > 0.1 * ratio:
        return []
    nearest = min((float(np.log(ratio / k)) for k in _FIRINGS), key=abs)
    return [Pair("injectors", DUTY, nearest, _SAME_BOX)]


def plain_pairs(view: LogView) -> tuple[list[Pair], list[str], Mask]:
    """Pairs on boost by a usual filling and fuel; what is missing for more of them; and where they were looked at."""
    flows, missing = plain_routes(view)
    mask = view.lasting(view.boosted, 1.5, 1.0)
    if mask.sum() * view.step < 1.0:
        return [], missing, mask & False
    pairs = []
    names = list(flows)
    for k, one in enumerate(names):
        for two in names[k + 1 :]:
            with np.errstate(divide="ignore", invalid="ignore"):
                share = np.log(flows[one][0] / flows[two][0])[mask]
            share = share[np.isfinite(share)]
            if share.size >= 5:
                allowed = float(np.hypot(flows[one][1], flows[two][1]))
                pairs.append(Pair(one, two, float(np.median(share)), allowed))
    return pairs, missing, mask


def plain_routes(view: LogView) -> tuple[dict[str, tuple[Array, float]], list[str]]:
    """Flow [kg/s] on the common times and 95 % half-width, by route; what is missing for the others."""
    flows: dict[str, tuple[Array, float]] = {}
    missing = []
    if "mass_flow_air" in view.signals:
        flows["meter"] = view.on("mass_flow_air"), 0.10
    else:
        missing.append("mass_flow_air")
    charge = next((n for n in ("temperature_im", "temperature_bp") if n in view.signals), "")
    if view.facts.displacement and "engine_speed" in view.signals and np.isfinite(view.load).any():
        temperature = view.on(charge) if charge else np.full(view.grid.shape, 315.0)
        density = view.load / (_R * temperature)
        flow = _FILLING * view.facts.displacement * view.speed / (4.0 * np.pi) * density
        flows["speed_density"] = flow, _FILLING_HALF + (0.0 if charge else 0.06)
    else:
        wants = (
            ("engine_speed", "engine_speed" in view.signals),
            ("pressure_im", np.isfinite(view.load).any()),
        )
        lacking = [name for name, there in wants if not there]
        missing += ["the engine's displacement (--build)"] if not view.facts.displacement else lacking
    probe = next(
        (n for n in view.names if n == "lambda" or (n.startswith("lambda_") and n[-1].isdigit())), ""
    )
    if "mass_flow_fuel" in view.signals:
        fuel, width = view.on("mass_flow_fuel"), 0.12
    elif "volume_flow_fuel" in view.signals:
        fuel, width = view.on("volume_flow_fuel") * _PETROL, 0.14
    else:
        missing.append("mass_flow_fuel")
        return flows, missing
    if not probe:
        missing.append("lambda")
        return flows, missing
    ratio = view.facts.stoichiometric_ratio
    flows["fuel"] = fuel * view.on(probe) * (ratio or 14.6), width + (0.0 if ratio else 0.08)
    return flows, missing
