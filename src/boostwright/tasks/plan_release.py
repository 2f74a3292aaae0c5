"""What the plan gives with one limit away, with one part fitted, and where it stays below what the owner wants."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, with_settings
from boostwright.build.build import PlanPart
from boostwright.errors import BoostwrightError
from boostwright.tasks.plan_field import CREEP_FLOOR, SPOOL, TORQUE_FALLS, Field, Held
from boostwright.tasks.plan_result import PartGain, Release, Shortfall
from boostwright.tasks.progress import Share

__all__ = ["Drive", "drive_of", "parts_of", "releases_of", "shortfalls_of"]

Array = NDArray[np.float64]

_MET = 0.995  # of a wish
_NOT_LIMITS = (
    CREEP_FLOOR,
    SPOOL,
    TORQUE_FALLS,
    "compressor-map-end",
    "surge-line",
    "no-balance",
    "runs-away",
)


@dataclass(frozen=True)
class Drive:
    """Torque [Nm] and power [W] (n,) of the own day at a ceiling (n,); at the floor where there is none."""

    held: Held
    torque: Array
    power: Array


def drive_of(field: Field, held: Held) -> Drive:
    """The own day at a ceiling."""
    targets = np.where(np.isfinite(held.pressure), held.pressure, 0.0)
    q = field.benches[0].ask(targets, np.arange(field.speeds.size)).q
    return Drive(held, np.asarray(q["torque"], dtype=float), np.asarray(q["power"], dtype=float))


def _most(values: Array) -> float:
    return float(np.nanmax(values)) if np.isfinite(values).any() else float("nan")


def releases_of(field: Field, base: Drive) -> tuple[Release, ...]:
    """Each limit that binds somewhere taken away by itself, the one that gives most power first."""
    words = {limit.name: limit.words for limit in field.rungs.own.limits}
    names = dict.fromkeys(str(name) for name in base.held.limit if name not in _NOT_LIMITS)
    found = []
    for name in names:
        then = drive_of(field, field.held(frozenset([name])))
        found.append(
            Release(
                name,
                words.get(name, name),
                then.held.pressure,
                then.torque - base.torque,
                then.power - base.power,
                _most(then.torque) - _most(base.torque),
                _most(then.power) - _most(base.power),
                tuple(str(binding) for binding in then.held.binding),
            )
        )
    return tuple(sorted(found, key=lambda release: -release.peak_power_gain))


def parts_of(
    build: Build,
    parts: Sequence[PlanPart],
    make: Callable[[Build], Field],
    base: Drive,
    share: Share | None = None,
) -> tuple[PartGain, ...]:
    """The plan made again with each part by itself; most peak power for its price first, those without one last.

    make   a build to its field, at the speeds of the plan
    share  of the task, where it is told how far this is
    """
    share, found = share or Share(), []
    for number, part in enumerate(parts):
        share.at(number / len(parts), f"planning again with {part.name}")
        found.append(_part(build, part, make, base))
    return tuple(sorted(found, key=_by_price))


def _by_price(gain: PartGain) -> tuple[bool, str, float]:
    """Prices in two currencies are not held against each other."""
    if gain.price:
        return False, gain.currency, -gain.power_per_price
    return True, "", -gain.peak_power_gain


def _part(build: Build, part: PlanPart, make: Callable[[Build], Field], base: Drive) -> PartGain:
    try:
        field = make(with_settings(build, part.settings))
        then = drive_of(field, field.held())
    except BoostwrightError as error:
        nothing = np.full(base.torque.shape, np.nan)
        lost = float("nan")
        words = str(error).strip()
        return PartGain(
            part.name, part.settings, part.price, part.currency, nothing, nothing, nothing, lost, lost, lost,
            (), words,
        )  # fmt: skip
    power = then.power - base.power
    return PartGain(
        name=part.name,
        settings=part.settings,
        price=part.price,
        currency=part.currency,
        target=then.held.pressure,
        torque=then.torque - base.torque,
        power=power,
        peak_torque_gain=_most(then.torque) - _most(base.torque),
        peak_power_gain=_most(then.power) - _most(base.power),
        mean_power_gain=float(np.nanmean(power)) if np.isfinite(power).any() else float("nan"),
        releases=_released(base.held, then.held),
    )


def _released(before: Held, after: Held) -> tuple[str, ...]:
    """Limits that bind at fewer speeds than before."""
    names = dict.fromkeys(str(name) for name in before.limit)
    fewer = [n for n in names if np.count_nonzero(after.limit == n) < np.count_nonzero(before.limit == n)]
    return tuple(fewer)


def shortfalls_of(
    build: Build, speeds: Array, target: Array, torque: Array, binding: Sequence[str]
) -> tuple[Shortfall, ...]:
    """Where the plan stays below the owner's torque or boost target.

    build  with the owner's own target
    target, torque, binding  of the plan (n,)
    """
    found = []
    plan, control = build["plan"], build["boost_control"]
    for section, key, quantity, unit, planned in (
        (plan, "wanted_torque", "torque", "Nm", torque),
        (control, "target", "pressure_im", "Pa", target),
    ):
        if not section.has(key):
            continue
        curve = section.curve(key)
        wanted = np.array([curve.at(speed) for speed in speeds])
        with np.errstate(invalid="ignore"):
            met = planned >= _MET * wanted
        names = tuple("" if ok else str(name) for ok, name in zip(met, binding, strict=True))
        found.append(Shortfall(quantity, unit, f"{section.name}.{key}", wanted, planned, names))
    return tuple(found)
