"""``boostwright digitise``: a reading of a picture made into values, and into a card, without the screen."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from boostwright.cli.common import build_folder
from boostwright.cli.exit_codes import ExitCode

__all__ = ["digitise"]

_Reading = Annotated[
    Path, typer.Argument(metavar="READING", help="Record of a reading (NAME.json).", show_default=False)
]
_Build = Annotated[
    Path | None, typer.Option(metavar="BUILD", help="Write the card into this build.", show_default=False)
]
_Over = Annotated[
    bool, typer.Option("--over", help="Replace a card of that name; a copy of the old one stays.")
]
_Csv = Annotated[
    Path | None, typer.Option(metavar="FILE", help="Write the values as CSV.", show_default=False)
]
_Json = Annotated[
    str | None,
    typer.Option(metavar="FILE", help='Everything as JSON; "-" for standard output.', show_default=False),
]


def digitise(
    reading: _Reading, build: _Build = None, over: _Over = False, csv: _Csv = None, json: _Json = None
) -> None:
    """Work out what was read off a picture: values, residuals, and the card.

    A reading is made on the screen (boostwright serve), and kept beside its card: marks of the axes, lines, islands.

    Exit code 0: worked out; 2: it cannot be, or the card has faults, and nothing was written.
    """
    from boostwright.report.digitise_json import digitised_document
    from boostwright.report.digitise_text import digitised_csv, digitised_text
    from boostwright.report.files import check_output_file, write_whole
    from boostwright.report.prediction_json import document_json
    from boostwright.tasks.digitise import digitise as work_out
    from boostwright.tasks.digitise import read_session
    from boostwright.tasks.digitise_keep import save_card_beside

    for file, option in ((csv, "--csv"), (Path(json) if json and json != "-" else None, "--json")):
        if file is not None:
            check_output_file(file, option)
    session = read_session(reading)
    result = work_out(session)
    for kind, found in (("fault", result.faults), ("warning", result.warnings)):
        for entry in found:
            print(f"{kind}: {entry}", file=sys.stderr)
    print(digitised_text(result), end="", file=sys.stderr if json == "-" else sys.stdout)
    if json == "-":
        print(document_json(digitised_document(result)), end="")
    elif json is not None:
        write_whole(Path(json), document_json(digitised_document(result)), "--json")
    if csv is not None:
        write_whole(csv, digitised_csv(result), "--csv")
    if build is None:
        return
    if result.faults:
        raise typer.Exit(ExitCode.BAD_INPUT)
    card = save_card_beside(build_folder(build), session, reading, over)
    print(f'Written: {card.path}. Name it in build.toml: {card.kind}.card = "{card.name}"', file=sys.stderr)
