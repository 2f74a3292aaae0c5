"""Axes from marks, against a textbook's direct linear transform and a general least-squares solver."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import least_squares

from boostwright.cards.digitise.axes import CLOSE, AxesError, Mark, fit_axes, mapped

PHOTO = np.array([[1.02, 0.11, 35.0], [0.04, 0.93, 18.0], [1.1e-4, 1.7e-4, 1.0]])
FRAME = [
    (100.0, 500.0, 0.0, 1.0),
    (900.0, 500.0, 60.0, 1.0),
    (100.0, 100.0, 0.0, 4.0),
    (900.0, 100.0, 60.0, 4.0),
]


def marks_of(matrix: np.ndarray, frame: list[tuple[float, float, float, float]] = FRAME) -> list[Mark]:
    return [Mark(tuple(mapped(matrix, np.array([[u, v]]))[0]), x, y) for u, v, x, y in frame]


def turned(degrees: float) -> np.ndarray:
    c, s = np.cos(np.deg2rad(degrees)), np.sin(np.deg2rad(degrees))
    return np.array([[c, -s, 40.0], [s, c, 10.0], [0.0, 0.0, 1.0]])


def direct_linear_transform(source: np.ndarray, target: np.ndarray) -> np.ndarray:
    """Homography from four or more points: Hartley and Zisserman, Multiple View Geometry, algorithm 4.1, from memory.

    Written out apart from the program: two rows a point, the null space by eigenvalues.
    """
    rows = []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows.append([0, 0, 0, -x, -y, -1, v * x, v * y, v])
        rows.append([x, y, 1, 0, 0, 0, -u * x, -u * y, -u])
    a = np.array(rows)
    _, vectors = np.linalg.eigh(a.T @ a)
    h = vectors[:, 0].reshape(3, 3)
    return h / h[2, 2]


def test_four_corners_in_perspective_are_the_direct_linear_transform() -> None:
    marks = marks_of(PHOTO)
    fit = fit_axes(marks)
    assert fit.model == "perspective"
    reference = direct_linear_transform(
        np.array([[m.x, m.y] for m in marks]), np.array([m.pixel for m in marks])
    )
    assert fit.to_pixels == pytest.approx(reference, rel=1e-5, abs=1e-7)


def test_more_marks_than_needed_are_met_as_a_general_solver_meets_them() -> None:
    rng = np.random.default_rng(4)
    frame = [
        (100 + 80 * i, 500 - 80 * j, 6.0 * i, 1 + 0.6 * j) for i in range(0, 11, 2) for j in range(0, 6, 2)
    ]
    marks = [Mark(tuple(np.array(m.pixel) + rng.normal(0, 3.0, 2)), m.x, m.y) for m in marks_of(PHOTO, frame)]
    fit = fit_axes(marks, model="perspective")
    plane, pixels = np.array([[m.x, m.y] for m in marks]), np.array([m.pixel for m in marks])

    def misses(h: np.ndarray) -> np.ndarray:
        return (mapped(np.append(h, 1.0).reshape(3, 3), plane) - pixels).ravel()

    start = direct_linear_transform(plane, pixels).ravel()[:8]
    reference = least_squares(misses, start, x_scale=np.abs(start), xtol=1e-15, ftol=1e-15, gtol=1e-15)
    own = float(np.sum((fit.pixels(plane) - pixels) ** 2))
    assert own == pytest.approx(2.0 * reference.cost, rel=1e-6)
    assert fit.rms == pytest.approx(np.sqrt(own / len(marks)), rel=1e-9)


@pytest.mark.parametrize(("degrees", "model"), [(0.0, "straight"), (3.0, "skewed"), (-17.0, "skewed")])
def test_two_marks_on_each_axis_give_the_tilt(degrees: float, model: str) -> None:
    frame = [(100, 500, 0.0, None), (900, 500, 60.0, None), (100, 470, None, 1.225), (100, 100, None, 4.0)]
    matrix = turned(degrees)
    marks = [Mark(tuple(mapped(matrix, np.array([[u, v]]))[0]), x, y) for u, v, x, y in frame]
    fit = fit_axes(marks)
    assert fit.model == model
    assert fit.tilt == pytest.approx(-degrees, abs=1e-6)
    assert fit.skew == pytest.approx(0.0, abs=1e-6)
    there = mapped(matrix, np.array([[500.0, 300.0]]))
    assert fit.values(there)[0] == pytest.approx([30.0, 2.5], rel=1e-9)
    assert fit.pixels(fit.values(there))[0] == pytest.approx(there[0])


def test_three_places_give_a_skew() -> None:
    shear = np.array([[1.0, 0.15, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]])
    fit = fit_axes(marks_of(shear, FRAME[:3]))
    assert fit.model == "skewed"
    assert fit.values(mapped(shear, np.array([[500.0, 300.0]])))[0] == pytest.approx([30.0, 2.5])
    assert fit.skew == pytest.approx(-np.degrees(np.arctan(0.15)), abs=1e-6) or fit.skew == pytest.approx(
        np.degrees(np.arctan(0.15)), abs=1e-6
    )


def test_logarithmic_axes() -> None:
    marks = [Mark((100, 500), 10, 1), Mark((900, 500), 1000, 1), Mark((100, 100), 10, 100)]
    fit = fit_axes(marks, log=(True, True))
    assert fit.values(np.array([[500.0, 300.0]]))[0] == pytest.approx([100.0, 10.0])
    assert np.all(np.isnan(fit.pixels(np.array([[-1.0, 10.0]]))[0]))


def test_clicks_missing_by_a_pixel_move_values_by_a_pixel() -> None:
    rng = np.random.default_rng(7)
    worst = 0.0
    for _ in range(200):
        marks = [Mark(tuple(np.array(m.pixel) + rng.uniform(-1, 1, 2)), m.x, m.y) for m in marks_of(PHOTO)]
        values = fit_axes(marks).values(mapped(PHOTO, np.array([[500.0, 300.0], [700.0, 200.0]])))
        worst = max(worst, float(np.max(np.abs(values - [[30.0, 2.5], [45.0, 3.25]]) / [60.0, 3.0])))
    assert worst < 2.5 / 400  # the plot is 400 pixels high


def test_the_simplest_mapping_that_does_is_taken() -> None:
    marks = marks_of(np.eye(3))
    assert fit_axes(marks).model == "straight"
    assert fit_axes(marks, model="perspective").model == "perspective"
    shaken = [Mark((m.pixel[0] + 0.8 * (-1) ** k, m.pixel[1]), m.x, m.y) for k, m in enumerate(marks)]
    assert fit_axes(shaken).model == "straight"
    assert fit_axes(shaken).rms < CLOSE


@pytest.mark.parametrize(
    ("marks", "log", "words"),
    [
        ([], (False, False), "has 0 different values on the x axis"),
        ([Mark((1, 1), 1, 1), Mark((2, 2), 1, 2)], (False, False), "has 1 different value on the x axis"),
        ([Mark((1, 1)), Mark((5, 1), 2, 2)], (False, False), "has no value"),
        ([Mark((1, 1), 0, 1), Mark((90, 90), 10, 2)], (True, False), "is not above zero"),
        ([Mark((5, 5), 1, 1), Mark((5, 5), 2, 2)], (False, False), "do not fix the axes"),
        ([Mark((np.nan, 5), 1, 1), Mark((9, 5), 2, 2)], (False, False), "is no place in the picture"),
    ],
)
def test_marks_that_do_not_fix_the_axes_are_refused_with_words(
    marks: list[Mark], log: tuple[bool, bool], words: str
) -> None:
    with pytest.raises(AxesError, match=words):
        fit_axes(marks, log)


def test_an_unknown_model_is_refused() -> None:
    with pytest.raises(AxesError, match="straight, skewed, perspective"):
        fit_axes(marks_of(np.eye(3)), model="bent")
