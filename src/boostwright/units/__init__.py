"""The one place where a unit is parsed, converted or printed.

``table`` holds the names, ``quantity`` reads and prints with them, ``pressure_basis`` turns QNH into
station pressure.
"""

from boostwright.units.pressure_basis import qnh_from_station_pressure, station_pressure_from_qnh
from boostwright.units.quantity import (
    Quantity,
    QuantityError,
    Unit,
    convert,
    format_quantity,
    parse_quantity,
    quantity_from_number,
    to_si,
    unit_names,
)
from boostwright.units.table import BASIS_WORDS, KINDS, PREFERRED

__all__ = [
    "BASIS_WORDS",
    "KINDS",
    "PREFERRED",
    "Quantity",
    "QuantityError",
    "Unit",
    "convert",
    "format_quantity",
    "parse_quantity",
    "qnh_from_station_pressure",
    "quantity_from_number",
    "station_pressure_from_qnh",
    "to_si",
    "unit_names",
]
