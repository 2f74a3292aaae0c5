"""The answers people ask for first, each as one number a sample, with its band and what makes it uncertain."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.solve.operating_point import Prediction
from boostwright.solve.uncertainty.contributors import SharesOfVariance
from boostwright.solve.uncertainty.edges import edges_of
from boostwright.solve.uncertainty.sampled import Sampled
from boostwright.tasks.bands_result import LEVELS, Contributor, Headline
from boostwright.tasks.names import QUANTITIES

__all__ = ["headlines_of"]

Array = NDArray[np.float64]
Q = Mapping[str, Array]

_NAMED = 6  # contributors kept of each
_LEAST_SHARE = 0.005


@dataclass(frozen=True)
class _Question:
    """One answer: ``at`` turns quantities (k, n) into (k,)."""

    code: str
    words: str
    quantity: str
    at: Callable[[Q], Array]


def _most(name: str) -> Callable[[Q], Array]:
    return lambda q: _extreme(q[name], np.nanmax)


def _least(name: str) -> Callable[[Q], Array]:
    return lambda q: _extreme(q[name], np.nanmin)


def _extreme(values: Array, how: Callable[..., Array]) -> Array:
    some = np.isfinite(values).any(axis=1)
    out = np.full(len(values), np.nan)
    if some.any():
        out[some] = how(values[some], axis=1)
    return out


def _questions(prediction: Prediction) -> Iterator[_Question]:
    """Extremes over the sweep, and a few figures at the speed of most torque."""
    yield _Question("most-torque", "most torque", "torque", _most("torque"))
    yield _Question("most-power", "most power", "power", _most("power"))
    torque = prediction["torque"]
    if np.isfinite(torque).any():
        peak = int(np.nanargmax(torque))
        rpm = prediction.speeds[peak] * 30.0 / np.pi
        yield _Question("boost-at-peak", f"boost at {rpm:.0f} rpm", "boost", lambda q: q["boost"][:, peak])
    yield _Question("highest-egt", "highest EGT reading", "egt_reading", _most("egt_reading"))
    yield _Question("highest-drive-ratio", "highest drive-pressure ratio", "drive_pressure_ratio",
                    _most("drive_pressure_ratio"))  # fmt: skip
    yield _Question("highest-peak-pressure", "highest peak pressure", "peak_pressure", _most("peak_pressure"))
    yield _Question("highest-shaft-speed", "highest shaft speed", "shaft_speed", _most("shaft_speed"))
    yield _Question("least-surge-margin", "least surge margin", "surge_margin", _least("surge_margin"))
    yield _Question(
        "most-injector-duty", "highest duty of the injectors", "injector_duty", _most("injector_duty")
    )
    yield _Question(
        "least-pump-margin", "least margin of the fuel pump", "pump_margin", _least("pump_margin")
    )
    yield _Question("most-power-wheel", "most power at the wheels", "power_wheel", _most("power_wheel"))


def headlines_of(prediction: Prediction, found: Sampled, linear: Sampled | None) -> tuple[Headline, ...]:
    """Headlines of a prediction and its samples.

    linear  each doubt by itself a standard deviation up, then down; None leaves the law of propagation out
    """
    nominal = {name: values.values[None] for name, values in prediction.quantities.items()}
    made = []
    variance = SharesOfVariance(found.shifts)
    if found.thresholds is not None:
        middle = next(
            (r.value for r in prediction.remarks if r.code == "threshold" and r.value), float("nan")
        )
        moved = linear.thresholds if linear is not None else None
        question = _Question(
            "threshold", "threshold, gate shut", "engine_speed", lambda q: q["engine_speed"][:, 0]
        )
        made.append(_headline(question, middle, found.thresholds, found, moved, variance))
    for question in _questions(prediction):
        if question.quantity not in nominal or question.quantity not in found.quantities:
            continue
        answer = question.at(found.quantities)
        if not np.isfinite(answer).any():
            continue
        moved = question.at(linear.quantities) if linear is not None else None
        made.append(_headline(question, float(question.at(nominal)[0]), answer, found, moved, variance))
    return tuple(made)


def _headline(
    question: _Question,
    nominal: float,
    answer: Array,
    found: Sampled,
    moved: Array | None,
    variance: SharesOfVariance,
) -> Headline:
    here = answer[np.isfinite(answer)]
    low, middle, high = edges_of(answer, LEVELS)
    shares = variance.of(answer)
    order = np.argsort(-np.nan_to_num(shares.shares, nan=-1.0), kind="stable")[:_NAMED]
    spread = float(here.std()) if here.size else float("nan")
    contributors = tuple(
        Contributor(found.doubts[k], float(shares.shares[k]), _sensitivity(found.shifts[:, k], answer))
        for k in order
        if shares.shares[k] > _LEAST_SHARE
    )
    return Headline(
        code=question.code,
        words=question.words,
        quantity=question.quantity,
        unit=QUANTITIES[question.quantity][0],
        nominal=nominal,
        low=float(low),
        middle=float(middle),
        high=float(high),
        standard_deviation=spread,
        propagated=_combined(moved),
        contributors=contributors,
        unexplained=shares.unexplained,
        answered=here.size / answer.size,
    )


def _sensitivity(shift: Array, answer: Array) -> float:
    """Change of the answer per standard deviation of a doubt, by a straight line."""
    here = np.isfinite(answer)
    x, y = shift[here] - shift[here].mean(), answer[here]
    spread = float(x.std())
    return float((x @ y) / x.size / spread) if spread > 0.0 else 0.0


def _combined(moved: Array | None) -> float:
    """Combined standard uncertainty from answers with each doubt a standard deviation up (first half) and down."""
    if moved is None:
        return float("nan")
    half = moved.size // 2
    change = 0.5 * (moved[:half] - moved[half:])
    return float(np.sqrt(np.nansum(change**2)))
