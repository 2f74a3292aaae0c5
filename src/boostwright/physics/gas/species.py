"""The seven species of the gas path: order, molar masses and caloric data.

Source: nitrogen and oxygen fitted to the nine-coefficient data of McBride, Zehe and Gordon, NASA TP-2002-211556
(studies/gas_polynomials); the others as GRI-Mech 3.0 carries them; both read in data files of the open-source package
Cantera 3.2 (``airNASA9.yaml``, ``gri30.yaml``). Atomic weights as in the same package. The older seven-coefficient set
of NASA TM-4513 is 0.2 % low in cp between 1000 and 1300 K, where exhaust gas lives.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "FORMATION_ENTHALPY",
    "MOLAR_MASS",
    "REFERENCE_TEMPERATURE",
    "SPECIES",
    "SPECIES_COEFFICIENTS",
    "UNIVERSAL_GAS_CONSTANT",
]

UNIVERSAL_GAS_CONSTANT = 8314.46261815324  # J/(kmol K), exact since 2019 (CODATA 2018)
REFERENCE_TEMPERATURE = 298.15  # K, zero of the sensible enthalpy
SPECIES = ("N2", "O2", "Ar", "CO2", "H2O", "CO", "H2")

# kg/kmol, in the order of SPECIES
MOLAR_MASS: NDArray[np.float64] = np.array([28.014, 31.998, 39.95, 44.009, 18.015, 28.010, 2.016])

# (species, row, coefficient): a1..a5 of cp/R, a6 of the enthalpy, a7 of the entropy. Row 0 is fitted from
# 220 to 1000 K, row 1 from 1000 to 3500 K. Argon is one range in the source (constant cp) and is repeated.
# fmt: off
SPECIES_COEFFICIENTS: NDArray[np.float64] = np.array([
    [  # N2
        [3.59107762, -0.000593127314, 7.36199377e-07, 1.08478175e-09, -8.86475861e-13,
         -1052.54649, 2.72099487],
        [2.65428006, 0.00203984913, -9.59434846e-07, 2.16733204e-10, -1.89719765e-14,
         -823.51439, 7.47947738],
    ],
    [  # O2
        [3.83227716, -0.00337482041, 1.08450762e-05, -1.07720038e-08, 3.66485281e-12,
         -1068.85153, 3.45099953],
        [3.18415127, 0.00171313468, -9.45271725e-07, 2.72528008e-10, -2.91603111e-14,
         -1056.91756, 5.97730606],
    ],
    [  # Ar
        [2.5, 0.0, 0.0, 0.0, 0.0,
         -745.375, 4.366],
        [2.5, 0.0, 0.0, 0.0, 0.0,
         -745.375, 4.366],
    ],
    [  # CO2
        [2.35677352, 0.00898459677, -7.12356269e-06, 2.45919022e-09, -1.43699548e-13,
         -48371.9697, 9.90105222],
        [3.85746029, 0.00441437026, -2.21481404e-06, 5.23490188e-10, -4.72084164e-14,
         -48759.166, 2.27163806],
    ],
    [  # H2O
        [4.19864056, -0.0020364341, 6.52040211e-06, -5.48797062e-09, 1.77197817e-12,
         -30293.7267, -0.849032208],
        [3.03399249, 0.00217691804, -1.64072518e-07, -9.7041987e-11, 1.68200992e-14,
         -30004.2971, 4.9667701],
    ],
    [  # CO
        [3.57953347, -0.00061035368, 1.01681433e-06, 9.07005884e-10, -9.04424499e-13,
         -14344.086, 3.50840928],
        [2.71518561, 0.00206252743, -9.98825771e-07, 2.30053008e-10, -2.03647716e-14,
         -14151.8724, 7.81868772],
    ],
    [  # H2
        [2.34433112, 0.00798052075, -1.9478151e-05, 2.01572094e-08, -7.37611761e-12,
         -917.935173, 0.683010238],
        [3.3372792, -4.94024731e-05, 4.99456778e-07, -1.79566394e-10, 2.00255376e-14,
         -950.158922, -3.20502331],
    ],
])
# fmt: on


def _molar_enthalpy_at_reference() -> NDArray[np.float64]:
    low = SPECIES_COEFFICIENTS[:, 0, :]
    powers = np.array([REFERENCE_TEMPERATURE**k / k for k in range(1, 6)])
    return np.asarray(UNIVERSAL_GAS_CONSTANT * (low[:, :5] @ powers + low[:, 5]))


# J/kmol at 298.15 K, from the same fits
FORMATION_ENTHALPY: NDArray[np.float64] = _molar_enthalpy_at_reference()
