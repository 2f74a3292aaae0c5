"""The closed cycle of a build as polynomials: fitted once, cut down to one speed and lambda, then read by the solver.

Six variables go in: engine speed, charge density at intake closing, its temperature, lambda, residual fraction and the
angle of half burned, each stretched so that the cycle is nearly straight along it (logarithms; the residual fraction to
the power with which it slows the flame). Products of Chebyshev polynomials are fitted by least squares to cycles run
all over the box. Speed and lambda are fixed at an operating point, so for each of those the polynomial is summed over
both beforehand: what the solver reads has four variables, is infinitely smooth in them, and costs some 0.2 us.
At lambda 1 the exhaust has a corner (no oxygen left); a term of its own carries it.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from boostwright.components.closed_cycle import CycleGeometry, CycleModel, cycle_fields
from boostwright.physics.cylinder import dissociation
from boostwright.physics.gas import exhaust, mixture

__all__ = [
    "COLUMNS",
    "HEADER",
    "PEAK_NODES",
    "RESIDUAL_POWER",
    "ROW",
    "TERMS_OF_FOUR",
    "CycleBox",
    "CycleTable",
    "TableError",
    "few_columns",
    "fit_cycle_table",
    "near_cycle_table",
    "sample_box",
]

Array = NDArray[np.float64]
_DEGREE = math.pi / 180.0
_RPM = math.pi / 30.0

RESIDUAL_POWER = 0.77
"""Power of the residual fraction in the laminar burning velocity: against it everything is smooth down to zero."""

PEAK_NODES = (-0.38, -0.26, -0.14, -0.02, 0.10, 0.22, 0.34)
"""Angles about that of half burned, in burn durations, of the pressures that the peak is sought between."""

COLUMNS = (
    "work_share",  # of the released heat
    "wall_share",  # of the released heat
    "temperature_opening",
    "pressure_opening",  # over mass times temperature
    "pressure_closing",  # likewise
    "log_knock_integral",  # at octane number 100
    "burn_duration",
    "peak_place",  # -1 to 1 over PEAK_NODES; only where the search for the peak begins
    *(
        f"log_pressure_{power}" for power in range(7)
    ),  # over mass times temperature, powers of the place of the peak
    "log_compression_pressure",  # over mass times temperature
)
"""What is fitted, in the order of a row. The first four are what an energy balance needs."""

HEADER = 16
"""Numbers before the coefficients of a row: 0-7 centre and stretch of log density, log temperature, stretched residual
fraction and angle; 8 log volume at intake closing; 9 heat released per kilogram of air and fuel [J/kg]; 10 knock
integral over that at octane number 100 (nan = not predicted); 11 share of the work that dissociation leaves, 12 its
logarithm, 13 specific heat at constant volume of the burned gas at 1650 K [J/(kg K)]; 14-15 free."""

_TOTAL, _CORNER = 6, 2  # highest degrees: of all six, and beside the corner
ROW = HEADER + len(COLUMNS) * 80
_OVERSAMPLING = 3.2
_FEWER, _NEAR = 9, 3  # every so many of the samples, and highest degree, for what differs from a known table
_OPENING = 1650.0  # K, of burned gas when the exhaust valve opens


def _exponents(count: int, degree: int) -> NDArray[np.int64]:
    """All degrees of ``count`` variables with at most this sum; the last variable changes fastest."""
    every = itertools.product(range(degree + 1), repeat=count)
    return np.array([degrees for degrees in every if sum(degrees) <= degree])


def _terms_of_four() -> NDArray[np.int64]:
    """Total degree at most 4, or 5 where at least 3 of it are the angle's, along which the cycle bends most."""
    every = _exponents(4, 5)
    return np.asarray(every[(every.sum(axis=1) < 5) | (every[:, 3] > 2)])


TERMS_OF_FOUR = _terms_of_four()
"""(80, 4) degrees of density, temperature, residual fraction and angle in the order of a row."""


def _terms() -> NDArray[np.int64]:
    """(n, 7) degrees of speed, lambda, the four, and whether the corner's term is a factor."""
    smooth = [
        (*outer, *inner, 0)
        for inner in TERMS_OF_FOUR
        for outer in _exponents(2, _TOTAL)
        if sum(inner) + sum(outer) <= _TOTAL
    ]
    corner = [(a, 0, *inner, 1) for a, *inner in _exponents(5, _CORNER)]
    return np.array(smooth + corner)


_TERMS = _terms()


def _order_of_terms() -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    """Terms sorted by the place their four degrees have in a row, and where each place begins."""
    place = {tuple(degrees): n for n, degrees in enumerate(TERMS_OF_FOUR.tolist())}
    belongs = np.array([place[tuple(term)] for term in _TERMS[:, 2:6].tolist()])
    order = np.argsort(belongs, kind="stable")
    return order, np.searchsorted(belongs[order], np.arange(len(TERMS_OF_FOUR) + 1))


_IN_ORDER, _BEGINS = _order_of_terms()


@dataclass(frozen=True)
class CycleBox:
    """Where the table holds: (lowest, highest) of each variable.

    engine_speed [rad/s], density [kg/m3] of the charge at intake closing, temperature [K] there, lambda_value [-],
    residual_fraction [-], angle_half_burned [rad] after top dead centre
    """

    engine_speed: tuple[float, float] = (900.0 * _RPM, 7500.0 * _RPM)
    density: tuple[float, float] = (0.5, 4.0)
    temperature: tuple[float, float] = (275.0, 440.0)
    lambda_value: tuple[float, float] = (0.70, 1.15)
    residual_fraction: tuple[float, float] = (0.01, 0.20)
    angle_half_burned: tuple[float, float] = (0.0, 40.0 * _DEGREE)

    def stretched(self) -> tuple[Array, Array]:
        """Centres and half widths (6,) of the stretched variables: speed, lambda, then the solver's four."""
        power = RESIDUAL_POWER
        low_high = np.array(
            [
                np.log(self.engine_speed),
                self.lambda_value,
                np.log(self.density),
                np.log(self.temperature),
                [x**power for x in self.residual_fraction],
                self.angle_half_burned,
            ],
            dtype=float,
        )
        return 0.5 * (low_high[:, 0] + low_high[:, 1]), 0.5 * (low_high[:, 1] - low_high[:, 0])


@dataclass(frozen=True)
class TableError:
    """Table against direct calls, at points the fit did not see: root mean square, 99 of 100 below, worst.

    unit  '1' is a share of the value; 'K' and 'deg' are differences
    """

    unit: str
    root_mean_square: float
    ninety_nine: float
    worst: float


@dataclass(frozen=True)
class CycleTable:
    """The fitted cycle. coefficients (terms, columns); errors by output, empty until they have been measured."""

    model: CycleModel
    box: CycleBox
    coefficients: Array
    errors: Mapping[str, TableError] = field(default_factory=dict)

    def rows(self, engine_speed: ArrayLike, lambda_value: ArrayLike) -> Array:
        """What the solver reads at operating points: (n, ROW), one row a speed [rad/s] and lambda (broadcast to (n,)).

        Beyond the box the polynomials stay at its edge: see ``outside``.
        """
        given = (np.atleast_1d(np.asarray(value, dtype=float)) for value in (engine_speed, lambda_value))
        speed, lam = np.broadcast_arrays(*given)
        rows = np.empty((speed.size, ROW))
        rows[:, :HEADER] = self.heads(lam)
        rows[:, HEADER:] = self.sums(speed, lam, self.coefficients[None])[0]
        return rows

    def heads(self, lam: Array) -> Array:
        """What stands before the coefficients of rows at lambda (n,): (n, HEADER)."""
        centre, half = self.box.stretched()
        heads = np.zeros((lam.size, HEADER))
        heads[:, 0:8:2], heads[:, 1:8:2] = centre[2:], 1.0 / half[2:]
        geometry = self.model.geometry
        heads[:, 8] = math.log(float(geometry.volume(geometry.intake_closing)))
        heads[:, 9] = _heat_per_fresh_charge(self.model, lam)
        # Too sharp at lambda 1 for a polynomial, and known by itself: laid on afterwards.
        kept = dissociation.dissociation_work_factor(lam) if self.model.dissociation else np.ones_like(lam)
        heads[:, 11], heads[:, 12] = kept, np.log(kept)
        heads[:, 13] = _burned_heat(self.model, lam)
        heads[:, 10] = (self.model.fuel.octane_number / 100.0) ** -3.402
        return heads

    def sums(self, speed: Array, lam: Array, coefficients: Array) -> Array:
        """Coefficients of rows: the polynomials summed over speed [rad/s] and lambda, both (n,).

        coefficients (k, terms, columns) of k tables over this box; returns (k, n, columns times terms of four)
        """
        centre, half = self.box.stretched()
        outer = np.stack([np.log(speed), lam], axis=1)
        places = np.clip((outer - centre[:2]) / half[:2], -1.0, 1.0)
        factors = np.ascontiguousarray(
            _outer_factors(places, np.clip(lam, *self.box.lambda_value))[:, _IN_ORDER]
        )
        in_order = np.ascontiguousarray(coefficients[:, _IN_ORDER])
        count, _, columns = in_order.shape
        summed = np.empty((count, speed.size, columns, len(TERMS_OF_FOUR)))
        for n, (first, last) in enumerate(itertools.pairwise(_BEGINS)):
            # many small products: one large one would wake threads that cost more than they bring
            summed[..., n] = factors[:, first:last] @ in_order[:, first:last]
        return summed.reshape(count, speed.size, -1)

    def outside(self, **values: ArrayLike) -> dict[str, NDArray[np.bool_]]:
        """For each named variable of the box: True where it lies outside, and the table is no longer a fit."""
        found = {}
        for name, value in values.items():
            low, high = getattr(self.box, name)
            array = np.asarray(value, dtype=float)
            found[name] = ~((array >= low) & (array <= high))
        return found


def few_columns(model: CycleModel, box: CycleBox, run: Callable[..., NDArray[Any]]) -> Array:
    """What is fitted (n, columns), at few samples of a box; ``run`` as ``fit_cycle_table`` has it."""
    arguments = sample_box(model, box, _few_samples(box)[0])
    return _columns(model.geometry, arguments, run(**arguments))


def near_cycle_table(known: CycleTable, model: CycleModel, changed: Array) -> CycleTable:
    """Table of a model that differs little from a known table's: the known one and a fit of what has changed.

    changed  (n, columns) ``few_columns`` of the model less those of the known one, in the known one's box
    What has changed is smooth and small, so a ninth of the cycles and terms of the third degree carry it: over half a
    compression ratio it adds a tenth to the table's own errors, over two it doubles them. Its errors are empty.
    """
    _, terms, projector = _few_samples(known.box)
    coefficients = known.coefficients.copy()
    coefficients[terms] += projector @ changed
    return CycleTable(model=model, box=known.box, coefficients=coefficients)


@functools.lru_cache(maxsize=4)
def _few_samples(box: CycleBox) -> tuple[Array, NDArray[np.intp], Array]:
    """Places (n, 6) of few samples in a box, the terms (k,) that they are fitted with, and what turns columns into
    coefficients: (k, n)."""
    places = _places()[::_FEWER]
    terms = np.flatnonzero((_TERMS.sum(axis=1) <= _NEAR) & (_TERMS[:, 6] == 0))
    centre, half = box.stretched()
    basis = _basis(places, centre[1] + half[1] * places[:, 1])[:, terms]
    return places, terms, np.asarray(np.linalg.pinv(basis), dtype=float)


def _chebyshev(x: Array, degree: int) -> Array:
    return np.asarray(np.polynomial.chebyshev.chebvander(x, degree), dtype=float)


def _outer_factors(x: Array, lam: Array) -> Array:
    """Factor (n, terms) of speed, lambda and corner in every term; ``x`` (n, 2) in [-1, 1]."""
    speed, strength = _chebyshev(x[:, 0], _TOTAL), _chebyshev(x[:, 1], _TOTAL)
    corner = np.stack([np.ones_like(lam), np.maximum(lam - 1.0, 0.0) * 5.0], axis=1)
    return np.asarray(speed[:, _TERMS[:, 0]] * strength[:, _TERMS[:, 1]] * corner[:, _TERMS[:, 6]])


def _basis(x: Array, lam: Array) -> Array:
    """Every term (n, terms) at stretched variables ``x`` (n, 6) in [-1, 1]."""
    basis = _outer_factors(x[:, :2], lam)
    for variable in range(2, 6):
        basis *= _chebyshev(x[:, variable], _TOTAL)[:, _TERMS[:, variable]]
    return basis


def _heat_per_fresh_charge(model: CycleModel, lam: Array) -> Array:
    """Heat released per kilogram of air and fuel [J/kg] at lambda (n,)."""
    fields = cycle_fields(
        model,
        engine_speed=100.0,
        mass=1e-3,
        temperature=350.0,
        lambda_value=lam,
        residual_fraction=0.0,
        angle_half_burned=0.1,
        angle_step=0.01,
    )
    return np.asarray(fields["heat"], dtype=float)


def _burned_heat(model: CycleModel, lam: Array) -> Array:
    """Specific heat at constant volume [J/(kg K)] of the burned gas where the exhaust valve opens, at lambda (n,)."""
    air = np.broadcast_to(model.air.mole_fractions, (*lam.shape, 7))
    fuel = model.fuel
    gas = exhaust.exhaust_mole_fractions(lam, fuel.hydrogen_per_carbon, fuel.oxygen_per_carbon, air)
    cp = mixture.specific_heat(mixture.mixture_coefficients(gas), np.full(lam.shape, _OPENING))
    return np.asarray(cp - mixture.gas_constant(gas), dtype=float)


def sample_box(model: CycleModel, box: CycleBox, x: Array) -> dict[str, Array]:
    """Arguments of the closed cycle at places ``x`` (n, 6) in [-1, 1]: speed, lambda, density, temperature, residual
    fraction and angle."""
    centre, half = box.stretched()
    z = centre + half * x
    geometry = model.geometry
    return {
        "engine_speed": np.exp(z[:, 0]),
        "lambda_value": z[:, 1],
        "mass": np.exp(z[:, 2]) * float(geometry.volume(geometry.intake_closing)),
        "temperature": np.exp(z[:, 3]),
        "residual_fraction": z[:, 4] ** (1.0 / RESIDUAL_POWER),
        "angle_half_burned": z[:, 5],
    }


def _peak_columns(log_pressure: Array) -> tuple[Array, Array]:
    """Powers (n, 7) of the polynomial through seven even places on [-1, 1], and where it is highest (n,)."""
    places = np.linspace(-1.0, 1.0, 7)
    powers = log_pressure @ np.linalg.inv(np.vander(places, increasing=True)).T
    fine = np.linspace(-1.0, 1.0, 121)
    highest = np.argmax(powers @ np.vander(fine, 7, increasing=True).T, axis=1)
    return powers, fine[highest]


def _pressure_beside(geometry: CycleGeometry, arguments: Mapping[str, Array], states: NDArray[Any]) -> Array:
    """Pressures (n, 7) beside the angle of half burned; where a slow burn reaches beyond the closed part, its end's."""
    angles = arguments["angle_half_burned"][:, None] + states["burn_duration"][:, None] * np.array(PEAK_NODES)
    beside = np.where(
        angles > geometry.intake_closing, states["pressure_beside"], states["pressure_closing"][:, None]
    )
    late = angles >= geometry.exhaust_opening
    return np.asarray(np.where(late, states["pressure_opening"][:, None], beside), dtype=float)


def _columns(geometry: CycleGeometry, arguments: Mapping[str, Array], states: NDArray[Any]) -> Array:
    """What is fitted (n, columns), from what the cycles gave."""
    scale = arguments["mass"] * arguments["temperature"]
    powers, place = _peak_columns(np.log(_pressure_beside(geometry, arguments, states) / scale[:, None]))
    return np.column_stack(
        [
            states["work"] / states["released_heat"],
            states["wall_heat"] / states["released_heat"],
            states["temperature_opening"],
            states["pressure_opening"] / scale,
            states["pressure_closing"] / scale,
            np.log(states["knock_integral"]),
            states["burn_duration"],
            place,
            powers,
            np.log(states["compression_pressure"] / scale),
        ]
    )


def fit_cycle_table(model: CycleModel, box: CycleBox, run: Callable[..., NDArray[Any]]) -> CycleTable:
    """Fit the table of a model in a box.

    run  runs cycles: keyword arguments as ``sample_box`` names them, one record a cycle back; octane number 100,
         no dissociation (the rows add it)

    Samples crowd towards the walls of the box as Chebyshev's do, where polynomials go astray first; they are always the
    same ones, so a model always gets the same table.
    """
    arguments = sample_box(model, box, _places())
    columns = _columns(model.geometry, arguments, run(**arguments))
    return CycleTable(model=model, box=box, coefficients=np.asarray(_projector(box) @ columns, dtype=float))


@functools.cache
def _places() -> Array:
    """Places (n, 6) of the samples in any box."""
    generator = np.random.default_rng(20)
    count = int(_OVERSAMPLING * len(_TERMS))
    # One sample in each of ``count`` slices along every variable, shuffled.
    slices = np.stack([generator.permutation(count) for _ in range(6)], axis=1)
    return np.asarray(np.cos(math.pi * (slices + generator.random((count, 6))) / count), dtype=float)


@functools.lru_cache(maxsize=4)
def _projector(box: CycleBox) -> Array:
    """What turns columns (n, k) at the samples of a box into coefficients: (terms, n).

    The same for every engine, and more than half of the work of a fit, so that a second engine costs its cycles only.
    """
    x = _places()
    centre, half = box.stretched()
    basis = _basis(x, centre[1] + half[1] * x[:, 1])
    return np.asarray(np.linalg.solve(basis.T @ basis, basis.T), dtype=float)
