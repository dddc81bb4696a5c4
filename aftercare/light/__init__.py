"""Where the sun stands, and when it stands there again. Pure: no Django, no clock, no I/O.

Callers import from the topics: `sun`, `values`, `match`, `nearest`, `words`, `year`, `picture`, `exif`.
"""
