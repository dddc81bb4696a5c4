"""Carrying: weights, lifters, route, trips, van and protection. Pure: no Django, no clock, no I/O."""
