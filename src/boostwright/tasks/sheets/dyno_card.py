"""The dyno card: the boost table, what stops a pull, and the order of the pulls; every number from the plan."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.sheets.stop_values import StopValue, lean_limit, stop_values

__all__ = ["DynoCard", "PullStep", "dyno_card_of"]

Array = NDArray[np.float64]

_FIRST_SPEED = 0.65  # of the highest speed: where the first pulls end; common practice
_MOST_STEPS = 6
_HUNDRED = 100.0 * math.pi / 30.0  # rpm in rad/s


@dataclass(frozen=True)
class PullStep:
    """One step of the order of pulls.

    words  what is done
    cap    highest manifold pressure asked in it [Pa absolute]; nan where the step is no pull on boost
    until  engine speed at which the pull ends [rad/s]; nan likewise
    """

    words: str
    cap: float = float("nan")
    until: float = float("nan")


@dataclass(frozen=True)
class DynoCard:
    """What is taped to the dyno.

    speeds                       (n,) [rad/s]
    target, target_gauge         (n,) [Pa]; absolute counts, gauge is for the day's barometer
    spring_alone                 (n,) [Pa absolute] on the day; nan where not known
    duty                         (n,) [-] base duty for the build's plumbing, nan where none
    plumbing                     'lower', 'upper' or 'both'
    torque, wheel_torque         (n,) [Nm] raw, at the crank and at the wheels; wheels all nan without a driveline
    lambda_target, egt_reading, shaft_speed  (n,) [-], [K], [rad/s]
    lean                         [-] how far above its target lambda may stand
    binding, binding_day         (n,) what holds the table there, and on which day
    pressure_amb, temperature_amb  [Pa], [K] of the plan's own day
    spring                       [Pa gauge] rating to fit, with its basis; nan without a gate
    knock                        how knock is held in this plan, in words
    """

    build: str
    provenance: str
    settings: tuple[str, ...]
    speeds: Array
    target: Array
    target_gauge: Array
    spring_alone: Array
    duty: Array
    plumbing: str
    torque: Array
    wheel_torque: Array
    lambda_target: Array
    lean: float
    egt_reading: Array
    shaft_speed: Array
    binding: tuple[str, ...]
    binding_day: tuple[str, ...]
    pressure_amb: float
    temperature_amb: float
    spring: float
    spring_basis: str
    spring_words: str
    knock: str
    stops: tuple[StopValue, ...]
    warm_up: tuple[str, ...]
    pulls: tuple[PullStep, ...]


def dyno_card_of(build: Build, plan: Plan) -> DynoCard:
    """The card of a plan."""
    n = plan.speeds.size
    nothing = np.full(n, np.nan)

    def along(name: str) -> Array:
        return plan[name] if name in plan.prediction.quantities else nothing

    plumbing = build["boost_control"].text("plumbing")
    advice = plan.spring
    spring = nothing if advice is None else plan.days[0].spring_boost
    fitted = None if advice is None else advice.chosen or advice.fitted
    return DynoCard(
        build=plan.name,
        provenance=build.provenance,
        settings=plan.settings,
        speeds=plan.speeds,
        target=plan.target,
        target_gauge=plan.target_gauge,
        spring_alone=spring,
        duty=plan.duty.get(plumbing, nothing),
        plumbing=plumbing,
        torque=along("torque"),
        wheel_torque=along("torque_wheel"),
        lambda_target=along("lambda"),
        lean=lean_limit(build),
        egt_reading=along("egt_reading"),
        shaft_speed=along("shaft_speed"),
        binding=plan.binding,
        binding_day=plan.binding_day,
        pressure_amb=plan.pressure_amb,
        temperature_amb=build["ambient"].si("temperature"),
        spring=float("nan") if fitted is None else fitted.rating,
        spring_basis="" if advice is None else advice.basis,
        spring_words="" if advice is None else advice.words,
        knock=plan.knock.words,
        stops=stop_values(build, plan),
        warm_up=_warm_up(build),
        pulls=_pulls(build, plan, spring),
    )


def _warm_up(build: Build) -> tuple[str, ...]:
    """What comes before the first pull; common practice of the trade."""
    section = build["fail_safes"]
    oil = "until the oil is warm"
    if section.has("oil_temperature_least"):
        oil = f"until the oil has {section.si('oil_temperature_least') - 273.15:.0f} degC"
    return (
        "Strapped down by the operator; fan on the cooler; extinguisher and stop in reach; nobody beside the wheels.",
        "Key on, engine cold: every pressure shows the barometer within 1 kPa, every temperature the air within 3 K.",
        "Crank without spark and fuel until oil pressure stands; fire; look for leaks of oil, fuel, water, exhaust.",
        f"Idle and light load {oil}; let it cool, tighten studs and bolts of the hot side; warm again.",
        "Part load through the range: lambda on its target, no knock, fuel pressure difference constant.",
    )


def _pulls(build: Build, plan: Plan, spring: Array) -> tuple[PullStep, ...]:
    """From the spring alone to the whole table, in steps of [dyno] step."""
    table = plan.target[np.isfinite(plan.target)]
    if table.size == 0:
        return ()
    top, last = float(table.max()), float(plan.speeds[-1])
    held = spring[np.isfinite(spring)]
    low = min(float(held.max()), top) if held.size else float(table.min())
    middle = round(_FIRST_SPEED * last / _HUNDRED) * _HUNDRED
    steps = [
        PullStep("Spring alone, solenoid unplugged. Is boost where the model has it, and flat?", low, middle),
        PullStep("Spring alone to the top. Boost that climbs is creep: stop there.", low, last),
    ]
    count = min(max(1, math.ceil((top - low) / build["dyno"].si("step") - 1e-9)), _MOST_STEPS)
    for number in range(1, count + 1):
        cap = low + (top - low) * number / count
        words = "The table, nowhere above the cap" if number < count else "The whole table"
        steps.append(
            PullStep(f"{words}: to the middle first, then to the top, the log read between.", cap, last)
        )
    steps.append(PullStep("Three more of the last, from the same temperatures: is it repeatable?", top, last))
    return tuple(steps)
