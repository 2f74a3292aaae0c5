"""The strict table of unit names, each with its SI factor, sorted by the kind of quantity it measures.

A name means one thing inside its kind and nothing outside it. What the trade writes for two things
(``hp``) stands in ``AMBIGUOUS`` with what to write instead.

Sources of the exact factors: international yard and pound agreement (0.3048 m, 0.45359237 kg), standard
gravity 9.80665 m/s2 (3rd CGPM), conventional millimetre of mercury and of water as tabled in NIST SP 811,
appendix B. The metric horsepower is 75 kgf m/s and the mechanical one 550 lbf ft/s, by definition.
"""

from __future__ import annotations

import math

__all__ = [
    "AMBIGUOUS",
    "BASIS_SPELLINGS",
    "BASIS_WORDS",
    "KINDS",
    "OFFSETS",
    "PREFERRED",
    "SPELLINGS",
    "TABLE",
]

FOOT = 0.3048
INCH = FOOT / 12
POUND = 0.45359237
GRAVITY = 9.80665
POUND_FORCE = POUND * GRAVITY
PSI = POUND_FORCE / INCH**2
MERCURY = 133.322387415  # conventional mmHg: 13 595.1 kg/m3 x 9.80665 m/s2 x 1 mm
WATER = 9.80665  # conventional mm of water, 1 000 kg/m3
BTU = 1055.05585262  # international table
RANKINE = 5 / 9

# kind -> {name: factor}; the first name of a kind is its SI unit.
TABLE: dict[str, dict[str, float]] = {
    "length": {
        "m": 1.0,
        "mm": 1e-3,
        "cm": 1e-2,
        "km": 1e3,
        "um": 1e-6,
        "in": INCH,
        "ft": FOOT,
        "thou": INCH / 1000,
    },
    "area": {"m2": 1.0, "mm2": 1e-6, "cm2": 1e-4, "in2": INCH**2, "ft2": FOOT**2},
    "second_moment": {"m4": 1.0, "mm4": 1e-12, "cm4": 1e-8, "in4": INCH**4},
    "volume": {"m3": 1.0, "L": 1e-3, "mL": 1e-6, "cm3": 1e-6, "mm3": 1e-9, "in3": INCH**3, "ft3": FOOT**3},
    "angle": {"rad": 1.0, "deg": math.pi / 180},
    "temperature": {"K": 1.0, "degC": 1.0, "degF": RANKINE, "degR": RANKINE},
    "temperature_difference": {"K": 1.0, "degC": 1.0, "degF": RANKINE, "degR": RANKINE},
    "pressure": {
        "Pa": 1.0,
        "hPa": 1e2,
        "kPa": 1e3,
        "MPa": 1e6,
        "GPa": 1e9,
        "bar": 1e5,
        "mbar": 1e2,
        "psi": PSI,
        "atm": 101325.0,
        "mmHg": MERCURY,
        "inHg": MERCURY * 25.4,
        "mmH2O": WATER,
        "inH2O": WATER * 25.4,
        "kgf/cm2": GRAVITY * 1e4,
    },
    "mass": {"kg": 1.0, "g": 1e-3, "mg": 1e-6, "t": 1e3, "lb": POUND, "oz": POUND / 16},
    "mass_flow": {
        "kg/s": 1.0,
        "g/s": 1e-3,
        "kg/min": 1 / 60,
        "kg/h": 1 / 3600,
        "g/min": 1e-3 / 60,
        "lb/s": POUND,
        "lb/min": POUND / 60,
        "lb/h": POUND / 3600,
    },
    "volume_flow": {
        "m3/s": 1.0,
        "m3/min": 1 / 60,
        "m3/h": 1 / 3600,
        "L/s": 1e-3,
        "L/min": 1e-3 / 60,
        "L/h": 1e-3 / 3600,
        "cm3/min": 1e-6 / 60,
        "cm3/s": 1e-6,
        "CFM": FOOT**3 / 60,
    },
    "rotational_speed": {
        "rad/s": 1.0,
        "rpm": 2 * math.pi / 60,
        "krpm": 2000 * math.pi / 60,
        "rev/s": 2 * math.pi,
    },
    "rotational_acceleration": {"rad/s2": 1.0, "rpm/s": 2 * math.pi / 60},
    "power": {
        "W": 1.0,
        "kW": 1e3,
        "MW": 1e6,
        "hp (mechanical)": 550 * FOOT * POUND_FORCE,
        "PS": 75 * GRAVITY,
    },
    "torque": {
        "Nm": 1.0,
        "kNm": 1e3,
        "lbf*ft": POUND_FORCE * FOOT,
        "lbf*in": POUND_FORCE * INCH,
        "kgf*m": GRAVITY,
    },
    "force": {"N": 1.0, "kN": 1e3, "lbf": POUND_FORCE, "kgf": GRAVITY},
    "stiffness": {
        "N/m": 1.0,
        "N/mm": 1e3,
        "kN/m": 1e3,
        "lbf/in": POUND_FORCE / INCH,
        "kgf/mm": GRAVITY * 1e3,
    },
    "density": {"kg/m3": 1.0, "g/cm3": 1e3, "kg/L": 1e3, "g/L": 1.0, "lb/ft3": POUND / FOOT**3},
    "specific_energy": {"J/kg": 1.0, "kJ/kg": 1e3, "MJ/kg": 1e6, "kWh/kg": 3.6e6, "BTU/lb": BTU / POUND},
    "specific_fuel_consumption": {"kg/J": 1.0, "g/kWh": 1e-3 / 3.6e6},
    "specific_heat": {"J/(kg*K)": 1.0, "kJ/(kg*K)": 1e3},
    "molar_mass": {"kg/mol": 1.0, "g/mol": 1e-3},
    "time": {"s": 1.0, "ms": 1e-3, "us": 1e-6, "min": 60.0, "h": 3600.0},
    "velocity": {"m/s": 1.0, "km/h": 1 / 3.6, "mph": 1760 * 3 * FOOT / 3600, "ft/s": FOOT},
    "dimensionless": {"": 1.0, "%": 1e-2},
    "thermal_conductance": {"W/K": 1.0, "kW/K": 1e3},
    "thermal_conductivity": {"W/(m*K)": 1.0},
    "thermal_expansion": {"1/K": 1.0, "um/(m*K)": 1e-6},
    "swallowing": {
        "kg*sqrt(K)/(s*Pa)": 1.0,
        "kg/s*sqrt(K)/kPa": 1e-3,
        "kg/s*sqrt(K)/bar": 1e-5,
        "lb/min*sqrt(degR)/psi": POUND / 60 * math.sqrt(RANKINE) / PSI,
    },
    "moment_of_inertia": {"kg*m2": 1.0, "g*cm2": 1e-7, "kg*mm2": 1e-6},
    "frequency": {"Hz": 1.0, "kHz": 1e3},
    "voltage": {"V": 1.0, "mV": 1e-3},
    "current": {"A": 1.0, "mA": 1e-3},
}

OFFSETS = {"degC": 273.15, "degF": 459.67 * RANKINE}  # kelvin, for the kind "temperature" only

# kind -> {other spelling: name}. Spaces around * and / are taken out before the look-up.
SPELLINGS: dict[str, dict[str, str]] = {
    "length": {"inch": "in"},
    "volume": {"l": "L", "litre": "L", "cc": "cm3", "ml": "mL"},
    "temperature": {"C": "degC", "F": "degF", "R": "degR"},
    "temperature_difference": {"C": "degC", "F": "degF", "R": "degR"},
    "pressure": {"mmWC": "mmH2O", "inWC": "inH2O", "lbf/in2": "psi", "N/m2": "Pa", "N/mm2": "MPa"},
    "mass": {"lbm": "lb"},
    "mass_flow": {"lbm/s": "lb/s", "lbm/min": "lb/min", "lbm/h": "lb/h", "lb/hr": "lb/h", "kg/hr": "kg/h"},
    "volume_flow": {
        "cfm": "CFM",
        "ft3/min": "CFM",
        "cc/min": "cm3/min",
        "mL/min": "cm3/min",
        "l/min": "L/min",
        "l/s": "L/s",
        "l/h": "L/h",
        "L/hr": "L/h",
        "l/hr": "L/h",
        "lph": "L/h",
        "LPH": "L/h",
    },
    "rotational_speed": {"RPM": "rpm", "1/min": "rpm", "rev/min": "rpm", "r/min": "rpm", "1/s": "rev/s"},
    "power": {
        "hp (metric)": "PS",
        "ch": "PS",
        "cv": "PS",
        "hp(mechanical)": "hp (mechanical)",
        "hp(metric)": "PS",
    },
    "torque": {
        "N*m": "Nm",
        "N m": "Nm",
        "kN*m": "kNm",
        "lbf ft": "lbf*ft",
        "lbf-ft": "lbf*ft",
        "lb-ft": "lbf*ft",
        "lb ft": "lbf*ft",
        "ft-lb": "lbf*ft",
        "ft lb": "lbf*ft",
        "ft-lbf": "lbf*ft",
        "ft*lbf": "lbf*ft",
        "ft lbf": "lbf*ft",
        "lbf in": "lbf*in",
        "lbf-in": "lbf*in",
        "in-lbf": "lbf*in",
        "in*lbf": "lbf*in",
        "lb-in": "lbf*in",
        "in-lb": "lbf*in",
        "kgf m": "kgf*m",
    },
    "stiffness": {"lb/in": "lbf/in"},
    "density": {"g/cc": "g/cm3", "kg/l": "kg/L", "g/l": "g/L"},
    "specific_energy": {"BTU/lbm": "BTU/lb"},
    "specific_heat": {"J/kg/K": "J/(kg*K)", "kJ/kg/K": "kJ/(kg*K)"},
    "velocity": {"kph": "km/h"},
    "thermal_conductivity": {"W/m/K": "W/(m*K)"},
    "thermal_expansion": {"um/m/K": "um/(m*K)"},
    "swallowing": {"kg*sqrt(K)/(s*kPa)": "kg/s*sqrt(K)/kPa", "kg*sqrt(K)/(s*bar)": "kg/s*sqrt(K)/bar"},
}

# Names that mean two things: refused, with what to write instead.
AMBIGUOUS: dict[tuple[str, str], str] = {
    **{
        (
            "power",
            name,
        ): "two horsepowers are in use, 745.7 W and 735.5 W: write hp (mechanical) or hp (metric), or kW"
        for name in ("hp", "HP", "bhp", "BHP", "whp", "horsepower")
    },
    ("force", "lb"): "lb is a mass; a force is lbf",
    ("force", "kg"): "kg is a mass; a force is kgf or N",
    ("torque", "kg*m"): "kg is a mass; a torque is kgf*m or Nm",
    ("torque", "kgm"): "kg is a mass; a torque is kgf*m or Nm",
    ("torque", "mN"): "read as millinewton, no torque: write Nm",
    ("pressure", "kg/cm2"): "kg is a mass; a pressure is kgf/cm2, bar or kPa",
    ("pressure", "lb"): "pounds of boost are psi: write psi gauge",
    ("pressure", "lbs"): "pounds of boost are psi: write psi gauge",
    ("volume_flow", "SCFM"): "a standard cubic foot depends on whose standard: give kg/s or lb/min",
    **{
        ("volume_flow", name): "gallons are of two sizes, 3.785 L and 4.546 L: write L/h"
        for name in ("gph", "GPH", "gal/h", "gal/hr", "gpm", "GPM", "gal/min")
    },
    ("pressure", "mb"): "write mbar",
}

BASIS_SPELLINGS = {
    "gauge": "gauge",
    "gage": "gauge",
    "(g)": "gauge",
    "(gauge)": "gauge",
    "absolute": "absolute",
    "abs": "absolute",
    "(a)": "absolute",
    "(abs)": "absolute",
    "(absolute)": "absolute",
    "station": "station",
    "QNH": "QNH",
    "valve": "valve",
    "flange": "flange",
}
GAUGE_NAMES = {
    f"{unit}{letter}": (unit, basis)
    for unit in ("psi", "bar", "mbar", "kPa")
    for letter, basis in (("g", "gauge"), ("a", "absolute"), ("(g)", "gauge"), ("(a)", "absolute"))
}

BASIS_WORDS: tuple[str, ...] = ("gauge", "absolute", "station", "QNH", "valve", "flange")
"""Words that may follow a unit and say what the number is counted from or measured on."""

KINDS: tuple[str, ...] = tuple(TABLE)
"""Every kind of quantity the table knows."""

PREFERRED: dict[str, str] = {
    "length": "mm",
    "area": "mm2",
    "second_moment": "mm4",
    "volume": "L",
    "angle": "deg",
    "temperature": "degC",
    "temperature_difference": "K",
    "pressure": "kPa",
    "mass": "kg",
    "mass_flow": "kg/s",
    "volume_flow": "m3/s",
    "rotational_speed": "rpm",
    "rotational_acceleration": "rpm/s",
    "power": "kW",
    "torque": "Nm",
    "force": "N",
    "stiffness": "N/mm",
    "density": "kg/m3",
    "specific_energy": "MJ/kg",
    "specific_fuel_consumption": "g/kWh",
    "specific_heat": "J/(kg*K)",
    "molar_mass": "g/mol",
    "time": "s",
    "velocity": "m/s",
    "dimensionless": "",
    "thermal_conductance": "W/K",
    "thermal_conductivity": "W/(m*K)",
    "thermal_expansion": "um/(m*K)",
    "swallowing": "kg/s*sqrt(K)/kPa",
    "moment_of_inertia": "kg*m2",
    "frequency": "Hz",
    "voltage": "V",
    "current": "A",
}
"""The unit a kind is printed in where the user has not chosen one."""
