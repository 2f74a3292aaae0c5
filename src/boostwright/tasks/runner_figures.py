"""Each cylinder by itself along a prediction: quantities, the hottest and coldest and why, the one nearest knock."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.cards.card import Card
from boostwright.solve.limits import limit_at
from boostwright.solve.operating_point import Choice, Cylinders, Flag, Limit, Remark, Values
from boostwright.solve.problem import Problem
from boostwright.solve.rod_limits import strongest_rod
from boostwright.solve.runners import Shares, cylinders_apart
from boostwright.tasks.beside import Beside, Flags, joined_flags
from boostwright.tasks.names import CYLINDER_QUANTITIES

__all__ = ["runner_figures", "shares_of_build"]

Array = NDArray[np.float64]
Apart = Mapping[str, Array]
_RPM = 30.0 / np.pi
_DEGREE = np.pi / 180.0
_ZERO_CELSIUS = 273.15
_VOLUME = 8  # place of the logarithm of the volume at intake closing in the head of a row of the table
_STEPS = 71  # mixtures tried for the one that reads highest
_KNOCKS = 1.02  # of the limit: below it the rounding of the solver's own rule would speak
_BOXED = {  # variable of the table's box -> words
    "lambda_value": "lambda",
    "density": "density of the charge",
    "temperature": "temperature of the charge",
    "residual_fraction": "residual fraction",
    "angle_half_burned": "CA50",
}


def shares_of_build(build: Build) -> Shares | None:
    """What the [runners] section gives each cylinder; None where it says nothing."""
    section = build["runners"]
    keys = ("air_share", "fuel_share", "phasing_offset")
    if not any(section.has(key) for key in keys):
        return None
    count = build["engine"].integer("cylinders")
    equal = ((1.0,) * count, (1.0,) * count, (0.0,) * count)
    given = (
        section.numbers(key) if section.has(key) else even for key, even in zip(keys, equal, strict=True)
    )
    return Shares.of(*given)


def runner_figures(build: Build, card: Card, problem: Problem, q: Mapping[str, Array]) -> Beside:
    """What the build's [runners] adds to a prediction; nothing where it does not tell the cylinders apart.

    card  of the fuel, or the blend's
    q     quantities of the mean cylinder along the points (n,), SI
    """
    shares = shares_of_build(build)
    if shares is None:
        return Beside()
    apart = cylinders_apart(build, card, problem, dict(q), shares)
    cylinders = Cylinders(
        shares.air,
        shares.fuel,
        shares.phasing_offset,
        {
            name: Values(name, unit, apart[name], words, basis)
            for name, (unit, words, basis) in CYLINDER_QUANTITIES.items()
            if name in apart
        },
    )
    choice = Choice("cylinders apart", _words(shares), "build")
    if not apart:
        return Beside(choices=(choice,), cylinders=cylinders)
    reading = apart["egt_reading"]
    highest, lowest = _over_cylinders(reading)
    quantities = {
        "egt_reading_highest": highest,
        "egt_reading_spread": highest - lowest,
        "knock_integral_highest": _over_cylinders(apart["knock_integral"])[0],
    }
    limits = _limits(build, highest, q["engine_speed"])
    if "rod_force_compression" in apart:
        quantities["rod_force_compression_highest"] = _over_cylinders(apart["rod_force_compression"])[0]
        limits += strongest_rod(build, {**q, **quantities})
    return Beside(
        quantities=quantities,
        limits=limits,
        flags=joined_flags(_outside(problem, apart), _knocking(q, apart)),
        remarks=_remarks(build, card, problem, q, shares, apart),
        choices=(choice,),
        cylinders=cylinders,
    )


def _over_cylinders(values: Array) -> tuple[Array, Array]:
    """Highest and lowest of (k, n) at each point (n,); nan where there is none."""
    return values.max(axis=0), values.min(axis=0)


def _words(shares: Shares) -> str:
    def ends(values: Array, digits: int) -> str:
        return f"{values.min():.{digits}f} to {values.max():.{digits}f}"

    words = f"air {ends(shares.air, 3)}, fuel {ends(shares.fuel, 3)} of the mean cylinder's"
    if shares.phasing_offset.any():
        words += f", spark {ends(shares.phasing_offset / _DEGREE, 1)} deg later than the common one"
    return f"{words}; manifold states and spark are those of the mean cylinder"


def _limits(build: Build, highest: Array, speed: Array) -> tuple[Limit, ...]:
    """The limit on the reading is on the hottest runner's, where the probes stand in runners."""
    section = build["limits"]
    if not section.has("egt_reading") or build["probe"].text("place") != "runner":
        return ()
    value, margin = limit_at(section, "egt_reading", speed), section.si("egt_reading_margin")
    return (
        Limit(
            "egt-hottest-cylinder",
            "exhaust temperature as the probe of the hottest cylinder shows it",
            "K",
            value,
            highest / (value - margin),
            "build, limits.egt_reading",
            "egt_reading_highest",
            margin,
            "difference",
            "stated",
        ),
    )


def _numbers(places: NDArray[np.intp]) -> str:
    """Cylinders by number, from 1."""
    names = ", ".join(str(place + 1) for place in places)
    return f"cylinder{'s' if len(places) > 1 else ''} {names}"


def _outside(problem: Problem, apart: Apart) -> Flags:
    """Cylinders whose own cycle left the table; a flag names every variable."""
    values = {
        "lambda_value": apart["lambda"],
        "density": apart["trapped_mass"] / np.exp(problem.rows[:, _VOLUME]),
        "temperature": apart["trapped_temperature"],
        "residual_fraction": apart["residual_fraction"],
        "angle_half_burned": apart["angle_half_burned"],
    }
    solved = np.isfinite(apart["trapped_mass"])
    out = {name: left & solved for name, left in problem.cycle.outside(**values).items()}
    found = []
    for i in range(problem.speeds.size):
        left = [
            f"{_BOXED[name]} of {_numbers(np.flatnonzero(out[name][:, i]))}"
            for name in out
            if out[name][:, i].any()
        ]
        message = (
            f"outside the table of closed cycles: {', '.join(left)}; the answer there is that of its edge"
        )
        found.append((Flag("cylinder-outside-cycle-table", message),) if left else ())
    return tuple(found)


def _knocking(q: Mapping[str, Array], apart: Apart) -> Flags:
    """Cylinders for which the spark that serves all is too early."""
    integral, late = apart["knock_integral"], apart["knock_limited_phasing"] - apart["angle_half_burned"]
    found: list[tuple[Flag, ...]] = []
    for i in range(integral.shape[1]):
        with np.errstate(invalid="ignore"):
            bad = np.flatnonzero(
                (integral[:, i] > _KNOCKS) & (integral[:, i] > q["knock_integral"][i] + 1e-3)
            )
        if not len(bad):
            found.append(())
            continue
        worst = bad[np.argmax(integral[bad, i])]
        message = (
            f"the common spark is too early for {_numbers(bad)}: knock integral up to {integral[worst, i]:.2f} in "
            f"cylinder {worst + 1}, whose spark would have to come {max(late[worst, i], 0.0) / _DEGREE:.1f} deg later"
        )
        found.append((Flag("cylinder-knocks", message),))
    return tuple(found)


def _remarks(
    build: Build, card: Card, problem: Problem, q: Mapping[str, Array], shares: Shares, apart: Apart
) -> tuple[Remark, ...]:
    """At the point with the hottest probe: hottest and coldest and why, what reads alike, torque, knock."""
    i = int(np.nanargmax(apart["egt_reading"].max(axis=0)))
    there = dict(q)
    only = np.full(problem.speeds.shape, np.nan)
    only[i] = q["trapped_mass"][i]
    there["trapped_mass"] = only

    def readings(air: Array, fuel: Array, offset: Array) -> tuple[Array, Array]:
        found = cylinders_apart(build, card, problem, there, Shares(air, fuel, offset))
        return found["egt_reading"][:, i], found["lambda"][:, i]

    even, none = np.ones_like(shares.air), np.zeros_like(shares.air)
    mean = readings(even[:1], even[:1], none[:1])[0][0]
    strength = readings(even, shares.fuel / shares.air, none)[0] - mean
    size = readings(shares.air, shares.air, none)[0] - mean
    spark = readings(even, even, shares.phasing_offset)[0] - mean
    reading, lam = apart["egt_reading"][:, i], apart["lambda"][:, i]
    order = np.argsort(reading, kind="stable")
    parts = {"mixture": strength, "amount of charge": size, "spark": spark}
    speed = f"{problem.speeds[i] * _RPM:.0f} rpm"
    hot, cold = int(order[-1]), int(order[0])
    message = (
        f"cylinders: at {speed} a probe in each runner shows most in {_cylinder(hot, reading, lam)}, "
        f"{_why(hot, reading, mean, parts)}, and least in {_cylinder(cold, reading, lam)}, "
        f"{_why(cold, reading, mean, parts)}"
    )
    tried = np.linspace(*problem.cycle.box.lambda_value, _STEPS)
    share = problem.mixture.lambda_value[i] / tried
    swept = readings(np.ones(_STEPS), share, np.zeros(_STEPS))[0]
    found = [
        Remark("cylinders-hottest-and-coldest", message, float(reading[hot] - reading[cold]), "K", "model"),
        _alike(tried, swept, hot, reading, lam, speed),
        _torque(problem, q, apart),
    ]
    return tuple(remark for remark in found if remark is not None)


def _cylinder(k: int, reading: Array, lam: Array) -> str:
    return f"cylinder {k + 1}, {reading[k] - _ZERO_CELSIUS:.0f} degC at lambda {lam[k]:.3f}"


def _why(k: int, reading: Array, mean: float, parts: Mapping[str, Array]) -> str:
    """How far a cylinder stands from the mean one, and each cause by itself."""
    off = reading[k] - mean
    causes = [f"{name} {effect[k]:+.0f}" for name, effect in parts.items() if abs(effect[k]) >= 0.5]
    by = f" ({', '.join(causes)})" if causes else ""
    return f"{off:+.0f} K from the mean cylinder{by}"


def _alike(tried: Array, swept: Array, hot: int, reading: Array, lam: Array, speed: str) -> Remark:
    """The mixture that reads highest, and the one on its other side that reads like the hottest cylinder."""
    peak = int(np.argmax(swept))
    own = float(np.interp(lam[hot], tried, swept))
    rich = lam[hot] < tried[peak]
    side = slice(peak, None) if rich else slice(None, peak + 1)
    lams, values = tried[side], swept[side]
    order = np.argsort(values)
    twin = float(np.interp(own, values[order], lams[order])) if values.min() <= own <= values.max() else None
    other = "lean" if rich else "rich"
    alike = (
        f"a like cylinder at lambda {twin:.2f}, {other} of it, would read the same as cylinder {hot + 1}"
        if twin is not None
        else f"nothing {other} of it within lambda {tried[0]:.2f} to {tried[-1]:.2f} reads as low as cylinder {hot + 1}"
    )
    message = (
        f"equal readings are no equal mixture: at {speed} a reading is highest at lambda {tried[peak]:.2f}, and "
        f"{alike}; 3 % more fuel for all tells them apart, since it cools a cylinder that is rich of the peak and "
        "heats a lean one"
    )
    return Remark("cylinders-alike", message, float(tried[peak]), "1", "model")


def _torque(problem: Problem, q: Mapping[str, Array], apart: Apart) -> Remark | None:
    """What the differences cost in torque, where that is a figure one could see."""
    change = (
        (apart["gross_work"].mean(axis=0) - q["gross_work"]) * problem.points["cylinders"] / (4.0 * np.pi)
    )
    k = int(np.nanargmax(np.abs(change)))
    if abs(change[k]) < 0.5:
        return None
    message = (
        f"the cylinders together make {change[k]:+.1f} Nm against as many mean cylinders at "
        f"{problem.speeds[k] * _RPM:.0f} rpm, where they differ most; torque and power here are the mean cylinder's"
    )
    return Remark("cylinders-torque", message, float(change[k]), "Nm", "model")
