"""Exhaust probes of two cylinders exchanged: only the answer to something done to one cylinder can show it."""

from __future__ import annotations

from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.mapping.names import channel_of
from boostwright.logs.sensor_checks.certainty import LEAST, certainty_of_deviation
from boostwright.logs.sensor_checks.records import Evidence, SensorFault
from boostwright.logs.sensor_checks.view import LogView

__all__ = ["check_exchanged_probes", "slope_of_answers"]

Array = NDArray[np.float64]
_TITLE = "exhaust probes exchanged between cylinders"
_LATE = 2.0
_CAUSES: dict[str, tuple[float, float, str]] = {
    "knock_retard": (1.0, 0.006, "spark taken back"),
    "angle_spark": (-1.0, 0.006, "spark taken back"),
    "lambda": (1.0, 0.01, "a leaner mixture on the rich side"),
}
"""Cause by cylinder -> sign of its effect on exhaust temperature, least spread between cylinders [SI], words."""


def check_exchanged_probes(view: LogView) -> None:
    """Find two probes that each answer what is done to the other's cylinder."""
    probes = {_number(n): n for n in view.numbered("egt_reading") if _number(n)}
    if len(probes) < 2:
        return
    for cause in _CAUSES:
        causes = {_number(n): n for n in view.numbered(cause) if _number(n)}
        both = sorted(set(probes) & set(causes))
        if len(both) >= 2 and _judged(view, cause, probes, causes, both):
            return
    view.could_not(
        _TITLE,
        ("knock_retard_1 ...", "angle_spark_1 ..."),
        "steady readings cannot tell: make one cylinder at a time later or richer, log that, and see who answers",
    )


def _number(name: str) -> int:
    found = channel_of(name)
    return found[1] if found else 0


def _judged(
    view: LogView, cause: str, probes: dict[int, str], causes: dict[int, str], both: list[int]
) -> bool:
    """False where the cylinders are treated alike all along."""
    sign, least, words = _CAUSES[cause]
    good = view.running.copy()
    for n in both:
        good &= np.isfinite(view.on(probes[n]) + view.on(causes[n]))
    if cause == "lambda":
        good &= view.boosted
    if good.sum() * view.step < 20.0 or good.sum() < 100:
        return False
    done = sign * np.array([view.on(causes[n])[good] for n in both])
    done = _late(done - done.mean(axis=0), view.step)
    if np.sort(done.std(axis=1))[-2] < least:
        return False
    view.did(_TITLE)
    shown = np.array([view.on(probes[n])[good] for n in both])
    shown = shown - shown.mean(axis=0)
    answers, error = slope_of_answers(done, shown)
    for i, j in combinations(range(len(both)), 2):
        own = min(-answers[i, i], -answers[j, j])
        other = min(answers[i, j] / error[i, j], answers[j, i] / error[j, i])
        straight = max(answers[i, i] / error[i, i], answers[j, j] / error[j, j])
        crossed = other > 6.0 and straight < 0.4 * other
        if crossed:
            _say(view, (probes[both[i]], probes[both[j]]), (float(other), float(own), words), good)
    return True


def _late(values: Array, step: float) -> Array:
    """Causes as a probe of usual size follows them."""
    share = 1.0 - np.exp(-step / _LATE)
    out = np.empty_like(values)
    now = values[:, 0].copy()
    for k in range(values.shape[1]):
        now += share * (values[:, k] - now)
        out[:, k] = now
    return out


def slope_of_answers(done: Array, shown: Array) -> tuple[Array, Array]:
    """How each probe answers what is done to each cylinder, by least squares on all cylinders at once.

    done, shown  (cylinders, n) differences from the mean of all cylinders
    Returns slopes [probe, cylinder] and their standard errors: those of white scatter times 5, since neighbouring
    samples of a slow probe are not independent.
    """
    x = done - done.mean(axis=1, keepdims=True)
    y = shown - shown.mean(axis=1, keepdims=True)
    # the causes add up to zero, so the least of all solutions is taken
    inverse = np.linalg.pinv(x @ x.T)
    slopes = y @ x.T @ inverse
    rest = y - slopes @ x
    sigma = rest.std(axis=1)
    error = 5.0 * sigma[:, None] * np.sqrt(np.maximum(np.diag(inverse), 1e-30))[None, :]
    return np.asarray(slopes), np.asarray(np.maximum(error, 1e-12))


def _say(
    view: LogView, names: tuple[str, str], figures: tuple[float, float, str], good: NDArray[np.bool_]
) -> None:
    other, _, words = figures
    sure = certainty_of_deviation(other / 3.0, 0.9)
    if sure < LEAST:
        return
    one, two = names
    view.faults.append(
        SensorFault(
            "swapped",
            names,
            f"{one} and {two} are in each other's place: each answers what is done to the other's cylinder.",
            sure,
            view.where(good),
            (Evidence("answer to the other's cylinder, over its error", other),),
            f"By {words} a cylinder's own exhaust gets hotter, not its neighbour's.",
            (
                "probes or plugs exchanged",
                "cylinders numbered from the other end",
                "spark or injector outputs exchanged",
            ),
            "Warm one tip with the engine cold and see which channel answers.",
        )
    )
