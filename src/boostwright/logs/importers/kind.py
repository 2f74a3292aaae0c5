"""What a file is, by its first bytes; what cannot be a log is refused with a word on what to do."""

from __future__ import annotations

import os
from pathlib import Path

from boostwright.logs.records import LogError

__all__ = ["MDF", "TEXT", "kind_of_file"]

TEXT, MDF = "text", "mdf"

_HEAD = 4096
_OTHERS = (
    (
        b"PK\x03\x04",
        "is a spreadsheet or a packed folder",
        "unpack it, or save the sheet as CSV, and import that",
    ),
    (b"\x1f\x8b", "is packed (gzip)", "unpack it and import what comes out"),
    (b"7z\xbc\xaf", "is packed (7z)", "unpack it and import what comes out"),
    (b"Rar!", "is packed (rar)", "unpack it and import what comes out"),
    (b"PAR1", "is a Parquet file", "export it as CSV, with the time in its first column"),
    (b"\x89HDF", "is an HDF5 file", "export it as CSV, with the time in its first column"),
    (b"%PDF", "is a PDF", "ask for the data behind it as CSV"),
    (b"\x89PNG", "is a picture", "ask for the data behind it as CSV"),
    (b"\xff\xd8\xff", "is a picture", "ask for the data behind it as CSV"),
    (b"\xd0\xcf\x11\xe0", "is an old spreadsheet", "save the sheet as CSV and import that"),
    (b"SQLite format 3", "is a database", "export the table as CSV"),
)
_CONTROL = frozenset(range(32)) - {9, 10, 12, 13, 26, 27}


def kind_of_file(path: Path) -> str:
    """``TEXT`` or ``MDF``; raises LogError for what is neither, cannot be opened, or is empty."""
    place = path.name
    try:
        size = os.stat(path).st_size
        if path.is_dir():
            raise LogError.of(place, "is a folder.", "name the log file in it")
        with open(path, "rb") as file:
            head = file.read(_HEAD)
    except OSError as reason:
        raise LogError.of(
            place, f"cannot be opened: {reason.strerror}.", "check name and permissions"
        ) from reason
    if size == 0 or not head:
        raise LogError.of(place, "is empty.", "export the log again; nothing was imported")
    if head[:8] in (b"MDF     ", b"UnFinMF "):
        return MDF
    for magic, what, remedy in _OTHERS:
        if head.startswith(magic):
            raise LogError.of(place, f"{what}, not a log as text or ASAM MDF.", remedy)
    if _is_binary(head):
        raise LogError.of(
            place,
            "is binary, and of no kind that can be read here.",
            "export the log as CSV or as ASAM MDF from the program that wrote it",
        )
    return TEXT


def _is_binary(head: bytes) -> bool:
    """True where the bytes cannot be text in any encoding; runs of NUL, as a power cut leaves them, are passed over."""
    if head[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return False
    even, odd = head[0::2], head[1::2]
    for zeros, letters in ((odd, even), (even, odd)):
        if zeros.count(0) > 0.4 * len(zeros) and letters.count(0) < 0.1 * len(letters):
            return False  # UTF-16 without its mark
    text = head.replace(b"\0", b"")
    if not text:
        return False  # zeros to begin with: the text may follow, and the reader says so where it does not
    strange = sum(byte in _CONTROL for byte in text)
    return strange > 0.02 * len(text) or (head.count(0) > 0.5 * len(head) and strange > 0)
