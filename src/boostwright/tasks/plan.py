"""Plan: the most torque inside every limit on every day, what binds where, and what to buy next."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, read_build, with_settings
from boostwright.build.build import Curve, Value
from boostwright.build.schema import boost_control
from boostwright.solve.kernel.layout import TARGET
from boostwright.solve.operating_point import Limit, Prediction, Remark, Values
from boostwright.solve.plan_actuator import free_actuator
from boostwright.solve.plan_ceiling import ON_THE_LIMIT
from boostwright.solve.plan_table import between, refined_speeds, table_under
from boostwright.solve.problem import Problem
from boostwright.tasks.names import QUANTITIES
from boostwright.tasks.own_limits import refuse_own_limits
from boostwright.tasks.plan_bench import Bench, bench_of, judge
from boostwright.tasks.plan_days import DayOfPlan, days_of
from boostwright.tasks.plan_field import CREEP_FLOOR, SPOOL, Field, Held, field_of
from boostwright.tasks.plan_holds import floor_holds
from boostwright.tasks.plan_knock import KnockPlan, knock_plan
from boostwright.tasks.plan_release import drive_of, parts_of, releases_of, shortfalls_of
from boostwright.tasks.plan_result import Plan, PlanDay
from boostwright.tasks.plan_risk import Lowered, lowered_to_risk
from boostwright.tasks.plan_spring import Allowed, duties, spring_advice, spring_boost
from boostwright.tasks.predict import predict_build
from boostwright.tasks.progress import Report, Share
from boostwright.tasks.ready import cards_of

__all__ = ["plan", "plan_build"]

Array = NDArray[np.float64]

STEP = 1e3
"""Pa: what a table is rounded down to."""

_PARTS = 4  # of each step between breakpoints, at which the table is held against the ceiling too
_BESIDE_THE_BAND = (
    "knock_limited_phasing_early",
    "knock_limited_phasing_late",
    "torque_knock_early",
    "torque_knock_late",
    "temperature_em_knock_early",
    "temperature_em_knock_late",
)
_OF_THE_ACTUATOR = ("signal_share", "solenoid_duty")  # the base duty goes with the spring to fit


def plan(
    folder: Path,
    *,
    settings: Sequence[str] = (),
    speeds: Sequence[float] | None = None,
    samples: int | None = None,
    seed: int | None = None,
    progress: Report | None = None,
) -> Plan:
    """Plan the boost of a build folder.

    settings       'key=value' laid over the build for this run
    speeds         engine speeds [rad/s], rising, at which the table has its breakpoints; None takes the build's
    samples, seed  days drawn from what is not known, and from which seed; None takes the build's, 0 samples none
    progress       told in per cent how far the plan is, and what is being done
    Returns a Plan. Raises BuildError or CardError with every fault found.
    """
    return plan_build(
        read_build(folder, settings),
        speeds=speeds,
        samples=samples,
        seed=seed,
        settings=settings,
        progress=progress,
    )


def plan_build(
    build: Build,
    *,
    speeds: Sequence[float] | None = None,
    samples: int | None = None,
    seed: int | None = None,
    settings: Sequence[str] = (),
    progress: Report | None = None,
) -> Plan:
    """Plan a build that was read already; see ``plan``."""
    refuse_own_limits(build)
    chosen = np.array(build["prediction"].speeds("speeds") if speeds is None else speeds, dtype=float)
    base = _without_target(build)
    knock = knock_plan(base, cards_of(base)["fuel"])
    days, share = days_of(base), Share(progress)
    share.at(0.0, f"finding the ceiling on {len(days)} days")
    at, places = refined_speeds(chosen, _PARTS)
    fine = field_of(knock.build, at, days, knock.ends)
    fine_held = fine.held()
    field = fine.at_speeds(places)
    held = _some(fine_held, places)
    target = _under(chosen, held, at, fine, fine_held)
    lowered = _lowered(knock, chosen, target, build, samples, seed, share.part(0.15, 0.7))
    if lowered is not None:
        target = lowered.target
    allowed = Allowed(target, field.floor, field.spool, held.binding == SPOOL)
    own = field.benches[0]
    share.at(0.7, "choosing the spring, and taking each limit away by itself")
    spring = spring_advice(own, allowed)
    fitted = None if spring is None else (spring.chosen or spring.fitted).rating
    drive = drive_of(field, held)
    prediction = _prediction(knock, chosen, target, settings, build)
    binding = tuple(str(name) for name in held.binding)

    return Plan(
        name=build.name,
        speeds=chosen,
        prediction=prediction,
        step=STEP,
        target=target,
        ceiling=held.pressure,
        floor=field.floor,
        spool=field.spool,
        binding=binding,
        binding_day=tuple(_day_name(field.benches[day]) for day in held.day),
        margin=1.0 - field.verdict(target).use,
        days=_days(field, target, fitted),
        knock=knock.rule,
        risk=None if lowered is None else lowered.risk,
        bands={} if lowered is None else lowered.bands,
        spring=spring,
        duty={} if fitted is None else duties(own, fitted, allowed),
        holds=floor_holds(field, held, fine, fine_held),
        releases=releases_of(field, drive),
        parts=parts_of(
            build, build["plan"].records("parts"), _fields(chosen, days), drive, share.part(0.8, 1.0)
        ),
        wanted=shortfalls_of(build, chosen, target, prediction["torque"], binding),
        remarks=_remarks(field, target, held),
        settings=tuple(settings),
    )


def _without_target(build: Build) -> Build:
    """The build asked for no boost of its own: hoses on, solenoid dead, so that only the plan's target counts."""
    gate = build["wastegate"].text("kind") != "none"
    return with_settings(
        build,
        [
            "boost_control.target=",
            f"prediction.mode={'spring' if gate else 'gate-shut'}",
            "boost_control.fixed_duty=0",
            "boost_control.signal_hose=connected",
        ],
    )


def _fields(speeds: Array, days: Sequence[DayOfPlan]) -> Callable[[Build], Field]:
    """What makes the field of another build at the same speeds and on the same days."""

    def make(other: Build) -> Field:
        again = knock_plan(_without_target(other), cards_of(other)["fuel"])
        return field_of(again.build, speeds, days, again.ends)

    return make


def _some(held: Held, places: NDArray[np.intp]) -> Held:
    return Held(held.pressure[places], held.binding[places], held.limit[places], held.day[places])


def _under(speeds: Array, held: Held, at: Array, fine: Field, fine_held: Held) -> Array:
    """The table under the ceiling, asked once more at and between its breakpoints on every day until all are inside."""
    target = table_under(speeds, held.pressure, at, fine_held.pressure, STEP)
    while True:
        lines = between(speeds, target, at)
        asked = np.flatnonzero(np.isfinite(lines) & np.isfinite(fine_held.pressure))
        if not asked.size:
            return target
        use = judge(fine.benches, lines[asked], asked).worst().use
        over = at[asked[use > ON_THE_LIMIT]]
        if not over.size:
            return target
        for speed in over:
            right = min(int(np.searchsorted(speeds, speed)), speeds.size - 1)
            target[max(right - 1, 0) : right + 1] -= STEP
        target[target < fine.ladder[0] - STEP] = np.nan


def _lowered(
    knock: KnockPlan,
    speeds: Array,
    target: Array,
    build: Build,
    samples: int | None,
    seed: int | None,
    share: Share,
) -> Lowered | None:
    """The table brought down to the stated risk; None where nothing is drawn."""
    section = build["plan"]
    count = section.integer("samples") if samples is None else samples
    start = section.integer("seed") if seed is None else seed
    if count == 0 or not np.isfinite(target).any():
        return None
    bench = bench_of(knock.build, speeds)
    return lowered_to_risk(bench, speeds, target, step=STEP, samples=count, seed=start, share=share)


def _day_name(bench: Bench) -> str:
    """A day, and the spark's end of the knock band where it is the other one."""
    return f"{bench.name}, early spark" if bench.variant == "early" else bench.name


def _with_table(build: Build, speeds: Array, target: Array, ambient: float) -> Build:
    """The build with a table as its boost target, past the checks of a file; where there is none, the floor."""
    values = np.where(np.isfinite(target), target, ambient)
    curve = Curve(tuple(float(s) for s in speeds), tuple(float(v) for v in values), "absolute")
    parameter = boost_control.SECTION.find("target")
    control, mode = build["boost_control"], build["prediction"]
    value = Value(parameter, "the plan's table", "set", curve=curve, basis="absolute")
    asked = replace(mode.values["mode"], text="target")
    return replace(
        build,
        sections={
            **build.sections,
            "boost_control": replace(control, values={**control.values, "target": value}),
            "prediction": replace(mode, values={**mode.values, "mode": asked}),
        },
    )


def _prediction(
    knock: KnockPlan, speeds: Array, target: Array, settings: Sequence[str], build: Build
) -> Prediction:
    """The own day with the table held, the spark as the plan's figures have it."""
    ambient = build["ambient"].si("pressure")
    held = _with_table(knock.build, speeds, target, ambient)
    variant, change = knock.ends[0]
    found = predict_build(
        held,
        speeds=list(speeds),
        settings=settings,
        change=lambda problem: change(_held_by_target(problem)),
    )
    used = tuple((d.key, d.value, d.status) for d in build.defaults_used if d.key.startswith("plan."))
    found = replace(found, defaults_used=found.defaults_used + used, warnings=tuple(map(str, build.warnings)))
    beside = _BESIDE_THE_BAND if variant else ()
    quantities = {
        name: replace(v, values=np.full(v.values.shape, np.nan))
        if name in (*beside, *_OF_THE_ACTUATOR)
        else v
        for name, v in found.quantities.items()
    }
    remarks = tuple(_with_spark(remark, variant) for remark in found.remarks if remark.code != "knock-band")
    return replace(found, quantities=quantities, remarks=remarks)


def _with_spark(remark: Remark, variant: str) -> Remark:
    """A threshold with the end of the knock band it belongs to: a later spark heats the turbine more."""
    if remark.code != "threshold" or not variant:
        return remark
    return replace(remark, message=f"{remark.message}; with the spark at the {variant} end of the knock band")


def _held_by_target(problem: Problem) -> Problem:
    """The gate free where a target is held; what is asked of gate and spring besides keeps its actuator."""
    return free_actuator(problem) if int(problem.points["mode"][0]) == TARGET else problem


def _values(q: Mapping[str, Array]) -> dict[str, Values]:
    return {
        name: Values(name, unit, q[name], words, basis)
        for name, (unit, words, basis) in QUANTITIES.items()
        if name in q and name not in (*_BESIDE_THE_BAND, *_OF_THE_ACTUATOR)
    }


def _days(field: Field, target: Array, rating: float | None) -> tuple[PlanDay, ...]:
    """The table on every day, both ends of the knock band judged together."""
    low = np.where(np.isfinite(target), target, field.ladder[0])
    every = np.arange(field.speeds.size)
    found = []
    for name in dict.fromkeys(bench.name for bench in field.benches):
        same = [bench for bench in field.benches if bench.name == name]
        judgement = judge(same, low, every)
        verdict = judgement.worst()
        bench = same[0]
        limits: tuple[Limit, ...] = tuple(x for x in judgement.own.limits if bench.judged(x))
        nothing = np.full(low.shape, np.nan)
        found.append(
            PlanDay(
                name=name,
                words=bench.words,
                settings=bench.settings,
                spike=bench.spike,
                pressure_amb=bench.problem.ambient.pressure,
                quantities=_values(judgement.own.q),
                limits=limits,
                worst=tuple(str(limit) for limit in verdict.limit),
                worst_use=verdict.use,
                spring_boost=nothing if rating is None else spring_boost(bench, rating),
            )
        )
    return tuple(found)


def _remarks(field: Field, target: Array, held: Held) -> tuple[Remark, ...]:
    """What must be known of the plan as a whole."""
    found = []
    early = next((bench for bench in field.benches if bench.variant == "early"), None)
    known = np.flatnonzero(np.isfinite(target))
    if early is not None and known.size:
        q = [bench.ask(target[known], known).q["torque"] for bench in (field.benches[0], early)]
        late, soon = (float(np.nanmax(torque)) for torque in q)
        message = (
            f"knock: with the same table the engine gives at most {late:.0f} Nm at the late end of the band and "
            f"{soon:.0f} Nm at the early one; which of them is yours only a knock-limited point tells"
        )
        found.append(Remark("plan-knock-band", message, soon - late, "Nm", "model"))
    lost = int(np.count_nonzero(held.binding == CREEP_FLOOR))
    if lost:
        message = f"creep: at {lost} of {field.speeds.size} speeds the gate, fully open, is outside a limit"
        found.append(Remark("plan-creep", message, float(lost), "1", "model"))
    return tuple(found)
