"""Least squares of one record on another: what is linear in it, Newton's step in time, and how sure the answer is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Linear", "covariance", "happenings", "linear_part", "matrices", "newton_step"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Linear:
    """value = level + scale x + residual, with a weight each; columns of what may move beside time."""

    columns: list[Array]
    scale: float
    residual: Array
    weight: Array


def linear_part(x: Array, value: Array, doubt: Array, relation: str) -> Linear:
    """Level and scale as the relation leaves them free, and weights.

    x, value  (n,)  the faster record at the samples of the slower one, and those samples
    doubt     (n,)  how far x may be from what happened between two samples, unit of x
    A sample weighs s2/(s2 + doubt2) with s2 the mean square that is left over: where the faster record jumps between
    two of its samples nobody knows what it was in between, and one such sample would outweigh all others.
    """
    weight = np.ones_like(x)
    fit = _weighted(x, value, weight, relation)
    if not doubt.any():
        return fit
    calm = doubt <= 0.0
    for _ in range(3):
        square = (fit.residual / (fit.scale or 1.0)) ** 2
        if np.count_nonzero(calm) >= 0.5 * x.size:
            left = float(np.mean(square[calm]))
        else:
            left = float(np.sum(weight * square) / np.sum(weight))
        weight = left / np.maximum(left + doubt**2, 1e-300)
        fit = _weighted(x, value, weight, relation)
    return fit


def _weighted(x: Array, value: Array, weight: Array, relation: str) -> Linear:
    if relation == "same":
        return Linear([], 1.0, value - x, weight)
    wx = weight * x
    if relation == "proportional":
        scale = float(wx @ value) / max(float(wx @ x), 1e-300)
        return Linear([x], scale, value - scale * x, weight)
    total = max(float(weight.sum()), 1e-300)
    centre, middle = float(wx.sum()) / total, float(weight @ value) / total
    du = x - centre
    scale = float((weight * du) @ value) / max(float((weight * du) @ du), 1e-300)
    return Linear([du, np.ones_like(x)], scale, value - middle - scale * du, weight)


def matrices(
    fit: Linear, times: list[Array], slope: Array, bend: Array, more: list[Array]
) -> tuple[Array, Array]:
    """Jacobian (m, k) and curvature (k, k) of half the weighted sum of squares.

    times  what a unit of each unknown of time moves a sample by [s]; more: columns of further unknowns
    The curvature keeps the part with the second derivative: the slopes of noise add to the squares of the first ones
    and that part takes it away again, so that noise does not count as something to hold on to.
    """
    s = fit.scale * slope
    jacobian = np.stack([*(s * t for t in times), *more, *fit.columns], axis=1)
    curvature = jacobian.T @ (fit.weight[:, None] * jacobian)
    weight = fit.weight * fit.residual * fit.scale * bend
    for i, one in enumerate(times):
        for k, other in enumerate(times):
            curvature[i, k] -= float(np.sum(weight * one * other))
    return jacobian, curvature


def newton_step(fit: Linear, jacobian: Array, curvature: Array) -> Array:
    """Newton's step; Gauss's where the curvature points the wrong way."""
    weighted = fit.weight[:, None] * jacobian
    size = np.sqrt(np.maximum(np.sum(weighted * jacobian, axis=0), 1e-300))
    gradient = weighted.T @ fit.residual / size
    scaled = curvature / np.outer(size, size)
    if np.linalg.eigvalsh(scaled)[0] < 1e-3:
        scaled = jacobian.T @ weighted / np.outer(size, size) + 1e-9 * np.eye(size.size)
    return np.asarray(np.linalg.lstsq(scaled, gradient, rcond=None)[0] / size)


def happenings(one: Array, other: Array) -> float:
    """How many independent samples two records that hang together in themselves are worth when they are correlated.

    n / (1 + 2 sum of the products of their autocorrelations), Source: Bartlett, M.S. (1935), J. R. Stat. Soc. 98, 536,
    from memory.
    """
    n = one.size
    size = 1 << int(np.ceil(np.log2(2 * n)))
    rho = []
    for record in (one, other):
        spectrum = np.abs(np.fft.rfft(record - record.mean(), size)) ** 2
        together = np.fft.irfft(spectrum, size)[:n]
        rho.append(together / max(float(together[0]), 1e-300))
    return n / max(1.0 + 2.0 * float(np.sum(rho[0][1:] * rho[1][1:])), 1.0)


def covariance(fit: Linear, jacobian: Array, curvature: Array) -> tuple[Array, float]:
    """Covariance of the unknowns with errors that hang together in time, and how many samples tell something new.

    Source: Newey, W.K., West, K.D. (1987), Econometrica 55, 703: sums of lagged products under a triangle; its width by
    how far the residuals hang together.
    """
    n, k = jacobian.shape
    root = np.sqrt(fit.weight)
    jacobian, residual = root[:, None] * jacobian, root * fit.residual
    scale = np.sqrt(np.maximum(np.sum(jacobian**2, axis=0), 1e-300))
    bread = curvature / np.outer(scale, scale)
    if np.linalg.eigvalsh(bread)[0] < 1e-3:
        return np.full((k, k), np.nan), 0.0
    bread = np.asarray(np.linalg.inv(bread), dtype=np.float64)
    size = 1 << int(np.ceil(np.log2(2 * n)))
    spectrum = np.abs(np.fft.rfft(residual, size)) ** 2
    together = np.fft.irfft(spectrum, size)[: max(n // 4, 2)]
    rho = together / max(together[0], 1e-300)
    first = int(np.argmax(rho < 0.05)) if (rho < 0.05).any() else rho.size - 1
    lags = int(min(max(3 * first, 4, round(n ** (1.0 / 3.0))), n // 4))
    moment = jacobian / scale * residual[:, None]
    meat = moment.T @ moment
    for lag in range(1, lags + 1):
        part = moment[lag:].T @ moment[:-lag]
        meat += (1.0 - lag / (lags + 1.0)) * (part + part.T)
    independent = n / max(1.0 + 2.0 * float(np.sum(rho[1 : first + 1])), 1.0)
    few = independent / max(independent - k, 1.0)
    plain = bread * float(residual @ residual) / max(float(fit.weight.sum()) - k, 1.0)
    made = bread @ meat @ bread
    found = few * np.where(np.eye(k) > 0, np.maximum(made, plain), made)
    return found / np.outer(scale, scale), independent
