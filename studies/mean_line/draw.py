"""Draw the mean line over the measured points: writes docs/pictures/mean-lines.png.

Run from the top folder: python -m studies.mean_line.draw
"""

from __future__ import annotations

from pathlib import Path

import matplotlib

matplotlib.use("Agg")
import matplotlib.pyplot as plt
import numpy as np

from boostwright.cards.look_up import find_card
from boostwright.components.compressor_lines import speed_lines
from boostwright.components.compressor_mean_line import compressor_lines_of_wheel
from studies.mean_line.machines import MACHINES

PICTURE = Path(__file__).resolve().parents[2] / "docs" / "pictures" / "mean-lines.png"
TITLES = {
    "cc3-vaneless": "NASA 4:1 impeller, figure 3",
    "hecc-vaneless": "NASA HECC, vaneless",
    "eckardt-o": "Eckardt impeller O",
}


def main() -> None:
    """Draw."""
    figure, axes = plt.subplots(2, 3, figsize=(12.0, 7.0), sharex="col")
    for column, (machine, wheel) in enumerate(MACHINES.items()):
        measured = speed_lines(find_card("compressor", machine))
        tip = np.array([line.speed for line in measured]) * 0.5 * wheel.exducer_diameter
        computed = compressor_lines_of_wheel(wheel, tip).lines
        for shade, (m, c) in zip(
            np.linspace(0.65, 0.0, len(measured)), zip(measured, computed, strict=True), strict=True
        ):
            colour = str(shade)
            for row, name in ((0, "pressure_ratio"), (1, "efficiency")):
                axes[row, column].plot(m.flow, getattr(m, name), "o", color=colour, markersize=3.5)
                axes[row, column].plot(c.flow, getattr(c, name), "-", color=colour, linewidth=1.2)
        axes[0, column].set_title(TITLES[machine], fontsize=10)
        axes[1, column].set_xlabel("flow, kg/s at 288 K and 101 kPa")
        axes[1, column].set_ylim(0.6, 0.95)
    axes[0, 0].set_ylabel("total pressure ratio")
    axes[1, 0].set_ylabel("efficiency, total to total")
    figure.suptitle("Points measured, lines from dimensions alone; darker is faster", fontsize=11)
    figure.tight_layout()
    figure.savefig(PICTURE, dpi=90)


if __name__ == "__main__":
    main()
