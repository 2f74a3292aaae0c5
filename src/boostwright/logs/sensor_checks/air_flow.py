"""Air flow by every route the log allows: routes that stand apart, and which channel is off where that is settled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from boostwright.logs.sensor_checks.air_routes import DUTY, Pair, derived_pairs, plain_pairs, route_words
from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView, Mask

__all__ = ["Cause", "causes_left", "check_air_flow"]

_TITLE = "air flow by its routes"
_LEFT = 6.0
"""Causes whose sum of squares is within this of the best one's stay possible: exp(-6/2) is one in twenty."""
_NOT_USED = {"stuck", "clipped", "noisy", "spikes", "no-response", "lambda-range"}
_UNITS: tuple[tuple[float, str], ...] = (
    (3.6, "kg/h and g/s"),
    (7.5599, "lb/min and g/s"),
    (2.2046, "lb and kg"),
    (60.0, "a minute and a second"),
    (10.0, "a factor of ten"),
    (1000.0, "g and kg"),
)


@dataclass(frozen=True)
class Cause:
    """What can be wrong: its channels, the routes it shifts all by the same factor, and the words for it."""

    channels: tuple[str, ...]
    routes: frozenset[str]
    words: str


def check_air_flow(view: LogView) -> None:
    """Find routes that stand apart by more than both allow."""
    without = tuple({c for f in view.faults if f.code in _NOT_USED for c in f.channels} & set(view.signals))
    missing: list[str] = []
    pairs: list[Pair] = []
    mask = np.zeros(view.grid.size, dtype=bool)
    if view.facts.car is not None:
        pairs, mask = derived_pairs(view, view.facts.car, without)
    if not pairs:
        pairs, missing, mask = plain_pairs(view)
    if not pairs:
        _could_not(view, missing, mask)
        return
    view.did(_TITLE)
    finest = min(p.allowed for p in pairs if {p.one, p.other} != {"injectors", DUTY} or len(pairs) == 1)
    view.could_not(
        f"an error of air flow, injectors, lambda or filling below {_seen(finest):.0%}",
        (),
        f"the routes to the air flow are known together to {finest:.0%} (95 %)",
    )
    wrong = [pair for pair in pairs if certainty_of_deviation(pair.z) >= LEAST]
    if wrong:
        _say(view, pairs, wrong, mask)


def _seen(allowed: float) -> float:
    """The smallest share that is accused, rounded up to a per cent."""
    return float(np.ceil(100.0 * (np.exp(1.8 * allowed) - 1.0)) / 100.0)


def _could_not(view: LogView, missing: Sequence[str], mask: Mask) -> None:
    if mask.any() or missing:
        view.could_not(
            _TITLE, tuple(missing), "two routes are needed, in a pull or a steady stretch on boost"
        )
    else:
        view.could_not(_TITLE, (), "the log has no pull and no steady stretch on boost")


def _causes(view: LogView, routes: set[str]) -> list[Cause]:
    """One channel each, or what several routes share."""

    def there(*names: str) -> tuple[str, ...]:
        return tuple(n for n in names if n in view.signals)

    on = "injector_time" if "injector_time" in view.signals else "injector_duty"
    probes = tuple(view.numbered("lambda")[:1] or view.numbered("air_fuel_ratio")[:1])
    by_lambda = frozenset(routes & {"fuel", "injectors", DUTY})
    by_injectors = frozenset(routes & {"injectors", DUTY})
    listed = [
        Cause(there("mass_flow_air"), frozenset({"meter"}), "the air meter"),
        Cause(
            there("pressure_im", "boost")[:1],
            frozenset({"speed_density"}),
            "manifold pressure or charge temperature",
        ),
        Cause(there("mass_flow_fuel", "volume_flow_fuel")[:1], frozenset({"fuel"}), "the flow of fuel"),
        Cause(there(on), frozenset({"injectors"}), "injector time"),
        Cause(there("injector_duty"), frozenset({DUTY}), "injector duty"),
        Cause(probes, by_lambda, "lambda"),
    ]
    if len(by_injectors) > 1:
        shared = there("fuel_pressure", "injector_pressure_difference")[:1] or there(on)
        listed.append(Cause(shared, by_injectors, "fuel pressure"))
    return [one for one in listed if one.channels and one.routes & routes]


def causes_left(pairs: Sequence[Pair], causes: Sequence[Cause]) -> list[Cause]:
    """The causes that explain all pairs about as well as the best one, by least squares in one factor.

    A pair counts with the inverse square of its standard deviation, half its allowance; pairs are taken as independent.
    """
    found = []
    for cause in causes:
        signs = np.array([(p.one in cause.routes) - (p.other in cause.routes) for p in pairs], dtype=float)
        weight = np.array([(2.0 / p.allowed) ** 2 for p in pairs])
        shown = np.array([p.log_ratio for p in pairs])
        norm = float((weight * signs * signs).sum())
        factor = float((weight * signs * shown).sum()) / norm if norm > 0.0 else 0.0
        found.append((float((weight * (shown - factor * signs) ** 2).sum()), cause))
    best = min(rest for rest, _ in found)
    return [cause for rest, cause in sorted(found, key=lambda x: x[0]) if rest <= best + _LEFT]


def _say(view: LogView, pairs: Sequence[Pair], wrong: Sequence[Pair], mask: Mask) -> None:
    worst = max(wrong, key=lambda pair: pair.z)
    routes = {name for pair in pairs for name in (pair.one, pair.other)}
    left = causes_left(pairs, _causes(view, routes))
    channels = tuple(dict.fromkeys(name for cause in left for name in cause.channels))
    factor = float(np.exp(worst.log_ratio))
    size = abs(worst.log_ratio)
    near = [w for f, w in _UNITS if abs(size - np.log(f)) < 0.5 * worst.allowed + 0.02]
    # a factor near 2 is no proof of pounds while the routes are known to a quarter only
    mixed = near[0] if near and size > 4.0 * worst.allowed and worst.allowed > 0.05 else ""
    settled = len(left) == 1
    tail = (
        f", as {mixed} differ."
        if mixed
        else f": {left[0].words} stands alone."
        if settled
        else f", known together to {worst.allowed:.0%}; off is {', or '.join(cause.words for cause in left)}."
    )
    view.faults.append(
        SensorFault(
            "unit" if mixed else "routes-apart",
            channels,
            f"Air flow by {route_words(worst.one)} is {factor:.2f} times that by {route_words(worst.other)}{tail}",
            certainty_of_deviation(worst.z, 0.93),
            view.where(mask),
            tuple(
                Evidence(f"{route_words(p.one)} over {route_words(p.other)}", float(np.exp(p.log_ratio)))
                for p in sorted(pairs, key=lambda p: -p.z)[:4]
            ),
            "What goes in is what comes out: air by a meter, by filling the cylinders, and by fuel times lambda "
            "is the same air.",
            (
                "a leak between meter and engine, or an air meter in a pipe it was not made for",
                "a displacement, filling, injector or fuel of the build that is not this car's",
            ),
            "Set what is off right and look again; a leak shows on boost and not at idle, a wrong scaling everywhere."
            if settled
            else "Log one more route (air meter, fuel flow, injector time with lambda): the one that stands alone is "
            "off. A leak shows on boost and not at idle, a wrong scaling everywhere.",
        )
    )
