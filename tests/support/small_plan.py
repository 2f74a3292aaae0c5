"""A plan of the mended estate put together from predictions of its own table, for tests of the sheets drawn from it.

It holds no planning: the table is the build's own, and what binds is invented. What a plan finds has its own tests.
"""

from __future__ import annotations

import math

import numpy as np
from green_build import ESTATE, GREEN

from boostwright.build import Build, read_build, with_settings
from boostwright.solve.operating_point import Prediction
from boostwright.tasks.plan_result import KnockRule, Plan, PlanDay, SpringAdvice, SpringChoice
from boostwright.tasks.predict import predict_build

__all__ = ["SPEEDS", "small_plan"]

SPEEDS = tuple((np.arange(1500, 6751, 375) * math.pi / 30).tolist())


def _day(name: str, prediction: Prediction, settings: tuple[str, ...], spring: np.ndarray) -> PlanDay:
    n = prediction.speeds.size
    uses = np.array([limit.utilisation for limit in prediction.limits])
    worst = np.nanmax(np.where(np.isfinite(uses), uses, -1.0), axis=0)
    return PlanDay(
        name=name,
        words=name,
        settings=settings,
        spike=0.0,
        pressure_amb=float(prediction["pressure_amb"][0]),
        quantities=prediction.quantities,
        limits=prediction.limits,
        worst=("torque-cap",) * n,
        worst_use=worst,
        spring_boost=spring,
    )


def small_plan(*settings: str) -> tuple[Build, Plan]:
    """The mended estate with its plan."""
    build = read_build(ESTATE, [*GREEN, *settings])
    own = predict_build(build, speeds=SPEEDS, settings=settings)
    spring = predict_build(with_settings(build, ["prediction.mode=spring"]), speeds=SPEEDS)
    floor = predict_build(with_settings(build, ["prediction.mode=gate-open"]), speeds=SPEEDS)
    cold = ("ambient.temperature=278 K",)
    chilly = predict_build(with_settings(build, cold), speeds=SPEEDS)
    n = len(SPEEDS)
    held = spring["pressure_im"]
    target = own["pressure_im"].copy()
    target[0] = float("nan")
    nowhere = np.zeros(n, dtype=bool)
    choice = SpringChoice(build["wastegate"].si("spring_rating"), held, nowhere, ~nowhere, 0.62)
    plan = Plan(
        name=build.name,
        speeds=np.array(SPEEDS),
        prediction=own,
        step=1e3,
        target=target,
        ceiling=target + 500.0,
        floor=floor["pressure_im"],
        spool=target,
        binding=("spool", *("torque-cap",) * (n - 3), "compressor-choke", "compressor-choke"),
        binding_day=("this day", *("cold, spike",) * (n - 1)),
        margin=np.full(n, 0.02),
        days=(_day("this day", own, (), held), _day("cold", chilly, cold, held)),
        knock=KnockRule(
            "safe-end", "held at the safe end of its band: nobody has fitted the multiplier.", True
        ),
        spring=SpringAdvice(
            "bench", choice, choice, (choice,), "the stiffest that stays below the table everywhere."
        ),
        duty={
            "lower": np.linspace(0.1, 0.4, n),
            "upper": np.linspace(0.2, 0.5, n),
            "both": np.linspace(0.1, 0.3, n),
        },
        settings=settings,
    )
    return build, plan
