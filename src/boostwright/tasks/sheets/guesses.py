"""The guesses that matter: which doubts move threshold, power and drive pressure most, by sampling."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.build import Build
from boostwright.build.build import Curve
from boostwright.solve.uncertainty.contributors import SharesOfVariance
from boostwright.solve.uncertainty.doubts import Doubt
from boostwright.solve.uncertainty.sampled import sampled
from boostwright.tasks.known_curve import filling_of_known_curve
from boostwright.tasks.plan_result import Plan
from boostwright.tasks.ready import cards_of
from boostwright.tasks.sheets.facts import spring_of, with_table
from boostwright.tasks.sheets.order_sheet import Guess

__all__ = ["SAMPLES", "guesses_of"]

Array = NDArray[np.float64]

SAMPLES = 600
"""How many draws the ranking takes; shares are then known to a few hundredths."""

_SEED = 1
_LEAST = 0.03  # share of the variance that is worth a line


def guesses_of(build: Build, plan: Plan) -> tuple[Guess, ...]:
    """The doubts of a build by the largest share they have in one answer, largest first; none without a table.

    The answers are the threshold, the power with the plan's table at the speed of most power, and the drive-pressure
    ratio at the highest speed.
    """
    there = np.isfinite(plan.target)
    if np.count_nonzero(there) < 2:
        return ()
    table = Curve(tuple(plan.speeds[there].tolist()), tuple(plan.target[there].tolist()), "absolute")
    held = with_table(build, (), table, "target", spring_of(plan))
    cards = cards_of(held)
    most = int(np.nanargmax(np.where(there, plan["power"], -np.inf)))
    top = int(np.flatnonzero(there)[-1])
    speeds = plan.speeds[sorted({most, top})]
    found = sampled(
        held,
        cards,
        speeds,
        "target",
        filling_of_known_curve(held, cards, speeds),
        samples=SAMPLES,
        seed=_SEED,
        only=("power", "drive_pressure_ratio"),
        with_thresholds=True,
    )
    at = {place: index for index, place in enumerate(sorted({most, top}))}
    rpm = plan.speeds * 30.0 / np.pi
    answers: dict[str, Array] = {
        f"power at {rpm[most]:.0f} rpm": found.quantities["power"][:, at[most]],
        f"drive-pressure ratio at {rpm[top]:.0f} rpm": found.quantities["drive_pressure_ratio"][:, at[top]],
    }
    if found.thresholds is not None:
        answers = {"threshold": found.thresholds, **answers}
    return _ranked(found.doubts, found.shifts, answers)


def _ranked(doubts: tuple[Doubt, ...], shifts: Array, answers: dict[str, Array]) -> tuple[Guess, ...]:
    variance = SharesOfVariance(shifts)
    shares = {name: np.nan_to_num(variance.of(answer).shares) for name, answer in answers.items()}
    together = np.array(list(shares.values()))
    order = np.argsort(-together.max(axis=0))
    guesses = []
    for index in order:
        if together[:, index].max() < _LEAST:
            break
        doubt = doubts[index]
        moves = [
            f"{100 * share[index]:.0f} % of {name}"
            for name, share in shares.items()
            if share[index] >= _LEAST
        ]
        value = f"{doubt.nominal}{',' if ' to ' in doubt.band else ''} {doubt.band}".strip()
        guesses.append(
            Guess(doubt.name if doubt.key else doubt.words, value, ", ".join(moves), doubt.measure)
        )
    return tuple(guesses)
