"""The store of a log: a folder that is whole or not there.

    original/<file>              the log as it came, byte for byte
    part-1-group-1.parquet       one for each time base: float32 columns, float64 time
    part-1-group-1.minmax.npy    smallest and largest of each 64 rows, for drawing
    manifest.json                what lies here, with hashes and notes; written last
    mapping.json                 which column is which channel; rewritten in one step when answers come

``staging`` makes the folder, ``writer`` fills it, ``manifest`` describes it, ``reader`` opens it.
"""
