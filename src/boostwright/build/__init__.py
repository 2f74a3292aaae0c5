"""The build folder: reading, checking and writing ``build.toml``.

    encoding -> toml_text -> sections (values, curves; as declared in schema/) -> derived, cross_checks
    -> Build

``read_build`` is the way in; ``with_settings`` lays values over a build for one run.
"""

from boostwright.build.build import Build, Curve, DefaultUsed, Section
from boostwright.build.reader import BUILD_FILE, Checked, check_build, read_build, with_settings

__all__ = [
    "BUILD_FILE",
    "Build",
    "Checked",
    "Curve",
    "DefaultUsed",
    "Section",
    "check_build",
    "read_build",
    "with_settings",
]
