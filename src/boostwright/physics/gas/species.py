"""The seven species of the gas path: order, molar masses and caloric data.

Source: McBride, Gordon and Reno, NASA TM-4513 (1993), as carried by the open-source package Cantera 3.2 in
its file ``nasa_gas.yaml`` (read there). Atomic weights as in the same package.
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
# 200 to 1000 K, row 1 from 1000 to 6000 K. Argon is one range in the source (constant cp) and is repeated.
# fmt: off
SPECIES_COEFFICIENTS: NDArray[np.float64] = np.array([
    [  # N2
        [3.53100528, -1.23660987e-04, -5.02999437e-07, 2.43530612e-09, -1.40881235e-12,
         -1046.97628, 2.96747468],
        [2.95257626, 1.39690057e-03, -4.92631691e-07, 7.86010367e-11, -4.60755321e-15,
         -923.948645, 5.87189252],
    ],
    [  # O2
        [3.78245636, -2.99673415e-03, 9.84730200e-06, -9.68129508e-09, 3.24372836e-12,
         -1063.94356, 3.65767573],
        [3.66096083, 6.56365523e-04, -1.41149485e-07, 2.05797658e-11, -1.29913248e-15,
         -1215.97725, 3.41536184],
    ],
    [  # Ar
        [2.5, 0.0, 0.0, 0.0, 0.0,
         -745.375, 4.37967491],
        [2.5, 0.0, 0.0, 0.0, 0.0,
         -745.375, 4.37967491],
    ],
    [  # CO2
        [2.35677352, 8.98459677e-03, -7.12356269e-06, 2.45919022e-09, -1.43699548e-13,
         -48371.9697, 9.90105222],
        [4.63659493, 2.74131991e-03, -9.95828531e-07, 1.60373011e-10, -9.16103468e-15,
         -49024.9341, -1.93534855],
    ],
    [  # H2O
        [4.19864056, -2.03643410e-03, 6.52040211e-06, -5.48797062e-09, 1.77197817e-12,
         -30293.7267, -0.849032208],
        [2.67703787, 2.97318329e-03, -7.73769690e-07, 9.44336689e-11, -4.26900959e-15,
         -29885.8938, 6.88255571],
    ],
    [  # CO
        [3.57953347, -6.10353680e-04, 1.01681433e-06, 9.07005884e-10, -9.04424499e-13,
         -14344.0860, 3.50840928],
        [3.04848583, 1.35172818e-03, -4.85794075e-07, 7.88536486e-11, -4.69807489e-15,
         -14266.1171, 6.01709790],
    ],
    [  # H2
        [2.34433112, 7.98052075e-03, -1.94781510e-05, 2.01572094e-08, -7.37611761e-12,
         -917.935173, 0.683010238],
        [2.93286579, 8.26607967e-04, -1.46402335e-07, 1.54100359e-11, -6.88804432e-16,
         -813.065597, -1.02432887],
    ],
])
# fmt: on


def _molar_enthalpy_at_reference() -> NDArray[np.float64]:
    low = SPECIES_COEFFICIENTS[:, 0, :]
    powers = np.array([REFERENCE_TEMPERATURE**k / k for k in range(1, 6)])
    return np.asarray(UNIVERSAL_GAS_CONSTANT * (low[:, :5] @ powers + low[:, 5]))


# J/kmol at 298.15 K, from the same fits
FORMATION_ENTHALPY: NDArray[np.float64] = _molar_enthalpy_at_reference()
