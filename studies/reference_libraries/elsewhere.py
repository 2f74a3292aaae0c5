"""Values of libraries that nothing else here needs: ht, PsychroLib, CoolProp, ambiance."""

from __future__ import annotations

import math

import psychrolib
from ambiance import Atmosphere
from CoolProp.CoolProp import PropsSI
from ht.conv_external import Nu_cylinder_Churchill_Bernstein
from ht.hx import effectiveness_from_NTU
from ht.radiation import q_rad
from scipy.optimize import minimize_scalar

from studies.reference_libraries.value import Value


def _heat_values() -> list[Value]:

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


def _radiation_values() -> list[Value]:
    return [
        Value(
            "LB-78",
            "heat radiated by a small body",
            "emissivity 0.8, 923 K among 333 K",
            "heat.radiation.exchange_small_body",
            {"emissivity": 0.8, "temperature": 923.0, "temperature_around": 333.0},
            "W/m2",
            3e-6,
            "relative",
            "the same relation; the constant there is of CODATA 2014, uncertain by 2.3e-6",
            "ht-library",
            "radiation.q_rad",
            "from memory",
            "ht 1.2",
            lambda: float(q_rad(0.8, 923.0, 333.0)),
        )
    ]


def _altitude_values() -> list[Value]:
    common = ("absolute", "the library holds ICAO 1993, the same atmosphere")
    return [
        Value(
            "LB-84",
            "pressure altitude",
            "85 kPa",
            "gas.standard_atmosphere.pressure_altitude",
            {"pressure": 85e3},
            "m",
            0.1,
            *common,
            "iso-2533",
            "the standard as a library holds it",
            "from memory",
            "ambiance 1.3",
            lambda: float(Atmosphere.from_pressure(85e3).H[0]),
        ),
        Value(
            "LB-84",
            "density altitude",
            "1.05 kg/m3",
            "gas.standard_atmosphere.density_altitude",
            {"density": 1.05},
            "m",
            0.1,
            *common,
            "iso-2533",
            "the standard as a library holds it",
            "from memory",
            "ambiance 1.3",
            lambda: float(Atmosphere.from_density(1.05).H[0]),
        ),
    ]


ELSEWHERE = (_heat_values, _radiation_values, _water_values, _altitude_values, _real_air_values)
