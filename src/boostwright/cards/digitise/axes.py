"""From pixels to axis values: marks of known value fix the plane of the paper, straight, skewed or in perspective.

The paper's plane has the axes' own coordinates (their logarithm on a logarithmic axis). The picture is that plane
under a straight mapping (shift and scale), an affine one (turned and skewed too) or a homography (in perspective).
The simplest one that brings every mark to within ``CLOSE`` pixels is taken, unless one is asked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from boostwright.errors import Fault, FaultyInput

__all__ = ["CLOSE", "MODELS", "AxesError", "AxesFit", "Mark", "fit_axes", "mapped"]

Array = NDArray[np.float64]

MODELS = ("straight", "skewed", "perspective")
"""Kinds of mapping, the simplest first."""
CLOSE = 1.5
"""Root mean square [pixels] of the marks below which a mapping is close enough: a careful click is good to one."""
_ROUNDS = 60
_UNKNOWNS = {"straight": 4, "skewed": 6, "perspective": 8}


class AxesError(FaultyInput):
    """The marks do not fix the axes; carries every fault."""


@dataclass(frozen=True)
class Mark:
    """One place of the picture whose value is known.

    pixel  (x, y) [pixels] right and down from the picture's upper left corner
    x, y   value on the horizontal and vertical axis, in the axes' units; None where it is not known. A mark with one
           of them lies on that axis: all marks of one axis share one value of the other
    """

    pixel: tuple[float, float]
    x: float | None = None
    y: float | None = None


@dataclass(frozen=True)
class AxesFit:
    """The axes as found.

    model      one of ``MODELS``
    to_pixels  (3, 3) homography from the plane (x, y, 1) to the picture
    log        whether the x axis and the y axis are logarithmic
    residuals  (marks, 2) [pixels] where each mark was clicked less where it should be; nan for what is not known
    tilt       [deg] the x axis against the picture's edge, rising to the right is above zero
    skew       [deg] by how much the angle between the axes differs from 90, at the middle of the marks
    """

    model: str
    to_pixels: Array
    log: tuple[bool, bool]
    residuals: Array
    tilt: float
    skew: float

    @property
    def rms(self) -> float:
        """Root mean square of the marks' distances [pixels]."""
        return float(np.sqrt(np.mean(np.sum(self.residuals**2, axis=1))))

    def plane(self, pixels: Array) -> Array:
        """Coordinates (n, 2) in the axes' plane of pixels (n, 2)."""
        return mapped(np.asarray(np.linalg.inv(self.to_pixels), dtype=float), pixels)

    def values(self, pixels: Array) -> Array:
        """Values (n, 2) in the axes' units of pixels (n, 2)."""
        plane = self.plane(pixels)
        return np.column_stack([10.0 ** plane[:, i] if self.log[i] else plane[:, i] for i in (0, 1)])

    def pixels(self, values: Array) -> Array:
        """Pixels (n, 2) of values (n, 2) in the axes' units; nan where a logarithmic axis has no such value."""
        values = np.asarray(values, dtype=float)
        with np.errstate(divide="ignore", invalid="ignore"):
            plane = [np.log10(values[:, i]) if self.log[i] else values[:, i] for i in (0, 1)]
        return mapped(self.to_pixels, np.column_stack(plane))


def mapped(matrix: Array, points: Array) -> Array:
    """Points (n, 2) under a homography (3, 3)."""
    points = np.atleast_2d(np.asarray(points, dtype=float))
    whole = np.column_stack([points, np.ones(len(points))]) @ matrix.T
    return np.asarray(whole[:, :2] / whole[:, 2:])


def fit_axes(
    marks: Sequence[Mark],
    log: tuple[bool, bool] = (False, False),
    model: str = "",
    place: str = "axes",
) -> AxesFit:
    """The mapping of least squared pixel distance through the marks.

    marks  at least two on each axis, or three with both values
    log    whether the x and the y axis are logarithmic
    model  one of ``MODELS``; empty = the simplest one that brings the marks to within ``CLOSE`` pixels
    place  where the marks stand, for messages
    Returns an AxesFit. Raises AxesError where the marks do not fix the axes, or contradict each other.
    Least squares on pixels by Gauss and Newton from the linear solution for the homography; the latter, with
    centred and scaled coordinates, as in Hartley and Zisserman, Multiple View Geometry, section 4.1 and 4.4, from
    memory.
    """
    faults = _faults(marks, log, place)
    if model and model not in MODELS:
        faults.append(Fault(place, "model", model, "is no kind of mapping.", ", ".join(MODELS)))
    if faults:
        raise AxesError(faults)
    at = np.array([mark.pixel for mark in marks], dtype=float)
    known = np.array([[_plane_value(m.x, log[0]), _plane_value(m.y, log[1])] for m in marks])
    tried: AxesFit | None = None
    for name in [model] if model else MODELS:
        found = _fit(name, at, known, log)
        if found is None:
            continue
        if tried is None or found.rms < 0.7 * tried.rms:
            tried = found
        if tried.rms <= CLOSE:
            break
    if tried is None:
        raise AxesError([_undetermined(marks, model, place)])
    return tried


def _plane_value(value: float | None, log: bool) -> float:
    if value is None:
        return np.nan
    return float(np.log10(value)) if log else float(value)


def _faults(marks: Sequence[Mark], log: tuple[bool, bool], place: str) -> list[Fault]:
    """What is wrong with single marks."""
    faults = []
    for number, mark in enumerate(marks, start=1):
        where = f"{place}, mark {number}"
        if mark.x is None and mark.y is None:
            faults.append(Fault(where, "", "", "has no value.", "a value on the x axis, the y axis or both"))
        for name, value, is_log in (("x", mark.x, log[0]), ("y", mark.y, log[1])):
            if value is not None and not np.isfinite(value):
                faults.append(Fault(where, name, str(value), "is not a finite number."))
            elif value is not None and is_log and value <= 0.0:
                message = "is not above zero, which a logarithmic axis needs."
                faults.append(Fault(where, name, f"{value:g}", message, remedy="Is the axis linear?"))
        if not all(np.isfinite(mark.pixel)):
            faults.append(Fault(where, "pixel", str(mark.pixel), "is no place in the picture."))
    for i in (0, 1):
        name = "xy"[i]
        values = {m.x if i == 0 else m.y for m in marks} - {None}
        if len(values) < 2 and not faults:
            message = (
                f"has {len(values)} different value{'' if len(values) == 1 else 's'} on the {name} axis."
            )
            faults.append(
                Fault(place, "marks", "", message, "at least two", f"Mark another value on the {name} axis.")
            )
    return faults


def _undetermined(marks: Sequence[Mark], model: str, place: str) -> Fault:
    whole = sum(m.x is not None and m.y is not None for m in marks)
    message = f"{len(marks)} marks, {whole} of them with both values, do not fix the axes."
    needed = {
        "straight": "two marks on each axis",
        "skewed": "two marks on each axis, or three with both values that do not lie on one line",
        "perspective": "four marks with both values, no three of them on one line",
    }[model or "straight"]
    return Fault(place, "marks", "", message, needed, "Set the marks further apart, or mark more of them.")


def _fit(model: str, at: Array, known: Array, log: tuple[bool, bool]) -> AxesFit | None:
    """The mapping of one kind; None where the marks do not determine it."""
    whole = np.all(np.isfinite(known), axis=1)
    if model == "perspective" and np.count_nonzero(whole) < 4:
        return None
    centre, size = at.mean(axis=0), max(float(np.ptp(at, axis=0).max()), 1.0)
    low = np.nanmin(known, axis=0)
    span = np.array([np.ptp(known[np.isfinite(known[:, i]), i]) for i in (0, 1)])
    scaled, target = (known - low) / span, (at - centre) / size
    unknown = _UNKNOWNS[model] + int(np.any(np.isnan(known[:, 1]))) + int(np.any(np.isnan(known[:, 0])))
    if 2 * len(at) < unknown:
        return None
    start = _start(model, scaled, target)
    if start is None:
        return None
    found = _refined(model, start, scaled, target)
    if found is None:
        return None
    h, free, residuals = found
    plane = np.array([[1 / span[0], 0, -low[0] / span[0]], [0, 1 / span[1], -low[1] / span[1]], [0, 0, 1.0]])
    picture = np.array([[size, 0, centre[0]], [0, size, centre[1]], [0, 0, 1.0]])
    matrix = picture @ h @ plane
    if not _one_side(matrix, at):
        return None
    tilt, skew = _angles(h, scaled, free)
    return AxesFit(model, matrix / matrix[2, 2], log, residuals * size, tilt, skew)


def _start(model: str, known: Array, target: Array) -> tuple[Array, Array] | None:
    """First guess: parameters and the two shared values, from linear least squares."""
    whole = np.all(np.isfinite(known), axis=1)
    if model == "perspective":
        rows = []
        for (x, y), (u, v) in zip(known[whole], target[whole], strict=True):
            rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, -u])
            rows.append([0, 0, 0, x, y, 1, -v * x, -v * y, -v])
        _, s, vt = np.linalg.svd(np.array(rows, dtype=float), full_matrices=True)
        if s[7] < 1e-6 * s[0] or abs(vt[-1, 8]) < 1e-9:
            return None
        return vt[-1, :8] / vt[-1, 8], np.zeros(2)
    # the reverse, from picture to plane, is linear in the shared values too
    straight = model == "straight"
    terms: list[Array] = []
    right: list[float] = []
    for (x, y), (u, v) in zip(known, target, strict=True):
        row_x = [u, 0.0 if straight else v, 1, 0, 0, 0, 0, 0]
        row_y = [0, 0, 0, 0.0 if straight else u, v, 1, 0, 0]
        if np.isnan(x):
            row_x[6] = -1.0
        if np.isnan(y):
            row_y[7] = -1.0
        terms += [np.array(row_x, dtype=float), np.array(row_y, dtype=float)]
        right += [0.0 if np.isnan(x) else x, 0.0 if np.isnan(y) else y]
    matrix = np.array(terms)
    used = np.any(matrix != 0.0, axis=0)
    if np.linalg.matrix_rank(matrix[:, used], tol=1e-4) < np.count_nonzero(used):
        return None
    solution = np.zeros(8)
    solution[used] = np.linalg.lstsq(matrix[:, used], np.array(right), rcond=None)[0]
    reverse = np.array([solution[:3], solution[3:6], [0, 0, 1.0]])
    if abs(np.linalg.det(reverse)) < 1e-8:
        return None
    h = np.linalg.inv(reverse)
    return (h[[0, 0, 1, 1], [0, 2, 1, 2]] if straight else h[:2].ravel()), solution[6:8]


def _matrix(model: str, p: Array) -> Array:
    if model == "straight":
        return np.array([[p[0], 0, p[1]], [0, p[2], p[3]], [0, 0, 1.0]])
    if model == "skewed":
        return np.array([[p[0], p[1], p[2]], [p[3], p[4], p[5]], [0, 0, 1.0]])
    return np.append(p, 1.0).reshape(3, 3)


def _refined(
    model: str, start: tuple[Array, Array], known: Array, target: Array
) -> tuple[Array, Array, Array] | None:
    """Parameters of least squared distance in the picture: matrix, shared values, residuals (n, 2)."""
    missing = np.isnan(known)
    count = _UNKNOWNS[model]
    free = [i for i in (0, 1) if np.any(missing[:, i])]

    def misses(p: Array) -> Array:
        points = known.copy()
        for place, i in enumerate(free):
            points[missing[:, i], i] = p[count + place]
        return np.asarray((target - mapped(_matrix(model, p[:count]), points)).ravel())

    p = np.concatenate([start[0], start[1][free]])
    residual, damping = misses(p), 1e-6
    for _ in range(_ROUNDS):
        steps = 1e-6 * np.maximum(np.abs(p), 1e-2)
        slope = np.column_stack(
            [(misses(p + d) - residual) / s for d, s in zip(np.diag(steps), steps, strict=True)]
        )
        normal = slope.T @ slope
        change = -np.linalg.solve(normal + damping * np.diag(np.diag(normal) + 1e-12), slope.T @ residual)
        trial = misses(p + change)
        if not np.all(np.isfinite(trial)):
            return None
        if trial @ trial <= residual @ residual:
            p, residual, damping = p + change, trial, max(damping / 10.0, 1e-12)
        else:
            damping *= 10.0
        if np.max(np.abs(change)) < 1e-12 or damping > 1e6:
            break
    values = np.full(2, np.nan)
    values[free] = p[count:]
    return _matrix(model, p[:count]), values, residual.reshape(-1, 2)


def _one_side(matrix: Array, at: Array) -> bool:
    """Whether the marks lie on one side of the horizon of the paper, as all paper in a picture does."""
    whole = np.column_stack([at, np.ones(len(at))]) @ np.linalg.inv(matrix).T
    return bool(np.all(whole[:, 2] > 0.0) or np.all(whole[:, 2] < 0.0))


def _angles(h: Array, known: Array, free: Array) -> tuple[float, float]:
    """Tilt of the x axis and departure of the axes from a right angle [deg], at the middle of the marks."""
    points = np.where(np.isnan(known), free, known)
    middle = points.mean(axis=0)
    here, right, up = mapped(h, middle + np.array([[0.0, 0.0], [1e-4, 0.0], [0.0, 1e-4]]))
    along, across = right - here, up - here
    tilt = -np.degrees(np.arctan2(along[1], along[0]))
    angle = np.degrees(np.arctan2(across[1], across[0]) - np.arctan2(along[1], along[0]))
    skew = (abs((angle + 180.0) % 360.0 - 180.0)) - 90.0
    return float(tilt), float(skew)
