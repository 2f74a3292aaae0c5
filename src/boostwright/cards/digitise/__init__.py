"""Reading a picture of a map or a curve: pixels to values, lines, islands, and the card that comes of them.

``axes`` turns pixels into values, ``picture`` opens what was given, ``trace`` follows a line in it, ``session``
is the record of a reading, ``lines`` and ``efficiency`` turn what was clicked into speed lines with efficiency,
``compressor``, ``turbine`` and ``curve`` make results of a session, ``keep`` keeps them.
"""
