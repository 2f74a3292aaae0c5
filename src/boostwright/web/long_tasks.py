"""The long tasks as jobs: what each gives, as JSON text as the command line prints it, its table as CSV, its sheets."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from boostwright.tasks.plan_result import Plan

__all__ = ["KINDS", "LongTasks"]

KINDS = ("plan", "whatif", "bands", "sheets")
"""What a job can be."""

Told = Callable[[int, int, str], None]
Blocks = dict[str, bytes]

_PDF_SHARE = 90
_MOST_CASES = 10_000  # their rows have to fit a page


@dataclass
class LongTasks:
    """The tasks, and the last plan: its sheets need not wait for the same plan twice."""

    _key: str = ""
    _plan: Plan | None = None

    def run(
        self, kind: str, folder: Path, settings: Sequence[str], options: Mapping[str, Any], told: Told
    ) -> Blocks:
        """Run one; returns blocks by name: ``result`` (JSON), ``table.csv``, and for sheets ``NAME.pdf`` and
        ``NAME.json``.

        options  as the request's model has them
        told     told how far it is; what it raises ends the task
        Raises BoostwrightError as the tasks do.
        """
        from boostwright.tasks.predict import needs_compiling

        if needs_compiling():
            told(0, 0, "Compiling the solver for this machine, once after an installation: a minute or two")
        run = {"plan": self._of_plan, "whatif": _of_whatif, "bands": _of_bands, "sheets": self._of_sheets}
        return run[kind](folder, tuple(settings), options, told)

    def _planned(self, folder: Path, settings: Sequence[str], options: Mapping[str, Any], told: Told) -> Plan:
        from boostwright.tasks.plan import plan

        key = _digest(folder, [*settings, json.dumps(dict(options), sort_keys=True)])
        if self._plan is None or self._key != key:
            self._plan = None
            self._plan = plan(folder, settings=settings, progress=told, **options)
            self._key = key
        return self._plan

    def _of_plan(
        self, folder: Path, settings: Sequence[str], options: Mapping[str, Any], told: Told
    ) -> Blocks:
        from boostwright.report.plan_csv import plan_csv
        from boostwright.report.plan_json import plan_json

        found = self._planned(folder, settings, options, told)
        return {
            "result": plan_json(found).encode("utf-8", "replace"),
            "table.csv": plan_csv(found).encode("utf-8", "replace"),
        }

    def _of_sheets(
        self, folder: Path, settings: Sequence[str], options: Mapping[str, Any], told: Told
    ) -> Blocks:
        from boostwright.report.sheets.page_pdf import page_document, page_pdf
        from boostwright.report.sheets.write import sheet_pages, sheets_json
        from boostwright.tasks.plan_sheets import sheets_of_plan

        def of_plan(done: int, of: int, words: str) -> None:
            told(done * (_PDF_SHARE - 20) // max(of, 1), 100, words)

        found = self._planned(folder, settings, options, of_plan)
        told(_PDF_SHARE - 20, 100, "filling in the sheets")
        sheets = sheets_of_plan(folder, found)
        blocks = {"result": sheets_json(sheets).encode()}
        pages = sheet_pages(sheets)
        for number, (name, page) in enumerate(pages.items()):
            told(_PDF_SHARE + (100 - _PDF_SHARE) * number // len(pages), 100, f"setting {page.title}")
            blocks[f"{name}.pdf"] = page_pdf(page)
            blocks[f"{name}.json"] = json.dumps(page_document(page), allow_nan=False).encode()
        return blocks


def _of_whatif(folder: Path, settings: Sequence[str], options: Mapping[str, Any], told: Told) -> Blocks:
    from boostwright.report.whatif_csv import whatif_csv
    from boostwright.report.whatif_json import whatif_json
    from boostwright.tasks.whatif import Asked, whatif

    lists = {name: tuple(options[name]) for name in ("vary", "cards", "compare")}
    found = whatif(
        folder,
        Asked(**{**options, **lists}, most=_MOST_CASES),
        settings=settings,
        progress=lambda done, count: told(done, count, "cases solved"),
    )
    return {
        "result": whatif_json(found).encode("utf-8", "replace"),
        "table.csv": whatif_csv(found).encode("utf-8", "replace"),
    }


def _of_bands(folder: Path, settings: Sequence[str], options: Mapping[str, Any], told: Told) -> Blocks:
    from boostwright.report.bands_csv import bands_csv
    from boostwright.report.bands_json import bands_json
    from boostwright.tasks.uncertainty import predict_bands

    found = predict_bands(folder, settings=settings, progress=told, **options)
    return {
        "result": bands_json(found).encode("utf-8", "replace"),
        "table.csv": bands_csv(found).encode("utf-8", "replace"),
    }


def _digest(folder: Path, words: Sequence[str]) -> str:
    """Hash of the build as it lies there, its cards, and what else is asked."""
    digest = hashlib.sha256("\n".join([str(folder), *words]).encode("utf-8", "surrogatepass"))
    for path in sorted([folder / "build.toml", *(folder / "cards").rglob("*")]):
        if path.is_file():
            digest.update(str(path).encode("utf-8", "surrogatepass"))
            digest.update(path.read_bytes())
    return digest.hexdigest()
