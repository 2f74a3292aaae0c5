"""Importers, one a format: bytes in, tables of raw columns and notes out.

``kind`` tells formats apart by their bytes, never by the file's name; ``text`` reads delimited text (``encoding`` ->
``layout`` -> ``blocks`` -> ``clock``), ``long_form`` text with one value a row, ``mdf`` ASAM MDF, ``can`` its frames.
"""
