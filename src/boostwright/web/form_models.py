"""The form of a build as the interface describes it."""

from __future__ import annotations

from pydantic import Field

from boostwright.web.models import FaultModel, Shape

__all__ = ["BandSI", "BuildForm", "CurveField", "FormField", "Section"]


class BandSI(Shape):
    """Widths of a band, SI: one for a single value, one a point for a curve."""

    below: list[float]
    above: list[float]
    shape: str


class CurveField(Shape):
    """A value over engine speed, a pressure or a voltage: the numbers as written, and in SI where they are sound."""

    axis: str
    axis_unit: str
    axis_basis: str
    unit: str
    basis: str
    band: str
    speeds: list[float | int | str]
    values: list[float | int | str]
    axis_si: list[float]
    values_si: list[float]


class FormField(Shape):
    """One key.

    text    as it would stand in build.toml without quotes; null where nothing is written
    shown   what counts: what is written, or what a card or a default puts there
    si      the number on ``stored_basis``
    low, high, low_ask, high_ask  bounds in SI on ``stored_basis``: refused outside, asked about outside
    status  written, changed, card, default, none
    along   key -> text to change along with it, so that it means what a person means
    """

    key: str
    kind: str
    also: str
    words: str
    text: str | None
    shown: str
    si: float | None
    unit: str
    unit_choices: list[str]
    basis: str
    basis_choices: list[str]
    basis_key: str
    stored_basis: str
    status: str
    status_words: str
    default: str | None
    default_status: str
    default_band: str
    measured_by: str
    low: float | None
    high: float | None
    low_ask: float | None
    high_ask: float | None
    low_text: str | None
    high_text: str | None
    low_ask_text: str | None
    high_ask_text: str | None
    choices: list[str]
    example: str
    required: bool
    along: dict[str, str]
    used: bool
    is_curve: bool
    axis: str
    many: bool
    numbers: list[float]
    band: str | None
    band_origin: str | None
    band_si: BandSI | None
    curve: CurveField | None
    faults: list[FaultModel]
    warnings: list[FaultModel]


class Section(Shape):
    """One section of build.toml; the head of the file has no name."""

    name: str
    title: str
    words: str
    present: bool
    parameters: list[FormField]


class BuildForm(Shape):
    """The whole build as a form."""

    name: str
    title: str
    stamp: str
    readable: bool
    sections: list[Section]
    faults: list[FaultModel]
    warnings: list[FaultModel]
    cards: dict[str, str]
    defaults_unconfirmed: list[str] = Field(description="Keys whose default nobody has confirmed.")
