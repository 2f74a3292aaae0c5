"""Live: the answer to a change while it is being dragged, in milliseconds, with the numbers of ``predict``.

What takes long and can wait is left to ``predict``: the threshold with its band, the knee of the gate, the band of
knock, figures in a reference atmosphere.
"""

from __future__ import annotations

import contextlib
import threading
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build, read_build
from boostwright.errors import BuildError, Fault, FaultyInput
from boostwright.numerics.precedence import first
from boostwright.solve.cycle_store import cycle_table
from boostwright.solve.limits import binding_limits, limits_of
from boostwright.solve.operating_point import Limit, Outcome
from boostwright.solve.outcomes import outcomes_of
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve
from boostwright.tasks.beside import beside_all
from boostwright.tasks.cards_here import cards_stamp
from boostwright.tasks.edit_build import read_stamped
from boostwright.tasks.form import settings_of
from boostwright.tasks.fuel_figures import fuel_system_figures
from boostwright.tasks.live_base import Assembled, LiveBase
from boostwright.tasks.own_limits import refuse_own_limits
from boostwright.tasks.power_figures import wheel_figures
from boostwright.tasks.probe_figures import probe_figures
from boostwright.tasks.ready import speed_limit_of
from boostwright.tasks.rod_figures import rod_figures
from boostwright.tasks.runner_figures import runner_figures

__all__ = ["MOST_SPEEDS", "Live", "LiveBench", "speeds_refused"]

Array = NDArray[np.float64]
MOST_SPEEDS = 200
_KEPT = 4


@dataclass(frozen=True)
class Live:
    """What a change comes to, SI, one entry a speed; as ``Prediction`` has it.

    quantities  name -> (n,); NaN where there is no steady state
    figures     highest torque and power with their speeds, and the like; nan where there is none
    """

    mode: str
    speeds: Array
    quantities: Mapping[str, Array]
    outcomes: tuple[Outcome, ...]
    binding: tuple[str, ...]
    limits: tuple[Limit, ...]
    figures: Mapping[str, float]
    warnings: tuple[Fault, ...]


class LiveBench:
    """Holds builds ready, and answers one question at a time; threads may share it."""

    def __init__(self) -> None:
        """Nothing is read yet."""
        self._lock = threading.Lock()
        self._bases: dict[tuple[object, ...], LiveBase] = {}

    def answer(
        self,
        folder: Path,
        changes: Mapping[str, str | None],
        speeds: Sequence[float] | None = None,
        *,
        rough: bool = False,
    ) -> Live:
        """The build in a folder with changes laid over it.

        changes  dotted key -> text as it would stand in the file without quotes; None takes the key out
        speeds   engine speeds [rad/s], rising; None takes the build's
        rough    True while a hand moves: a key that changes the closed cycle is answered by a table near the one of the
                 build as it stands, in a few milliseconds; what it is off by is about that table's own error
        Raises BuildError or CardError with every fault found, and nothing on disk is changed.
        """
        settings = settings_of(changes)
        chosen = None if speeds is None else np.array(speeds, dtype=float)
        if chosen is not None and (fault := speeds_refused(chosen)):
            raise BuildError([fault])
        with first() if rough else contextlib.nullcontext(), self._lock:
            return _judged(self._base(folder, settings, chosen, rough))

    def prepare(
        self, folder: Path, changes: Mapping[str, str | None], speeds: Sequence[float] | None = None
    ) -> None:
        """Make what the exact answer would wait for, so that no newer change has to wait for it; see ``answer``.

        Another thread is answered meanwhile: what takes long is the table of closed cycles, and it is made unlocked.
        """
        settings = settings_of(changes)
        chosen = None if speeds is None else np.array(speeds, dtype=float)
        if chosen is not None and speeds_refused(chosen):
            return
        with contextlib.suppress(FaultyInput):  # whoever asks for the answer is told
            with self._lock:
                table = self._base(folder, settings, chosen, True).problem.cycle
            cycle_table(table.model, table.box, measured=False)

    def prime(self) -> None:
        """Work out what the first change of the closed cycle would wait for, without keeping others waiting."""
        with self._lock:
            bases = list(self._bases.values())
        for base in bases:
            base.prime()

    def renew(self) -> None:
        """Make bases anew that have seen many changes, and prime new ones; for a moment in which nobody drags."""
        with self._lock:
            for key, base in list(self._bases.items()):
                if base.tired:
                    self._bases[key] = LiveBase(base.build, base.speeds)
        self.prime()

    def _base(self, folder: Path, settings: Sequence[str], speeds: Array | None, rough: bool) -> Assembled:
        """The change, assembled on the base of the file as it now is."""
        _, stamp = read_stamped(folder)
        held = (str(folder), stamp, cards_stamp(folder))
        of_speeds = () if speeds is None else tuple(speeds.tolist())
        # speeds that the changes themselves choose make a base of their own, and so does a file that they mend
        own = tuple(s for s in settings if s.startswith("prediction.speeds")) if speeds is None else ()
        base = self._bases.get((held, of_speeds, own))
        if base is None or base.worn:
            base = self._made(folder, settings, speeds, (held, of_speeds, own))
            if base is None:
                mended = read_build(folder, settings)
                return LiveBase(mended, _speeds(mended, speeds)).assembled(())
        return base.assembled(settings, rough)

    def _made(
        self, folder: Path, settings: Sequence[str], speeds: Array | None, key: tuple[object, ...]
    ) -> LiveBase | None:
        """A base of the file as it stands; None where it has faults, which the changes may mend."""
        own = [s for s in settings if s.startswith("prediction.speeds")] if speeds is None else []
        try:
            build = read_build(folder, own)
            base = LiveBase(build, _speeds(build, speeds))
        except BuildError:
            return None
        self._bases.pop(key, None)
        while len(self._bases) >= _KEPT:
            self._bases.pop(next(iter(self._bases)))
        self._bases[key] = base
        return base


def speeds_refused(speeds: Array) -> Fault | None:
    """What is wrong with engine speeds (n,) [rad/s]; None where nothing is."""
    if not 1 <= speeds.size <= MOST_SPEEDS:
        return Fault("", "speeds", str(speeds.size), "is no number of speeds.", f"1 to {MOST_SPEEDS}")
    if not np.all(np.isfinite(speeds)) or speeds[0] < 10.0 or speeds[-1] > 3000.0:
        return Fault("", "speeds", "", "reaches beyond any engine.", "10 to 3000 rad/s")
    if np.any(np.diff(speeds) <= 0.0):
        return Fault("", "speeds", "", "does not rise.", "every speed above the one before")
    return None


def _speeds(build: Build, speeds: Array | None) -> Array:
    return np.array(build["prediction"].speeds("speeds"), dtype=float) if speeds is None else speeds


def _judged(made: Assembled) -> Live:
    """Solved, and laid against its limits."""
    build, problem, mode = made.build, made.problem, made.mode
    _refuse_missing_target(build, mode)
    refuse_own_limits(build)
    states = solve(problem)
    limit, source = speed_limit_of(build, made.cards, problem)
    outcomes = outcomes_of(problem, states, limit)
    q = quantities_of(build, problem, states, limit)
    beside = beside_all(
        wheel_figures(build, q),
        fuel_system_figures(build, made.cards["fuel"], q),
        rod_figures(build, problem, q),
        probe_figures(build, q),
        runner_figures(build, made.cards["fuel"], problem, q),
    )
    q |= beside.quantities
    limits = limits_of(build, q, problem.compressor.speed_lowest_measured, limit, source) + beside.limits
    return Live(
        mode=mode,
        speeds=problem.speeds,
        quantities=q,
        outcomes=outcomes,
        binding=binding_limits(mode, states, problem.points, limits, outcomes),
        limits=limits,
        figures=_figures(q),
        warnings=build.warnings,
    )


def _refuse_missing_target(build: Build, mode: str) -> None:
    if mode == "target" and not build["boost_control"].has("target"):
        remedy = "Add boost_control.target or choose another mode."
        raise BuildError(
            [Fault("", "prediction.mode", "target", "There is no boost target to hold.", "", remedy)]
        )


def _figures(q: Mapping[str, Array]) -> dict[str, float]:
    """The heads of the curves."""
    found: dict[str, float] = {}
    for name in ("torque", "power", "boost", "drive_pressure_ratio", "egt_reading", "shaft_speed"):
        values = q.get(name)
        if values is None or not np.isfinite(values).any():
            found[f"peak_{name}"] = found[f"peak_{name}_speed"] = float("nan")
            continue
        at = int(np.nanargmax(values))
        found[f"peak_{name}"] = float(values[at])
        found[f"peak_{name}_speed"] = float(q["engine_speed"][at])
    return found
