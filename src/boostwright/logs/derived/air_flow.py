"""Air flow by every route the sensors allow, the fuel with it, and whether the routes agree."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from boostwright.logs.derived.facts import EngineFacts
from boostwright.logs.derived.fuel_cut import LEANEST, SETTLING, without_cuts
from boostwright.logs.derived.fuel_flow import by_injectors, logged_fuel
from boostwright.logs.derived.pressures import absolute, air_gas_constant
from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.uncertain import Uncertain, through, where_valid
from boostwright.physics.cylinder import breathing

__all__ = ["PAIRS", "QUANTITIES", "ROUTES", "ROUTE_WORDS"]

Array = NDArray[np.float64]

ROUTES = ("meter", "speed_density", "fuel", "injectors")
"""Routes to the air flow, as they stand behind ``mass_flow_air_``."""
ROUTE_WORDS = {
    "meter": "the air meter",
    "speed_density": "speed and density",
    "fuel": "fuel flow times lambda",
    "injectors": "injector time times lambda",
}
"""Each route in words."""
_GAMMA = 1.3  # of the residual gas, as in the model
_ON_BOOST = (1.2, 0.35)  # p_em/p_im where nothing shows it, and largest error
_USUAL_EXHAUST = 1100.0  # K
_FACTORS = {
    "eriksson": breathing.backpressure_factor_eriksson,
    "heywood": breathing.backpressure_factor_heywood,
}
_FLOW = where_valid(breathing.mass_flow_speed_density)


def _meter(rows: Rows) -> Uncertain:
    return rows.channel("mass_flow_air")


def _back_pressure(rows: Rows) -> Uncertain:
    """p_em over p_im: by the tap, as the model expects it, or assumed."""
    pressure_im = rows.get("pressure_im")

    def measured() -> Uncertain:
        return through(np.divide, _manifold_total(rows), pressure_im)

    def expected() -> Uncertain:
        facts = rows.facts.expected
        if facts is None:
            raise Missing(Need("channel pressure_em_static"))
        largest = np.full(facts.speeds.shape, 0.15)
        found = rows.along(
            "back-pressure expected",
            rows.channel("engine_speed"),
            facts.speeds,
            facts.pressure_ratio,
            largest,
        )
        return found.with_flag("back-pressure", f"back-pressure for the filling: {facts.words}, within 0.15")

    def assumed() -> Uncertain:
        words = "back-pressure for the filling: p_em/p_im of 1.2 within 0.35 assumed"
        return rows.number("back-pressure assumed", *_ON_BOOST).with_flag("back-pressure", words)

    return rows.first(measured, expected, assumed)


def _manifold_total(rows: Rows) -> Uncertain:
    """Exhaust manifold pressure for the filling: the tap's, with the head of a flow guessed at a filling of 0.9.

    The flow itself hangs on it; ten per cent of flow are two per cent of the head, and 0.05 % of the filling.
    """
    static, tap, engine = (
        absolute(rows, "pressure_em_static"),
        rows.facts.taps.get("pressure_em"),
        rows.facts.engine,
    )
    if tap is None or engine is None:
        return static
    area, volume = np.pi / 4.0 * tap.pipe_bore**2, engine.displacement

    def add(p: Array, p_im: Array, t_im: Array, n: Array) -> Array:
        flow = 0.9 * 1.07 * p_im / (287.05 * t_im) * volume * n / (4.0 * np.pi)
        return np.asarray(p + 0.5 * (flow / area) ** 2 * 289.0 * _USUAL_EXHAUST / p)

    return through(
        add, static, rows.get("pressure_im"), rows.get("temperature_im"), rows.channel("engine_speed")
    )


def _engine(rows: Rows) -> EngineFacts:
    if rows.facts.engine is None:
        raise Missing(Need("the engine's displacement and volumetric efficiency", "a build knows them"))
    return rows.facts.engine


def _filling(rows: Rows) -> Uncertain:
    """Volumetric efficiency of the build at the log's own back-pressure and temperature."""
    engine = _engine(rows)
    speed = rows.channel("engine_speed")
    largest = engine.share * engine.volumetric_efficiency
    table = rows.along("breathing (VE)", speed, engine.speeds, engine.volumetric_efficiency, largest)
    factor = where_valid(_FACTORS[engine.form])
    at_reference = np.interp(speed.value, engine.speeds, engine.reference_factor)
    warm = np.interp(speed.value, engine.speeds, engine.reference_temperature)
    rc = np.full(rows.time.shape, engine.compression_ratio)
    gamma = np.full(rows.time.shape, _GAMMA)
    found = through(
        lambda ve, ratio, t: (
            ve * factor(ratio, rc, gamma) / at_reference * (t / warm) ** engine.temperature_exponent
        ),
        table,
        _back_pressure(rows),
        rows.get("temperature_im"),
    )
    return found.with_flag("breathing", f"volumetric efficiency: {engine.words}, at the log's back-pressure")


def _speed_density(rows: Rows) -> Uncertain:
    volume = np.full(rows.time.shape, _engine(rows).displacement)
    return through(
        lambda ve, p, t, n, r: _FLOW(ve, p, t, volume, n, r),
        _filling(rows),
        rows.get("pressure_im"),
        rows.get("temperature_im"),
        rows.channel("engine_speed"),
        air_gas_constant(rows),
    )


def _air_of_fuel(rows: Rows, fuel: Uncertain) -> Uncertain:
    """Humid air that burns a fuel flow at the lambda read."""
    facts = rows.facts.fuel
    if facts is None:
        raise Missing(Need("the fuel's stoichiometric ratio", "a build knows it"))
    ratio, share = facts.stoichiometric_ratio, facts.stoichiometric_share
    found = through(
        lambda m, lam, stoichiometric, vapour: np.where(
            lam < LEANEST, m * lam * stoichiometric * (1.0 + vapour), np.nan
        ),
        fuel,
        rows.first(lambda: rows.get("lambda_corrected"), lambda: rows.get("lambda")),
        rows.number("stoichiometric ratio", ratio, share * ratio),
        rows.number("vapour in the air", 0.006, 0.006),
    )
    return without_cuts(rows, found)


def _fuel(rows: Rows) -> Uncertain:
    return _air_of_fuel(rows, logged_fuel(rows))


def _injectors(rows: Rows) -> Uncertain:
    return _air_of_fuel(rows, by_injectors(rows))


_MAKE: dict[str, Callable[[Rows], Uncertain]] = {
    "meter": _meter,
    "speed_density": _speed_density,
    "fuel": _fuel,
    "injectors": _injectors,
}


def _best(rows: Rows) -> Uncertain:
    route = rows.air_route
    if not route:
        missing: list[Need] = []
        for one in ROUTES:
            try:
                rows.get(f"mass_flow_air_{one}")
            except Missing as lacking:
                missing += lacking.needs
        raise Missing(*dict.fromkeys(missing))
    found = rows.get(f"mass_flow_air_{route}")
    return found.with_flag("air-flow", f"air flow by {ROUTE_WORDS[route]}, the narrowest band in this log")


def _exhaust(rows: Rows) -> Uncertain:
    return through(np.add, rows.get("mass_flow_air"), rows.get("mass_flow_fuel"))


def _total_fuel(rows: Rows) -> Uncertain:
    """Fuel as logged, else by the injectors, else what lambda says of the air."""

    def of_air() -> Uncertain:
        facts = rows.facts.fuel
        if facts is None:
            raise Missing(Need("the fuel's stoichiometric ratio", "a build knows it"))
        lam = rows.first(
            lambda: rows.get("lambda_corrected"),
            lambda: rows.get("lambda"),
            lambda: rows.number("lambda assumed", 0.88, 0.1).with_flag(
                "lambda", "lambda is not logged: 0.88 within 0.1 assumed for the fuel's share"
            ),
        )
        return through(lambda m, x: m / (x * facts.stoichiometric_ratio), rows.get("mass_flow_air"), lam)

    return rows.first(lambda: logged_fuel(rows), lambda: by_injectors(rows), of_air)


def _disagreement(one: str, other: str) -> Callable[[Rows], Uncertain]:
    def make(rows: Rows) -> Uncertain:
        first, second = rows.get(f"mass_flow_air_{one}"), rows.get(f"mass_flow_air_{other}")
        return through(lambda a, b: np.where(b > 0.0, a / b - 1.0, np.nan), first, second)

    return make


def _volumetric_efficiency(rows: Rows) -> Uncertain:
    """Filling as measured: by any route that does not begin with it."""
    engine = _engine(rows)
    flow = rows.first(
        *(lambda route=route: rows.get(f"mass_flow_air_{route}") for route in ("meter", "fuel", "injectors"))
    )
    volume = engine.displacement
    return through(
        lambda m, p, t, n, r: np.where(n > 0.0, m * 4.0 * np.pi * r * t / (p * volume * n), np.nan),
        flow,
        rows.get("pressure_im"),
        rows.get("temperature_im"),
        rows.channel("engine_speed"),
        air_gas_constant(rows),
    )


_ROUTE_FORMULA = {
    "meter": "as logged",
    "speed_density": "VE p_im V_d n/(2 R T_im) f(p_em/p_im)/f(ref) (T_im/T_ref)^x, n in revolutions",
    "fuel": f"m_f lambda L_st (1 + w), m_f by flow meter; none while fuel is cut (lambda over {LEANEST:g}) "
    f"and {SETTLING:g} s after",
    "injectors": f"m_f lambda L_st (1 + w), m_f by injector time; none while fuel is cut "
    f"and {SETTLING:g} s after",
}
PAIRS = tuple((a, b) for k, b in enumerate(ROUTES) for a in ROUTES[k + 1 :])
"""(one, other): routes that are held against each other, as ``air_flow_ONE_over_OTHER``."""

QUANTITIES = (
    *(
        Quantity(
            f"mass_flow_air_{route}",
            "kg/s",
            f"air flow by {ROUTE_WORDS[route]}",
            "humid air",
            _ROUTE_FORMULA[route],
            _MAKE[route],
        )
        for route in ROUTES
    ),
    Quantity(
        "mass_flow_air",
        "kg/s",
        "air flow",
        "humid air",
        "the route with the narrowest band in this log",
        _best,
    ),
    *(
        Quantity(
            f"air_flow_{a}_over_{b}",
            "1",
            f"air flow by {ROUTE_WORDS[a]} over that by {ROUTE_WORDS[b]}, less one",
            "",
            f"m_{a}/m_{b} - 1",
            _disagreement(a, b),
        )
        for a, b in PAIRS
    ),
    Quantity(
        "volumetric_efficiency",
        "1",
        "volumetric efficiency as measured",
        "fresh air over density at pressure_im, temperature_im times displacement",
        "2 m R T_im/(p_im V_d n), m by meter or fuel, n in revolutions",
        _volumetric_efficiency,
    ),
    Quantity(
        "mass_flow_fuel",
        "kg/s",
        "fuel flow",
        "",
        "as logged; by the injectors; else m_air/(lambda L_st)",
        _total_fuel,
    ),
    Quantity("mass_flow_exhaust", "kg/s", "exhaust gas flow of the engine", "", "m_air + m_fuel", _exhaust),
)
"""Air, fuel and exhaust flow."""
