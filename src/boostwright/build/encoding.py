"""Bytes of a build file -> text, with a fault that says how to mend it when they are not UTF-8 text."""

from __future__ import annotations

from boostwright.errors import Fault

__all__ = ["LARGEST_FILE", "decode"]

LARGEST_FILE = 1_000_000
"""Bytes; a build file is some ten thousand, so anything above this is another file under its name."""

_MARKS = (
    (b"\xff\xfe\x00\x00", "UTF-32"),
    (b"\x00\x00\xfe\xff", "UTF-32"),
    (b"\xff\xfe", "UTF-16"),
    (b"\xfe\xff", "UTF-16"),
)
_SAVE = "Save it again as UTF-8 in your editor (often under 'Save as', 'Encoding'). Nothing was changed."


def decode(data: bytes, file: str) -> tuple[str, list[Fault]]:
    """The text of a build file, and what is wrong with its encoding.

    data  the bytes as they stand on disk; a UTF-8 byte-order mark is taken off
    file  its name, for the messages
    Returns the text and faults. With single foreign bytes the text is still returned (read as the old Western
    encoding), so that everything else can be checked in the same go; for UTF-16 likewise; for binary it is
    empty.
    """
    for mark, name in _MARKS:
        if data.startswith(mark):
            text = data.decode(name, errors="replace").lstrip("\ufeff")
            return text, [Fault(file, "", "", f"is written in {name}, not UTF-8.", remedy=_SAVE)]
    if data.startswith(b"\xef\xbb\xbf"):
        data = data[3:]
    zero = data.find(b"\0")
    if zero >= 0:
        return _with_zero_bytes(data, zero, file)
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace"), _foreign_bytes(data, file)


def _with_zero_bytes(data: bytes, zero: int, file: str) -> tuple[str, list[Fault]]:
    """UTF-16 without its mark, a binary file, or a file whose end was lost in a power cut."""
    shares = [data[start::2].count(b"\0") / max(1, len(data[start::2])) for start in (0, 1)]
    if max(shares) > 0.6 and min(shares) < 0.05:
        name = "utf-16-be" if shares[0] > shares[1] else "utf-16-le"
        fault = Fault(file, "", "", "is written in UTF-16, not UTF-8.", remedy=_SAVE)
        return data.decode(name, errors="replace"), [fault]
    line = data.count(b"\n", 0, zero) + 1
    fault = Fault(
        f"{file}, line {line}",
        "",
        "",
        "holds zero bytes: this is no text, or its end was lost when it was last saved.",
        remedy="Put back a copy of the file. Nothing was changed.",
        line=line,
    )
    head = data[:zero]
    try:
        return head.decode("utf-8"), [fault]
    except UnicodeDecodeError:
        return "", [fault]


def _foreign_bytes(data: bytes, file: str) -> list[Fault]:
    """One fault a line that is not UTF-8, five at the most, with what the bytes are in the old encoding."""
    bad: list[tuple[int, bytes]] = []
    for number, line in enumerate(data.split(b"\n"), start=1):
        try:
            line.decode("utf-8")
        except UnicodeDecodeError as error:
            bad.append((number, line[error.start : error.start + 1]))
    faults = []
    for number, byte in bad[:5]:
        letter = byte.decode("cp1252", errors="replace")
        message = f"holds the byte 0x{byte.hex().upper()}, which is not UTF-8"
        message += f" (in the encoding cp1252 it is '{letter}')." if letter != "\ufffd" else "."
        faults.append(Fault(f"{file}, line {number}", "", "", message, remedy=_SAVE, line=number))
    if len(bad) > len(faults):
        rest = len(bad) - len(faults)
        faults.append(Fault(file, "", "", f"has {rest} more lines that are not UTF-8.", remedy=_SAVE))
    return faults
