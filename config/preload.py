from __future__ import annotations


def preload() -> None:
    """Pay for the sun's tables before the first request; the planner's solver stays unloaded until it is asked."""
    from aftercare.light import sun

    sun.preload()
