"""Values of general-purpose libraries that the proof compares with: writes proof/cases/reference_libraries.toml.

Each entry says which relation is meant and with which arguments, and how the library comes to its value. None calls
this project. Run it in an environment that has the libraries of README.md; those of the project's own development
environment (Cantera, fluids, SciPy) are run again by tests/published/test_reference_libraries.py.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

CASES = Path(__file__).resolve().parents[2] / "src" / "boostwright" / "proof" / "cases"
FIGURES = 7


@dataclass(frozen=True)
class Value:
    """One value of a library, and the relation it is set beside."""

    id: str
    quantity: str
    words: str
    relation: str
    inputs: dict[str, Any]
    unit: str
    tolerance: float
    kind: str
    why: str
    source: str
    where: str
    formula: str
    library: str
    compute: Callable[[], float]


def _atmosphere(height: float) -> Any:
    from fluids.atmosphere import ATMOSPHERE_1976

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
    from fluids.safety_valve import API520_F2

    return math.sqrt(2.0 * (1.0 - ratio)) * API520_F2(gamma, 1e5, ratio * 1e5)


def _nozzle_values() -> list[Value]:
    from fluids.compressible import P_critical_flow
    from fluids.safety_valve import API520_C

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
    from fluids.compressible import isentropic_T_rise_compression, isentropic_work_compression

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
    from fluids.fittings import K_branch_diverging_Crane, diffuser_sharp

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
    from scipy.stats import weibull_min

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
    import cantera as ct

    known = {one.name: one for one in ct.Species.list_from_file("nasa_gas.yaml")}
    return ct.Solution(thermo="ideal-gas", species=[known[name] for name in names])


def _heat_of_fuel(name: str) -> float:
    """Lower heating value per mass from enthalpies of formation, at 298.15 K and one atmosphere."""
    import cantera as ct

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


def _heat_values() -> list[Value]:
    """From libraries that the development environment lacks."""
    from ht.conv_external import Nu_cylinder_Churchill_Bernstein
    from ht.hx import effectiveness_from_NTU

    found = []
    rows = (
        ("counterflow", "counterflow", "the same relation in an independent library", 1e-6),
        ("crossflow", "crossflow_unmixed", "an approximation of the exact integral, good to 0.01", 0.01),
        ("crossflow, mixed Cmax", "crossflow_one_mixed", "the same relation in an independent library", 1e-6),
    )
    for number, (units, ratio) in enumerate(((0.8, 0.3), (1.5, 0.25), (2.5, 0.7))):
        for kind, relation, why, tolerance in rows:
            found.append(
                Value(
                    f"LB-{70 + number}",
                    f"effectiveness, {kind}",
                    f"{units:g} transfer units, capacity ratio {ratio:g}",
                    f"heat.exchanger.effectiveness_{relation}",
                    {"transfer_units": units, "capacity_ratio": ratio},
                    "",
                    tolerance,
                    "absolute",
                    why,
                    "ht-library",
                    "hx.effectiveness_from_NTU",
                    "from memory",
                    "ht 1.2",
                    lambda n=units, c=ratio, k=kind: float(effectiveness_from_NTU(n, c, subtype=k)),
                )
            )
    for number, reynolds in enumerate((300.0, 1000.0, 3000.0)):
        found.append(
            Value(
                f"LB-{74 + number}",
                "Nusselt number of a wire across the flow",
                f"Re {reynolds:g}, Pr 0.70, by Churchill and Bernstein",
                "heat.probe.nusselt_scadron_warshawsky",
                {"reynolds_number": reynolds, "prandtl_number": 0.70},
                "",
                0.20,
                "relative",
                "another correlation of other measurements, stated there to 20 %",
                "ht-library",
                "conv_external.Nu_cylinder_Churchill_Bernstein",
                "from memory",
                "ht 1.2",
                lambda r=reynolds: float(Nu_cylinder_Churchill_Bernstein(r, 0.70)),
            )
        )
    return found


def _water_values() -> list[Value]:
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)
    found = []
    for number, celsius in enumerate((10.0, 30.0, 45.0)):
        for relation, tolerance, why in (
            ("saturation_pressure_wagner_pruss", 5e-4, "another formula (Hyland and Wexler), as good"),
            ("saturation_pressure_magnus_alduchov_eskridge", 4e-3, "a short formula, stated to 0.4 %"),
        ):
            found.append(
                Value(
                    f"LB-{80 + number}",
                    f"saturation pressure, {relation.split('_', 2)[2].replace('_', ' ')}",
                    f"{celsius:g} degC over water",
                    f"gas.air.{relation}",
                    {"temperature": round(celsius + 273.15, 2)},
                    "Pa",
                    tolerance,
                    "relative",
                    why,
                    "ashrae-2017",
                    "chapter 1, as the library holds it",
                    "from memory",
                    "PsychroLib 2.5",
                    lambda t=celsius: float(psychrolib.GetSatVapPres(t)),
                )
            )
    return found


def _nozzle(pressure: float, temperature: float) -> tuple[float, float]:
    """Choked flow function and critical ratio of real dry air, by searching the largest mass flux."""
    from CoolProp.CoolProp import PropsSI
    from scipy.optimize import minimize_scalar

    entropy = PropsSI("S", "P", pressure, "T", temperature, "Air")
    total = PropsSI("H", "P", pressure, "T", temperature, "Air")

    def flux(ratio: float) -> float:
        state = ("P", ratio * pressure, "S", entropy, "Air")
        return float(PropsSI("D", *state) * math.sqrt(2.0 * (total - PropsSI("H", *state))))

    best = minimize_scalar(
        lambda ratio: -flux(ratio), bounds=(0.4, 0.7), method="bounded", options={"xatol": 1e-7}
    )
    constant = 8.31446261815324 / PropsSI("M", "Air")
    return flux(best.x) * math.sqrt(constant * temperature) / pressure, float(best.x)


def _real_air_values() -> list[Value]:
    found = []
    for name, pressure, temperature in (("CF-29", 1.0e5, 293.15), ("CF-30", 3.0e5, 300.0)):
        for place, quantity, relation, why in (
            (
                0,
                "choked flow function",
                "choked_flow_function",
                "real gas against a perfect one with gamma 1.4",
            ),
            (
                1,
                "throat pressure ratio",
                "critical_pressure_ratio",
                "real gas against a perfect one with gamma 1.4",
            ),
        ):
            found.append(
                Value(
                    name,
                    f"{quantity} of real air",
                    f"dry air, {pressure / 1e3:g} kPa, {temperature:g} K",
                    f"gas.isentropic.{relation}",
                    {"heat_capacity_ratio": 1.4},
                    "",
                    2e-3,
                    "relative",
                    why + ": 0.2 %",
                    "lemmon-2000",
                    "largest mass flux along an isentrope",
                    "from memory",
                    "CoolProp 8",
                    lambda p=pressure, t=temperature, i=place: _nozzle(p, t)[i],
                )
            )
    return found


IN_THE_LOCK = (
    _atmosphere_values,
    _nozzle_values,
    _machine_values,
    _fitting_values,
    _wiebe_values,
    _combustion_values,
)
ELSEWHERE = (_heat_values, _water_values, _real_air_values)


def _text(value: Any) -> str:
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list):
        return f"[{', '.join(_text(one) for one in value)}]"
    return repr(float(f"{value:.12g}"))


def entry(value: Value) -> str:
    """The value as a case of the proof."""
    inputs = ", ".join(f"{name} = {_text(one)}" for name, one in value.inputs.items())
    return (
        f"\n[[case]]\n"
        f'id = "{value.id}"\n'
        f'quantity = "{value.quantity}"\n'
        f'words = "{value.words}"\n'
        f'relation = "{value.relation}"\n'
        f"inputs = {{ {inputs} }}\n"
        f"expected = {float(f'{value.compute():.{FIGURES}g}')!r}\n"
        f'unit = "{value.unit}"\n'
        f"tolerance = {value.tolerance!r}\n"
        f'kind = "{value.kind}"\n'
        f'why = "{value.why}"\n'
        f'source = "{value.source}"\n'
        f'where = "{value.where}"\n'
        f'status = "computed"\n'
        f'library = "{value.library}"\n'
        f'formula = "{value.formula}"\n'
    )


HEAD = """# Values of general-purpose libraries beside ours. Made by studies/reference_libraries/values.py.
# Inputs are SI numbers or text with a unit; expected and tolerance stand in `unit` ("" is a pure number or SI).
"""

if __name__ == "__main__":
    values = [value for part in (*IN_THE_LOCK, *ELSEWHERE) for value in part()]
    text = HEAD + "".join(entry(value) for value in values)
    (CASES / "reference_libraries.toml").write_text(text, encoding="utf-8", newline="\n")
