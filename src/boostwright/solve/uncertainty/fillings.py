"""The known curve of every sample turned back into filling by that sample's own engine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from boostwright.build import with_settings
from boostwright.components.breathing import Filling
from boostwright.components.known_curve import (
    NoVolumetricEfficiency,
    crank_torque,
    invert_known_curve,
    settings_of_known_curve,
)
from boostwright.solve.quantities import quantities_of
from boostwright.solve.run import solve
from boostwright.solve.uncertainty.assembling import Assembler
from boostwright.solve.uncertainty.doubts import Doubt
from boostwright.solve.uncertainty.shifted import flat_build

__all__ = ["Filled", "Fillings"]

Array = NDArray[np.float64]

_NO_SHAFT = 1.0  # rad/s: there is no turbo whose speed could be near a limit
_INSIDE = 1e-6  # of the torque: how far inside the ends a point without an answer is put
# What the engine of the curve was like, key of [breathing] -> keys it stands at while the curve is turned back.
_OLD = {
    "known_curve_lambda": (("fuel", "lambda_target"),),
    "known_intake_pressure_drop": (("intake", "pressure_drop"),),
    "known_exhaust_pressure_drop": (("exhaust", "pressure_drop"),),
    "known_gas_flow": (("intake", "at_mass_flow"), ("exhaust", "at_mass_flow")),
    "known_exhaust_temperature": (("exhaust", "at_temperature"),),
    "known_curve_pressure": (("ambient", "pressure"),),
    "known_curve_temperature": (("ambient", "temperature"),),
    "known_curve_humidity": (("ambient", "relative_humidity"),),
}
_OF_TODAY = (
    "ambient",
    "intake",
    "exhaust",
    "charge_cooler",
    "compressor",
    "turbine",
    "wastegate",
    "boost_control",
)


@dataclass(frozen=True)
class Filled:
    """What a few samples were turned back into.

    fillings  one a sample; None where the build's source is another
    missed    (samples, speeds) True where no volumetric efficiency gives the curve; None where there is no curve
    """

    fillings: Sequence[Filling | None] | None
    missed: NDArray[np.bool_] | None


class Fillings:
    """Turns the known curve back, sample by sample; does nothing for another source of breathing."""

    def __init__(self, maker: Assembler) -> None:
        """From the assembler of the samples, whose build and doubts are taken."""
        self._maker = maker
        self._curve = maker.build["breathing"].text("source") == "known-curve"
        if not self._curve:
            return
        build = maker.build
        curve = build["breathing"].curve(
            "known_power" if build["breathing"].has("known_power") else "known_torque"
        )
        own = () if curve.is_constant else curve.speed_points
        self._speeds = np.unique(np.concatenate([maker.speeds, np.asarray(own, dtype=float)]))
        old = with_settings(build, settings_of_known_curve(build))
        doubts, self._columns = _of_the_old_engine(maker.doubts)
        self._old = Assembler(old, maker.cards, self._speeds, "no-turbo", None, doubts)

    def of(self, shifts: Array) -> Filled:
        """Fillings of samples with shifts (k, doubts) [-]."""
        if not self._curve:
            return Filled(None, None)
        k, n = len(shifts), self._speeds.size
        own = shifts[:, self._columns]
        problem = self._old.problem(own)
        build = flat_build(self._old.build, self._old.doubts, own, n)
        torque = np.concatenate([crank_torque(self._maker.sample_build(row), self._speeds) for row in shifts])

        def state(efficiency: Array) -> dict[str, Array]:
            points = problem.points.copy()
            points["volumetric_efficiency"] = efficiency
            these = replace(problem, points=points)
            return quantities_of(build, these, solve(these), _NO_SHAFT)

        efficiency, missed = _inverted(lambda at: state(at)["torque"], torque)
        found = state(efficiency)
        ratio = found["pressure_em"] / found["pressure_im"]
        cut = [
            values.reshape(k, n)
            for values in (found["volumetric_efficiency"], ratio, found["temperature_im"])
        ]
        fillings = [Filling(self._speeds, a, b, c) for a, b, c in zip(*cut, strict=True)]
        asked = np.searchsorted(self._speeds, self._maker.speeds)
        return Filled(fillings, missed.reshape(k, n)[:, asked])


def _inverted(torque_at: object, torque: Array) -> tuple[Array, NDArray[np.bool_]]:
    """Volumetric efficiencies, and where there are none: there the nearest end stands in."""
    missed = np.zeros(torque.shape, dtype=bool)
    asked = torque.copy()
    while True:
        try:
            return invert_known_curve(torque_at, asked), missed  # type: ignore[arg-type]
        except NoVolumetricEfficiency as error:
            low, high = error.torque_at_lowest, error.torque_at_highest
            new = error.missed & ~missed
            if not new.any() or not (np.isfinite(low[new]).all() and np.isfinite(high[new]).all()):
                raise
            missed |= new
            span = high - low
            asked[new] = np.clip(asked, low + _INSIDE * span, high - _INSIDE * span)[new]


def _of_the_old_engine(doubts: Sequence[Doubt]) -> tuple[list[Doubt], list[int]]:
    """Doubts that act on the engine of the curve, named as they stand there, and their columns."""
    found: list[Doubt] = []
    columns: list[int] = []
    for column, doubt in enumerate(doubts):
        if doubt.key is None:
            found.append(doubt)
            columns.append(column)
            continue
        section, key = doubt.key
        for place in _OLD.get(key, ()) if section == "breathing" else ():
            found.append(replace(doubt, name=".".join(place)))
            columns.append(column)
        if (
            section not in _OF_TODAY
            and (section, key) != ("fuel", "lambda_target")
            and section != "breathing"
        ):
            found.append(doubt)
            columns.append(column)
        if section == "breathing" and not key.startswith("known_"):
            found.append(doubt)
            columns.append(column)
    return found, columns
