"""Values of libraries that the development environment holds: fluids, SciPy, Cantera. A test asks them again."""

from __future__ import annotations

import math
from typing import Any

import cantera as ct
import numpy as np
from fluids.atmosphere import ATMOSPHERE_1976
from fluids.compressible import P_critical_flow, isentropic_T_rise_compression, isentropic_work_compression
from fluids.fittings import K_branch_diverging_Crane, diffuser_sharp
from fluids.safety_valve import API520_C, API520_F2
from scipy.integrate import solve_bvp
from scipy.stats import weibull_min

from studies.reference_libraries.value import Value


def _atmosphere(height: float) -> Any:

    # the library takes a geometric altitude, the relations a geopotential height
    return ATMOSPHERE_1976(6356766.0 * height / (6356766.0 - height))


def _atmosphere_values() -> list[Value]:
    common = {
        "inputs": {},
        "kind": "relative",
        "source": "us-standard-atmosphere-1976",
        "where": "the standard as a library holds it; equal to ISO 2533 in the troposphere",
        "formula": "from memory",
        "library": "fluids 1.3",
    }
    found = []
    rows: tuple[tuple[str, str, str, float], ...] = (
        ("standard_temperature", "T", "K", 2e-5),
        ("standard_pressure", "P", "Pa", 5e-5),
        ("standard_density", "rho", "kg/m3", 5e-5),
    )
    for number, height in enumerate((800.0, 2000.0, 3500.0)):
        for name, attribute, unit, tolerance in rows:
            found.append(
                Value(
                    **{
                        **common,
                        "id": f"LB-{10 + number}",
                        "quantity": name.replace("_", " "),
                        "words": f"{height:g} m geopotential",
                        "relation": f"gas.standard_atmosphere.{name}",
                        "inputs": {"geopotential_height": height},
                        "unit": unit,
                        "tolerance": tolerance,
                        "why": "the same standard; constants rounded in the fifth figure",
                        "compute": lambda h=height, a=attribute: float(getattr(_atmosphere(h), a)),
                    }
                )
            )
    for number, temperature in enumerate((260.0, 288.15, 320.0)):
        height = (288.15 - temperature) / 0.0065
        for name, relation, attribute, unit, tolerance, why, formula in (
            (
                "viscosity of air",
                "viscosity_sutherland",
                "mu",
                "Pa s",
                1e-4,
                "the same formula in an independent library",
                "from memory",
            ),
            (
                "thermal conductivity of air",
                "thermal_conductivity_power_law",
                "k",
                "W/(m K)",
                0.028,
                "another formula; each is good to 2 %, together 2.8 %",
                "own estimate",
            ),
        ):
            found.append(
                Value(
                    **{
                        **common,
                        "id": f"LB-{14 + number}",
                        "quantity": name,
                        "words": f"{temperature:g} K",
                        "relation": f"gas.air.{relation}",
                        "inputs": {"temperature": temperature},
                        "unit": unit,
                        "tolerance": tolerance,
                        "why": why,
                        "formula": formula,
                        "compute": lambda h=height, a=attribute: float(getattr(_atmosphere(h), a)),
                    }
                )
            )
    return found


def _sizing_function(ratio: float, gamma: float) -> float:
    """Flow function from the sizing formulas for relief valves, whose coefficients hold the same physics."""

    return math.sqrt(2.0 * (1.0 - ratio)) * API520_F2(gamma, 1e5, ratio * 1e5)


def _nozzle_values() -> list[Value]:

    found = []
    for number, gamma in enumerate((1.30, 1.36, 1.40)):
        found += [
            Value(
                f"LB-{20 + number}",
                "critical pressure ratio",
                f"gamma {gamma:g}",
                "gas.isentropic.critical_pressure_ratio",
                {"heat_capacity_ratio": gamma},
                "",
                1e-6,
                "relative",
                "the same formula in an independent library",
                "fluids-library",
                "compressible.P_critical_flow",
                "from memory",
                "fluids 1.3",
                lambda g=gamma: P_critical_flow(1.0, g),
            ),
            Value(
                f"LB-{20 + number}",
                "choked flow function",
                f"gamma {gamma:g}: the gas coefficient C of API 520 over 0.03948",
                "gas.isentropic.choked_flow_function",
                {"heat_capacity_ratio": gamma},
                "",
                1e-4,
                "relative",
                "0.03948 is the rounded square root of a molar mass over the gas constant",
                "fluids-library",
                "safety_valve.API520_C",
                "from memory",
                "fluids 1.3",
                lambda g=gamma: API520_C(g) / 0.03948,
            ),
        ]
    for number, (ratio, gamma) in enumerate(((0.95, 1.4), (0.80, 1.33), (0.62, 1.30))):
        found.append(
            Value(
                f"LB-{24 + number}",
                "flow function",
                f"ratio {ratio:g}, gamma {gamma:g}: the coefficient F2 of API 520 times sqrt(2 (1 - ratio))",
                "gas.orifice.flow_function",
                {"pressure_ratio": ratio, "heat_capacity_ratio": gamma},
                "",
                1e-6,
                "relative",
                "the same physics under another name",
                "fluids-library",
                "safety_valve.API520_F2",
                "from memory",
                "fluids 1.3",
                lambda r=ratio, g=gamma: _sizing_function(r, g),
            )
        )
    return found


def _machine_values() -> list[Value]:

    found = []
    for number, (cold, ratio, efficiency) in enumerate(((288.15, 1.6, 0.70), (305.0, 2.4, 0.74))):
        inputs = {
            "temperature_in": cold,
            "pressure_ratio": ratio,
            "efficiency": efficiency,
            "heat_capacity_ratio": 1.398,
        }
        words = f"{cold:g} K, ratio {ratio:g}, efficiency {efficiency:g}, gamma 1.398"
        hot = isentropic_T_rise_compression(cold, 1e5, ratio * 1e5, 1.398, efficiency)
        found += [
            Value(
                f"LB-{30 + number}",
                "outlet temperature",
                words,
                "turbo.compression.temperature_after_compression",
                inputs,
                "K",
                1e-6,
                "relative",
                "the same relation in an independent library",
                "fluids-library",
                "compressible.isentropic_T_rise_compression",
                "from memory",
                "fluids 1.3",
                lambda value=hot: float(value),
            ),
            Value(
                f"LB-{30 + number}",
                "specific work",
                words + ", cp 1008.26 J/(kg K) for the gas constant 287.05",
                "turbo.compression.specific_work_compression",
                {**inputs, "specific_heat": 287.05 * 1.398 / 0.398},
                "J/kg",
                1e-5,
                "relative",
                "the same relation in an independent library, per mole there",
                "fluids-library",
                "compressible.isentropic_work_compression",
                "from memory",
                "fluids 1.3",
                lambda c=cold, r=ratio, e=efficiency: float(
                    isentropic_work_compression(T1=c, k=1.398, Z=1.0, P1=1e5, P2=r * 1e5, eta=e)
                    * 287.05
                    / 8.31446261815324
                ),
            ),
            Value(
                f"LB-{30 + number}",
                "efficiency from the temperatures",
                words + ", worked back",
                "turbo.compression.efficiency_from_temperatures",
                {
                    "temperature_in": cold,
                    "temperature_out": float(f"{hot:.9g}"),
                    "pressure_ratio": ratio,
                    "heat_capacity_ratio": 1.398,
                },
                "",
                1e-6,
                "relative",
                "the efficiency that went into the library",
                "fluids-library",
                "compressible.isentropic_T_rise_compression, worked back",
                "from memory",
                "fluids 1.3",
                lambda e=efficiency: e,
            ),
        ]
    return found


def _fitting_values() -> list[Value]:

    found = [
        Value(
            "LB-40",
            "loss of a sudden enlargement",
            "bore 40 to 60 mm",
            "gas.fittings.loss_enlargement_borda_carnot",
            {"area_ratio": 0.4444444444444444},
            "",
            1e-6,
            "relative",
            "the same relation in an independent library",
            "fluids-library",
            "fittings.diffuser_sharp",
            "definition",
            "fluids 1.3",
            lambda: float(diffuser_sharp(Di1=0.040, Di2=0.060)),
        )
    ]
    for number, (split, ratio, angle) in enumerate(((0.3, 1.0, 45.0), (0.25, 1.34, 90.0), (0.6, 1.0, 30.0))):
        found.append(
            Value(
                f"LB-{41 + number}",
                "loss of a branch",
                f"split {split:g}, common over branch area {ratio:g}, {angle:g} degrees",
                "gas.fittings.loss_branch_crane",
                {"flow_split": split, "area_ratio": ratio, "angle": f"{angle:g} deg"},
                "",
                1e-4,
                "relative",
                "the same rules in an independent library",
                "crane-tp410",
                "fittings.K_branch_diverging_Crane",
                "read second-hand",
                "fluids 1.3",
                lambda s=split, r=ratio, a=angle: float(
                    K_branch_diverging_Crane(0.05, 0.05 / math.sqrt(r), 1.0 - s, s, a)
                ),
            )
        )
    return found


def _wiebe_values() -> list[Value]:

    found = []
    for number, (factor, exponent) in enumerate(((5.0, 2.0), (6.908, 1.6))):
        scale = factor ** (-1.0 / (exponent + 1.0))
        found += [
            Value(
                f"LB-{50 + number}",
                "burned fraction",
                f"a {factor:g}, m {exponent:g}, 40 % of the duration: a Weibull distribution",
                "cylinder.burn.burned_fraction_wiebe",
                {
                    "crank_angle": 0.2,
                    "burn_start": -0.2,
                    "burn_duration": 1.0,
                    "wiebe_factor": factor,
                    "wiebe_exponent": exponent,
                },
                "",
                1e-6,
                "relative",
                "the same function under the name of a distribution",
                "scipy",
                "stats.weibull_min.cdf",
                "from memory",
                "SciPy 1.17",
                lambda s=scale, m=exponent: float(weibull_min.cdf(0.4, m + 1.0, scale=s)),
            ),
            Value(
                f"LB-{50 + number}",
                "progress at 90 % burned",
                f"a {factor:g}, m {exponent:g}",
                "cylinder.burn.burn_progress_wiebe",
                {"burned_fraction": 0.9, "wiebe_factor": factor, "wiebe_exponent": exponent},
                "",
                1e-6,
                "relative",
                "the same function under the name of a distribution",
                "scipy",
                "stats.weibull_min.ppf",
                "from memory",
                "SciPy 1.17",
                lambda s=scale, m=exponent: float(weibull_min.ppf(0.9, m + 1.0, scale=s)),
            ),
        ]
    return found


def _gas(names: tuple[str, ...]) -> Any:

    known = {one.name: one for one in ct.Species.list_from_file("nasa_gas.yaml")}
    return ct.Solution(thermo="ideal-gas", species=[known[name] for name in names])


def _heat_of_fuel(name: str) -> float:
    """Lower heating value per mass from enthalpies of formation, at 298.15 K and one atmosphere."""

    gas = _gas((name, "O2", "CO2", "H2O", "N2"))
    gas.TP = 298.15, ct.one_atm
    gas.set_equivalence_ratio(1.0, name, "O2:1")
    before, share = gas.enthalpy_mass, gas[name].Y[0]
    gas.TPX = 298.15, ct.one_atm, _burned(gas, name)
    return (before - gas.enthalpy_mass) / share


def _burned(gas: Any, name: str) -> dict[str, float]:
    return (
        {"CO2": gas.n_atoms(name, "C"), "H2O": gas.n_atoms(name, "H") / 2.0} if name != "CO" else {"CO2": 1.0}
    )


def _air_per_fuel(name: str) -> float:
    gas = _gas((name, "O2", "N2", "Ar"))
    gas.set_equivalence_ratio(1.0, name, {"N2": 0.7808, "O2": 0.2095, "Ar": 0.0097})
    share = gas[name].Y[0]
    return float((1.0 - share) / share)


def _combustion_values() -> list[Value]:
    found = [
        Value(
            f"LB-{60 + number}",
            "chemical energy",
            f"{share:g} of {name}, the rest nitrogen, by mole: heat of its oxidation per mass of the mixture",
            "gas.exhaust.chemical_energy",
            {
                "mole_fractions": [
                    1.0 - share,
                    0.0,
                    0.0,
                    0.0,
                    0.0,
                    *((share, 0.0) if name == "CO" else (0.0, share)),
                ]
            },
            "J/kg",
            1e-3,
            "relative",
            "enthalpies of formation of another data set",
            "cantera-3",
            "nasa_gas.yaml",
            "read",
            "Cantera 3.2",
            lambda n=name, s=share, w=weight: _heat_of_fuel(n) * s * w / (s * w + (1.0 - s) * 28.0134),
        )
        for number, (name, share, weight) in enumerate((("CO", 0.05, 28.010), ("H2", 0.02, 2.01588)))
    ]
    fuels = (("C8H18,isooctane", 2.25, 0.0), ("C2H5OH", 3.0, 0.5), ("CH3OH", 4.0, 1.0), ("C7H8", 8 / 7, 0.0))
    found += [
        Value(
            f"LB-{64 + number}",
            "stoichiometric air-fuel ratio",
            f"{name}, balanced by the library",
            "gas.fuel.stoichiometric_air_fuel_ratio",
            {"hydrogen_per_carbon": hydrogen, "oxygen_per_carbon": oxygen},
            "",
            3e-4,
            "relative",
            "atomic weights and the molar mass of air in the fifth figure",
            "cantera-3",
            "Solution.set_equivalence_ratio",
            "from memory",
            "Cantera 3.2",
            lambda n=name: _air_per_fuel(n),
        )
        for number, (name, hydrogen, oxygen) in enumerate(fuels)
    ]
    return found


def _geopotential_values() -> list[Value]:
    return [
        Value(
            f"LB-{17 + number}",
            "geopotential height",
            f"{altitude:g} m above the sea",
            "gas.standard_atmosphere.geopotential_height",
            {"altitude": altitude},
            "m",
            0.2,
            "absolute",
            "the radius of the earth in the fourth figure",
            "us-standard-atmosphere-1976",
            "the standard as a library holds it",
            "from memory",
            "fluids 1.3",
            lambda z=altitude: float(ATMOSPHERE_1976(z).H),
        )
        for number, altitude in enumerate((1500.0, 4000.0))
    ]


def _fin_tip(length: float, coefficient: float) -> float:
    """Excess of the wall left at the tip of a fin, by SciPy's boundary-value solver; place counts over the length."""
    fins = 4.0 * coefficient * length**2 / (15.0 * 3e-3)
    places = np.linspace(0.0, 1.0, 201)
    first = np.vstack([np.ones(201), np.zeros(201)])
    solved = solve_bvp(
        lambda x, y: np.vstack([y[1], fins * y[0]]),
        lambda wall, tip: np.array([wall[0] - 1.0, tip[1]]),
        places,
        first,
        tol=1e-9,
        max_nodes=50000,
    )
    return 100.0 * float(solved.sol(1.0)[0])


def _fin_values() -> list[Value]:
    return [
        Value(
            f"LB-{86 + number}",
            "conduction along a sheath",
            f"3 mm, {1e3 * length:g} mm in the gas, {coefficient:g} W/(m2 K), 15 W/(m K), wall 100 K cooler",
            "heat.probe.conduction_error",
            {
                "probe_temperature": 1150.0,
                "wall_temperature": 1050.0,
                "diameter": 3e-3,
                "immersion": length,
                "conductivity": 15.0,
                "heat_transfer_coefficient": coefficient,
            },
            "K",
            1e-5,
            "relative",
            "the differential equation of the fin, integrated numerically",
            "scipy",
            "integrate.solve_bvp",
            "definition",
            "SciPy 1.17",
            lambda n=length, h=coefficient: _fin_tip(n, h),
        )
        for number, (length, coefficient) in enumerate(((6e-3, 500.0), (15e-3, 740.0)))
    ]


IN_THE_LOCK = (
    _atmosphere_values,
    _geopotential_values,
    _nozzle_values,
    _machine_values,
    _fitting_values,
    _wiebe_values,
    _combustion_values,
    _fin_values,
)
