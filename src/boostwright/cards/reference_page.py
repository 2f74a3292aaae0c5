"""The reference page of part cards, made from the schemas and the shipped library."""

from __future__ import annotations

from boostwright.cards.card import CardSchema, Field
from boostwright.cards.look_up import find_card, list_cards
from boostwright.cards.reader import KINDS, schema_of
from boostwright.provenance.source import CARD_STATUS
from boostwright.units import format_quantity

__all__ = ["cards_page"]

_PLAIN = ("number", "integer", "word")
_HEAD = """\
# Part cards

<!-- Made by boostwright.cards.reference_page; `make reference` writes it anew. -->

A part card is one TOML file that describes one part: `cards/<name>.toml` or `cards/<kind>/<name>.toml` in the build,
or a card of the shipped library. The build's own cards are searched first, and results say which file was used. A card
of your own is best begun as a copy of a shipped one.

## Header

Every card has `kind`, `schema_version`, `name` (the name of the file), `source`, `licence`, `status` and, where there
is something to say, `notes`. Status is one of:

"""
_MIDDLE = """
A single value may have another origin than the rest: `[provenance.<key>]` with `source` and `status`. A value that is
only known within limits has them beside it: `<key>_band = [low, high]`. A number with a unit is text between quotes,
`"55 mm"`; a plain number stands without.

A long table lies beside the card as CSV, with a row of names and a row of units, and is named under `[table]` as
`file = "<name>.csv"`. Lines that start with `#` are comments.
"""


def cards_page() -> str:
    """The page as Markdown: header, then each kind with its keys, columns and shipped cards."""
    status = "".join(f"- *{word}*: {meaning};\n" for word, meaning in CARD_STATUS.items())
    return _HEAD + status + _MIDDLE + "".join(_kind_section(schema_of(kind)) for kind in KINDS)


def _kind_section(schema: CardSchema) -> str:
    """One kind: its keys, its columns, its shipped cards."""
    lines = [f"\n## {schema.kind}\n", f"{schema.words[0].upper()}{schema.words[1:]}.\n"]
    lines += [
        "| key under `[" + schema.kind + "]` | what | written as | may be left out |",
        "|---|---|---|---|",
    ]
    lines += [
        f"| `{item.key}` | {_words(item)} | {_written(item)} | {_optional(item)} |" for item in schema.fields
    ]
    if schema.columns:
        lines += ["", "| column of the table | what | kind |", "|---|---|---|"]
        lines += [
            f"| `{column.key}` | {column.words} | {column.kind.replace('_', ' ')} |"
            for column in schema.columns
        ]
    lines += ["", f"Shipped {schema.kind} cards:", "", "| name | status | source |", "|---|---|---|"]
    for name in list_cards(schema.kind):
        header = find_card(schema.kind, name).header
        # A scaled card repeats its original's source behind the first sentence; one mention is enough here.
        source = header.source.partition(". ")[0] if header.status == "scaled" else header.source
        lines.append(f"| `{name}` | {header.status} | {source} |")
    return "\n".join(lines) + "\n"


def _words(item: Field) -> str:
    """What a key means, with its choices or limits."""
    text = item.words.replace("|", "or")
    if item.choices:
        text += ": " + ", ".join(f"`{choice}`" for choice in item.choices)
    elif item.low is not None or item.high is not None:
        ends = [_end("from", item.low, item), _end("to", item.high, item)]
        text += "; " + " ".join(end for end in ends if end)
    return text


def _end(word: str, value: float | None, item: Field) -> str:
    """One end of the range that is accepted."""
    if value is None:
        return ""
    kind = item.kind.split("|")[0]
    return f"{word} {value:g}" if kind in _PLAIN else f"{word} {format_quantity(value, kind)}"


def _written(item: Field) -> str:
    """How the value is written."""
    text = item.kind.replace("_", " ").replace("|", " or ")
    return text + (f" ({' or '.join(item.basis)})" if item.basis else "")


def _optional(item: Field) -> str:
    """Whether the key may be left out, and what holds then."""
    if item.default is not None:
        return f"yes: `{item.default}`"
    return "" if item.required else "yes"
