"""Lambda corrected for the pressure at the probe."""

from __future__ import annotations

from boostwright.logs.derived.rows import Missing, Need, Quantity, Rows
from boostwright.logs.derived.uncertain import Uncertain

__all__ = ["QUANTITIES"]


def _corrected(rows: Rows) -> Uncertain:
    rows.get("lambda")
    raise Missing(Need("pressure at the probe"))


QUANTITIES = (
    Quantity(
        "lambda_corrected",
        "1",
        "lambda corrected for the pressure at the probe",
        "rich side a band",
        "Ip(p_0) = Ip(p) (k + p)/p p_0/(k + p_0)",
        _corrected,
    ),
)
"""Lambda at the probe's own pressure."""
