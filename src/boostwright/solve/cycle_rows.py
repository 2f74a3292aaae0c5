"""From the table of closed cycles to what each point carries: its polynomials, and the rule that sets its phasing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Section
from boostwright.components.closed_cycle import CycleModel
from boostwright.components.cycle_table import COLUMNS, HEADER, TERMS_OF_FOUR, CycleTable
from boostwright.components.fuel import BurnedMixture
from boostwright.numerics.graded_order import GRADED, GRADED_ORDER
from boostwright.physics.cylinder import burn
from boostwright.physics.gas import exhaust
from boostwright.solve.kernel.layout import KNOCK_LIMIT, PHASING, SPARK_ANGLE

__all__ = ["Spark", "cycle_fields_of", "cycle_rows", "heat_of_the_day", "spark_of"]

Array = NDArray[np.float64]
_HEAT = 9  # place of the heat per kilogram of air and fuel in the head of a row
_WHERE = {tuple(degrees): n for n, degrees in enumerate(TERMS_OF_FOUR.tolist())}
_PLACES = np.array([n for n, degrees in enumerate(GRADED_ORDER) if degrees is not None])
_FROM = np.array([_WHERE[degrees] for degrees in GRADED_ORDER if degrees is not None])
_ENERGIES = ("work_share", "wall_share", "temperature_opening")


@dataclass(frozen=True)
class Spark:
    """How the phasing is set.

    set_by      'knock-limit', 'phasing', 'best-torque' or 'advance'
    phasing     (n,) [rad] best CA50, or the cap where that is later; for 'advance' CA50 at no burn duration
    limit       (n,) for 'advance' burn progress at half burned, for 'knock-limit' the knock integral allowed
    best        (n,) [rad] CA50 of best torque
    """

    set_by: str
    phasing: Array
    limit: Array
    best: Array


def cycle_rows(table: CycleTable, speeds: Array, burned: BurnedMixture) -> Array:
    """Rows (n, m) of the table at engine speeds (n,) [rad/s], for the mixture of the day."""
    rows = table.rows(speeds, burned.lambda_value)
    heat_of_the_day(rows, table, burned)
    return rows


def heat_of_the_day(rows: Array, table: CycleTable, burned: BurnedMixture) -> None:
    """Heat set free per kilogram of charge in the day's air, in place on rows (n, m) fresh from the table.

    The table knows air of one humidity; in another a kilogram of charge carries another share of fuel, and sets free
    that much more or less.
    """
    fuel = table.model.fuel
    per_fuel = exhaust.exhaust_per_fuel_mass(
        burned.lambda_value, fuel.stoichiometric_ratio, table.model.air.humidity_ratio
    )
    rows[:, _HEAT] *= (
        burned.fuel_air_ratio / (1.0 + burned.fuel_air_ratio) * np.asarray(per_fuel, dtype=float)
    )


def spark_of(section: Section, model: CycleModel, speeds: Array) -> Spark:
    """Rule of the [spark] section at the engine speeds (n,) [rad/s]."""
    best = np.full(speeds.shape, section.si("best_phasing"))
    set_by = _rule(section, model)
    none = np.zeros(speeds.shape)
    if set_by == "advance":
        advance = section.curve("advance").along(speeds)
        law = model.burn
        half = float(burn.burn_progress_wiebe(0.5, law.wiebe_factor, law.wiebe_exponent))
        return Spark(set_by, section.si("ignition_delay") - advance, np.full(speeds.shape, half), best)
    if set_by == "phasing":
        cap = section.curve("phasing").along(speeds)
        return Spark(set_by, np.maximum(cap, best), none, best)
    if set_by == "best-torque":
        return Spark(set_by, best, none, best)
    return Spark(set_by, best, np.full(speeds.shape, 1.0 / section.si("knock_multiplier")), best)


def _rule(section: Section, model: CycleModel) -> str:
    """What sets the phasing: what the build says, else the knock limit where knock can be predicted."""
    predicted = model.fuel.octane_number > 0.0
    if not section.has("set_by"):
        return "knock-limit" if predicted else "phasing"
    return section.text("set_by")


def cycle_fields_of(rows: Array, spark: Spark, into: Array | None = None) -> dict[str, float | Array]:
    """Point fields: the rows' polynomials of work, wall heat and temperature, and the one that sets the phasing.

    into  (n, 368) zeros to write the polynomials into; None takes new memory
    """
    form = {"advance": SPARK_ANGLE, "knock-limit": KNOCK_LIMIT}.get(spark.set_by, PHASING)
    limiter = "burn_duration" if form == SPARK_ANGLE else "log_knock_integral"
    wanted = [COLUMNS.index(name) for name in (*_ENERGIES, limiter)]
    own = np.zeros((len(rows), HEADER + len(wanted) * GRADED)) if into is None else into
    own[:, :HEADER] = rows[:, :HEADER]
    for k, column in enumerate(wanted):
        own[:, HEADER + k * GRADED + _PLACES] = rows[:, HEADER + column * len(TERMS_OF_FOUR) + _FROM]
    limit = spark.limit
    if form == KNOCK_LIMIT:
        limit = np.log(spark.limit / rows[:, 10])
    return {
        "cycle": own,
        "spark_form": float(form),
        "phasing": spark.phasing,
        "spark_limit": limit,
    }
