"""Vapour of a petrol or alcohol fuel: heat capacity and enthalpy by temperature, from its composition alone.

A fuel C H_y O_z is replaced by a mixture of four substances with the same hydrogen and oxygen per carbon: the
oxygen as ethanol (methanol beyond one oxygen for two carbons), the rest as iso-octane and toluene.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from boostwright.physics.gas.species import UNIVERSAL_GAS_CONSTANT
from boostwright.physics.number import Number

__all__ = ["SUBSTANCES", "fuel_vapour_coefficients"]

SUBSTANCES = ("iso-octane", "toluene", "ethanol", "methanol")

# kg per kmol of carbon, in the order of SUBSTANCES
_MASS_PER_CARBON: NDArray[np.float64] = np.array([114.232 / 8.0, 92.141 / 7.0, 46.069 / 2.0, 32.042])

# (substance, row, coefficient) per mole of carbon, of the same form as those of ``species``.
# fmt: off
_PER_MOLE: NDArray[np.float64] = np.array([
    [  # iso-octane
        [0.815737338, 0.0732643959, 1.78300688e-05, -6.9358962e-08, 3.21629382e-11,
         -30477.2862, 24.1509994],
        [15.9899273, 0.055318479, -1.95267072e-05, 3.11779172e-09, -1.85312577e-13,
         -35875.7973, -60.1161414],
    ],
    [  # toluene
        [1.611914, 0.0211188902, 8.53221453e-05, -1.32566876e-07, 5.59406109e-11,
         4096.51976, 20.2973614],
        [12.939475, 0.0266921558, -9.68420108e-06, 1.5739214e-09, -9.46670482e-14,
         -677.035769, -46.7255302],
    ],
    [  # ethanol
        [4.85868178, -0.0037400674, 6.95550267e-05, -8.86541147e-08, 3.5168443e-11,
         -29996.1309, 4.80192294],
        [6.5628977, 0.0152034264, -5.38922247e-06, 8.62150224e-10, -5.12824683e-14,
         -31525.7984, -9.47557644],
    ],
    [  # methanol
        [5.71539582, -0.0152309129, 6.52441155e-05, -7.10806889e-08, 2.61352698e-11,
         -25642.7656, -1.50409823],
        [3.60134486, 0.0102430954, -3.59985517e-06, 5.72505986e-10, -3.3911764e-14,
         -25997.191, 4.70512253],
    ],
])
# fmt: on
_PER_CARBON: NDArray[np.float64] = _PER_MOLE / np.array([8.0, 7.0, 2.0, 1.0])[:, None, None]


def fuel_vapour_coefficients(hydrogen_per_carbon: Number, oxygen_per_carbon: Number) -> NDArray[np.float64]:
    """Mass-specific polynomial coefficients of a fuel's vapour, for use beside those of mixture.

    hydrogen_per_carbon  (...,)  [-]  y of C H_y O_z
    oxygen_per_carbon    (...,)  [-]  z of C H_y O_z
    Returns (..., 2, 7) [J/(kg K^n)], as mixture_coefficients does. Raises nothing.
    Source: polynomials of NASA TM-4513 (1993), as carried by Cantera 3.2; the choice of substances is our own
    estimate. Hydrogen outside what they can make (1.14 to 2.25 without oxygen) is met as nearly as they can."""
    z = np.minimum(oxygen_per_carbon, 1.0)
    methanol = np.maximum(2.0 * z - 1.0, 0.0)
    ethanol = 2.0 * (z - methanol)
    rest = np.maximum(1.0 - methanol - ethanol, 0.0)
    hydrogen = hydrogen_per_carbon - 4.0 * methanol - 3.0 * ethanol
    # Between toluene (8/7) and iso-octane (9/4) hydrogen atoms a carbon atom.
    octane = np.minimum(np.maximum((hydrogen - rest * 8.0 / 7.0) / (9.0 / 4.0 - 8.0 / 7.0), 0.0), rest)
    shares = np.stack(np.broadcast_arrays(octane, rest - octane, ethanol, methanol), axis=-1)
    molar = np.tensordot(shares, _PER_CARBON, axes=([-1], [0]))
    mass = np.sum(shares * _MASS_PER_CARBON, axis=-1)
    result: NDArray[np.float64] = molar * (UNIVERSAL_GAS_CONSTANT / np.asarray(mass))[..., None, None]
    return result
