"""Writing the sheets into a folder: a PDF of one page each, and all of them as JSON."""

from __future__ import annotations

import json
from pathlib import Path

from boostwright.report.files import make_output_folder, write_whole
from boostwright.report.sheets.dyno_page import dyno_card_document, dyno_card_page
from boostwright.report.sheets.go_no_go_page import go_no_go_document, go_no_go_page
from boostwright.report.sheets.order_page import order_sheet_document, order_sheet_page
from boostwright.report.sheets.page import Page
from boostwright.report.sheets.page_pdf import page_pdf
from boostwright.report.sheets.page_text import page_text
from boostwright.report.sheets.pocket_page import pocket_card_document, pocket_card_page
from boostwright.tasks.sheets.sheets import Sheets

__all__ = ["sheet_pages", "sheets_json", "sheets_text", "write_sheets"]


def sheet_pages(sheets: Sheets) -> dict[str, Page]:
    """Name of the file without its ending -> page, in the order of the work."""
    return {
        "order-sheet": order_sheet_page(sheets.order),
        "go-no-go": go_no_go_page(sheets.go_no_go),
        "dyno-card": dyno_card_page(sheets.dyno),
        "pocket-card": pocket_card_page(sheets.pocket),
    }


def sheets_text(sheets: Sheets, width: int) -> str:
    """All sheets as text, one after the other; ``width`` characters on a line."""
    return "\n".join(page_text(page, width) for page in sheet_pages(sheets).values())


def sheets_json(sheets: Sheets) -> str:
    """All sheets as JSON that ends with a newline; numbers in SI, a missing one is null."""
    document = {
        "order_sheet": order_sheet_document(sheets.order),
        "go_no_go": go_no_go_document(sheets.go_no_go),
        "dyno_card": dyno_card_document(sheets.dyno),
        "pocket_card": pocket_card_document(sheets.pocket),
    }
    return json.dumps(document, indent=2, allow_nan=False) + "\n"


def write_sheets(sheets: Sheets, folder: Path, option: str = "--sheets") -> tuple[Path, ...]:
    """Write every sheet into the folder, which is made where it is missing; returns the files in their order.

    option  the option the folder was named with, for messages
    Raises OutputError where a file cannot be written; those written before stay whole.
    """
    make_output_folder(folder, option)
    written = []
    for name, page in sheet_pages(sheets).items():
        path = folder / f"{name}.pdf"
        write_whole(path, page_pdf(page), option)
        written.append(path)
    path = folder / "sheets.json"
    write_whole(path, sheets_json(sheets), option)
    return (*written, path)
