"""The one type of every physics argument: a float or an array of floats, which broadcast as numpy does."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

__all__ = ["Number"]

Number: TypeAlias = float | NDArray[np.float64]
