"""The keys at the head of build.toml, before the first section."""

from boostwright.build.parameter import Parameter, SectionSchema

__all__ = ["PROVENANCE", "SECTION"]

PROVENANCE = (
    "published",
    "common practice",
    "from memory",
    "invented for the demo",
    "measured by the owner",
)

SECTION = SectionSchema(
    "",
    "Head of the file",
    "What this file is, and where its values are from.",
    (
        Parameter(
            "schema_version",
            "integer",
            "Version of this file format. It is 1.",
            required=True,
            low=1,
            high=1,
            example="1",
            outside_remedy="This program reads version 1; a newer file needs a newer program.",
        ),
        Parameter("name", "text", "What you call the build.", required=True, example='"Hill climb estate"'),
        Parameter(
            "provenance",
            "choice",
            "Where most of the values in this file are from; it is printed with every result.",
            required=True,
            choices=PROVENANCE,
            example='"measured by the owner"',
        ),
    ),
)
