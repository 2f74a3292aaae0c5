"""What can hold boost where the gate, fully open, still gives more than the limits allow; each way by the model."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.components.wastegate import wastegate_fields
from boostwright.solve.kernel.layout import GATE_OPEN, PHASING
from boostwright.solve.plan_ceiling import ON_THE_LIMIT
from boostwright.tasks.plan_bench import Answer, Bench, Prepare, judge
from boostwright.tasks.plan_field import CREEP_FLOOR, Field, Held
from boostwright.tasks.plan_result import FloorHold
from boostwright.tasks.plan_spring import with_number

__all__ = ["floor_holds"]

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

SHOWN = (
    "torque",
    "power",
    "pressure_im",
    "pressure_em",
    "drive_pressure_ratio",
    "egt_reading",
    "temperature_em",
)
"""What each way costs is told in these quantities."""

_OPENINGS = np.geomspace(1.0, 0.04, 49)  # of the throttle's area
_LATER = np.radians(np.arange(0.0, 31.0, 1.0))
_VALVES = (38e-3, 40e-3, 44e-3, 46e-3, 50e-3, 60e-3)  # m: poppet gates as they are sold, common practice
_LARGER = (1.1, 1.2, 1.3, 1.45, 1.6)  # of the hole under a flap, own choice
_ANGLES = np.radians([120.0, 90.0, 60.0, 45.0, 30.0, 20.0])
_RPM = 30.0 / np.pi


def floor_holds(field: Field, held: Held, fine: Field, fine_held: Held) -> tuple[FloorHold, ...]:
    """Every way, at the speeds of the plan where the floor is outside a limit; none where it is nowhere.

    fine, fine_held  the same at finer speeds, for the engine speed up to which the gate is enough
    """
    which = np.flatnonzero(held.binding == CREEP_FLOOR)
    if not which.size:
        return ()
    binding = tuple(str(name) for name in held.limit[which])
    case = _Case(field, which, binding)
    found = [case.throttle(), case.spark(), case.speed_limit(fine, fine_held)]
    if field.benches[0].build["wastegate"].text("kind") != "none":
        found += [case.gate(), case.takeoff()]
    return tuple(one for one in found if one is not None)


def _open_gate(prepare: Prepare | None) -> Prepare:
    """The gate fully open, whatever else is written into the points."""

    def written(points: NDArray[np.void]) -> None:
        points["mode"] = GATE_OPEN
        if prepare is not None:
            prepare(points)

    return written


def _inside(use: Array, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    return np.asarray(use.reshape(shape) <= ON_THE_LIMIT, dtype=bool)


class _Case:
    """The speeds where the floor is too high, and what is asked of them again and again."""

    def __init__(self, field: Field, which: Indices, binding: tuple[str, ...]) -> None:
        self.field = field
        self.which = which
        self.binding = binding
        self.speeds = field.speeds[which]
        self.before = self._shown(self._ask(field.benches[0], None))

    def _ask(self, bench: Bench, prepare: Prepare | None) -> Answer:
        return bench.ask(np.zeros(self.which.size), self.which, prepare=_open_gate(prepare))

    def _shown(self, answer: Answer) -> dict[str, Array]:
        return {name: np.asarray(answer.q[name], dtype=float) for name in SHOWN}

    def _first_that_holds(
        self, settings: Array, write: Callable[[NDArray[np.void], Array], None], benches: Sequence[Bench]
    ) -> tuple[Array, NDArray[np.bool_], tuple[str, ...]]:
        """Of settings (k,) or (k, m) in the order of preference the first (m,) inside every limit; where none is, the
        first that cures what the floor exceeds, else the last, with the limit that is then in its way."""
        m = self.which.size
        table = np.broadcast_to(settings[:, None] if settings.ndim == 1 else settings, (settings.shape[0], m))

        def prepare(points: NDArray[np.void]) -> None:
            write(points, table.ravel())

        points = np.tile(self.which, table.shape[0])
        judgement = judge(benches, np.zeros(table.size), points, _open_gate(prepare))
        verdict = judgement.worst()
        others = frozenset(name for names in judgement.names for name in names) - set(self.binding)
        inside = _inside(verdict.use, table.shape)
        cured = _inside(judgement.worst(others).use, table.shape)
        holds = np.asarray(inside.any(axis=0), dtype=bool)
        nearest = np.where(cured.any(axis=0), cured.argmax(axis=0), table.shape[0] - 1)
        chosen = np.where(holds, inside.argmax(axis=0), nearest)
        at = np.arange(m)
        names = verdict.limit.reshape(table.shape)[chosen, at]
        picked = np.asarray(table[chosen, at], dtype=float)
        return picked, holds, tuple("" if ok else str(n) for ok, n in zip(holds, names, strict=True))

    def _made(
        self,
        way: str,
        words: str,
        unit: str,
        found: tuple[Array, NDArray[np.bool_], tuple[str, ...]],
        after: Mapping[str, Array],
    ) -> FloorHold:
        setting, holds, still = found
        return FloorHold(
            way, words, unit, self.speeds, self.binding, holds, setting, self.before, after, still
        )

    def throttle(self) -> FloorHold:
        """The throttle closed until the intake manifold is inside; the gate stays open."""

        def write(points: NDArray[np.void], share: Array) -> None:
            points["throttle_loss"] /= share**2

        found = self._first_that_holds(_OPENINGS, write, self.field.benches)
        after = self._shown(self._ask(self.field.benches[0], lambda points: write(points, found[0])))
        words = f"throttle closed to {100.0 * found[0].min():.0f} % of its area wide open, where it is most"
        return self._made("throttle", words, "1", found, after)

    def spark(self) -> FloorHold:
        """The spark later, from where it stands on the own day to the latest that the table of cycles knows."""
        own = self._ask(self.field.benches[0], None)
        latest = self.field.benches[0].problem.cycle.box.angle_half_burned[1]
        now = own.q["angle_half_burned"]
        now = np.where(np.isfinite(now), now, self.field.benches[0].problem.spark.best[self.which])
        angles = np.minimum(now[None, :] + _LATER[:, None], latest)

        def write(points: NDArray[np.void], angle: Array) -> None:
            points["spark_form"] = float(PHASING)
            points["phasing"] = angle

        found = self._first_that_holds(angles, write, self.field.benches)
        after = self._shown(self._ask(self.field.benches[0], lambda points: write(points, found[0])))
        words = f"spark later, CA50 up to {np.degrees(found[0].max()):.0f} deg"
        return self._made("spark", words, "rad", found, after)

    def speed_limit(self, fine: Field, fine_held: Held) -> FloorHold | None:
        """The engine kept below the first speed at which the floor is too high; helps where it is too high from there
        to the top."""
        bad = np.flatnonzero(~np.isfinite(fine_held.pressure))
        if not bad.size or bad[0] == 0:
            return None
        first = int(bad[0])
        speed = float(fine.speeds[first - 1])
        at = np.full(self.which.size, first - 1)
        answer = fine.benches[0].ask(np.where(np.isfinite(p := fine_held.pressure[at]), p, 0.0), at)
        holds = self.speeds > speed
        words = f"engine speed limited to {speed * _RPM:.0f} rpm"
        found = (np.full(self.which.size, speed), holds, tuple("" for _ in self.binding))
        return self._made("speed-limit", words, "rad/s", found, self._shown(answer))

    def gate(self) -> FloorHold | None:
        """A larger valve, its branch as wide and its lift in proportion."""
        build = self.field.benches[0].build
        section = build["wastegate"]
        valve = section.si("valve_diameter")
        collector = build["exhaust_manifold"].si("collector_bore")
        poppet = section.text("kind") == "poppet"
        sizes = [size for size in _VALVES if size > valve] if poppet else [valve * by for by in _LARGER]
        sizes = [size for size in sizes if size <= collector]
        if not sizes:
            return None

        def changed(size: float) -> Build:
            other = with_number(build, "wastegate", "valve_diameter", size)
            lift = section.si("full_lift") * size / valve
            other = with_number(other, "wastegate", "full_lift", lift)
            return with_number(other, "wastegate", "branch_bore", max(size, section.si("branch_bore")))

        found, after = self._of_builds([(size, changed(size)) for size in sizes])
        held = found[0][found[1]]
        words = f"valve of {1e3 * held.max():.0f} mm" if held.size else f"valve of {1e3 * max(sizes):.0f} mm"
        return self._made("gate", f"{words}, branch as wide, lift in proportion", "m", found, after)

    def takeoff(self) -> FloorHold | None:
        """A branch that leaves more in the line of flow."""
        build = self.field.benches[0].build
        section = build["wastegate"]
        if section.has("takeoff_loss"):
            return None
        angles = [float(angle) for angle in _ANGLES if angle < section.si("takeoff_angle") - 0.05]
        if not angles:
            return None
        cases = [(angle, with_number(build, "wastegate", "takeoff_angle", angle)) for angle in angles]
        found, after = self._of_builds(cases)
        held = found[0][found[1]]
        least = np.degrees(held.min()) if held.size else np.degrees(min(angles))
        return self._made("takeoff", f"branch leaving at {least:.0f} degrees", "rad", found, after)

    def _of_builds(
        self, cases: Sequence[tuple[float, Build]]
    ) -> tuple[tuple[Array, NDArray[np.bool_], tuple[str, ...]], dict[str, Array]]:
        """The first of several builds, in the order of preference, whose floor is inside at each speed.

        They differ in their gates alone, so that only the gates' fields of the points change.
        """
        settings = np.array([setting for setting, _ in cases])
        many = {setting: wastegate_fields(other) for setting, other in cases}

        def write(points: NDArray[np.void], values: Array) -> None:
            for setting, written in many.items():
                here = values == setting
                for name, value in written.items():
                    column = points[name]
                    column[here] = value
                    points[name] = column

        found = self._first_that_holds(settings, write, self.field.benches)
        after = self._shown(self._ask(self.field.benches[0], lambda points: write(points, found[0])))
        return found, after
