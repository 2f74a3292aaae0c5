"""A picture of an explanation: curves of the program, and on them only points that come from outside it.

Filled marks are values seen in their source or open measurements; hollow marks are values of a reference library. A
value worked out from our own formula is never drawn as a point: it would lie on its own curve by birth.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from boostwright.proof.case import Case
from boostwright.proof.reader import read_cases, subjects
from boostwright.provenance.source import find_source
from boostwright.report.figures.style import INKS, label_axes, line_of, new_figure

__all__ = ["Sheet", "cases_of"]

_MARKERS = ("o", "s", "^", "D")


def cases_of(relation: str, *evidence: str) -> list[Case]:
    """Every case of a relation or chain whose evidence is one of those named."""
    found = (case for subject in subjects() for case in read_cases(subject))
    return [case for case in found if case.relation == relation and case.evidence in evidence]


class Sheet:
    """One figure with panels side by side; counts what was marked on it."""

    def __init__(self, panels: int = 1, height: float = 3.4) -> None:
        """An empty sheet."""
        self.figure: Figure = new_figure(4.0 * panels if panels > 1 else 5.4, height)
        self.axes: list[Axes] = list(np.atleast_1d(self.figure.subplots(1, panels)))
        self.read: Counter[str] = Counter()
        self.library: Counter[str] = Counter()

    def line(self, panel: int, index: int, across: Any, up: Any, label: str = "", **more: Any) -> None:
        """Curve number ``index`` of a panel, of the program."""
        look = line_of(index)
        style = {"color": look.color, "linestyle": look.linestyle, "linewidth": 1.5, **more}
        self.axes[panel].plot(across, up, label=label or None, **style)

    def read_points(
        self, panel: int, across: Any, up: Any, source: str, index: int = 0, label: str = ""
    ) -> None:
        """Values seen in a source of the bibliography, or its open measurements."""
        find_source(source)
        self.read[source] += np.size(up)
        self._mark(panel, across, up, index, INKS[index % 3], label)

    def library_points(
        self, panel: int, across: Any, up: Any, library: str, index: int = 0, label: str = ""
    ) -> None:
        """Values of a reference library, with name and version."""
        self.library[library] += np.size(up)
        self._mark(panel, across, up, index, "white", label)

    def case_points(
        self,
        panel: int,
        cases: Iterable[Case],
        across: Callable[[Case], float],
        scale: float = 1.0,
        index: int = 0,
    ) -> None:
        """Every case as the point that its evidence allows: read or library, else none.

        scale  what the expected value, in the unit of the case, is multiplied by"""
        for case in cases:
            if isinstance(case.expected, tuple):
                continue
            up = case.expected * scale
            if case.evidence == "read":
                self.read_points(panel, across(case), up, case.source, index)
            elif case.evidence == "reference library":
                self.library_points(panel, across(case), up, case.library, index)

    def _mark(self, panel: int, across: Any, up: Any, index: int, fill: str, label: str) -> None:
        self.axes[panel].plot(
            across,
            up,
            linestyle="none",
            marker=_MARKERS[index % 4],
            markersize=4.5,
            markerfacecolor=fill,
            markeredgecolor=INKS[index % 3],
            markeredgewidth=1.0,
            label=label or None,
            zorder=3,
        )

    def finish(
        self, panel: int, across: str, up: str, legend: bool = True, **limits: tuple[float, float]
    ) -> None:
        """Name the axes, set limits (xlim, ylim), place the legend."""
        axes = self.axes[panel]
        label_axes(axes, across, up)
        axes.set(**limits)
        if legend and axes.get_legend_handles_labels()[0]:
            axes.legend(loc="best")

    @property
    def caption(self) -> str:
        """What the marks are, in words; says so where none is from a source."""
        words = []
        if self.read:
            named = ", ".join(f"`{source}` ({count})" for source, count in sorted(self.read.items()))
            words.append(f"Filled marks were read in a source or are its open measurements: {named}.")
        else:
            words.append(
                "No published points stand here yet: no value read in a source bears on these curves."
            )
        if self.library:
            named = ", ".join(f"{name} ({count})" for name, count in sorted(self.library.items()))
            words.append(f"Hollow marks were computed by a reference library: {named}.")
        return " ".join([*words, "Lines are the program's own."])
