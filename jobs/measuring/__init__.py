"""Measuring: what the readings of a room say, infills, door swing, arrival. Pure: no Django, no I/O."""
