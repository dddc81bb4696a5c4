"""Ruin and recreate: a few commissions are taken out and put back one by one in another order. Standard library only.

A cheap search (a fraction of a millisecond a try) that runs before and between the solver's neighbourhoods, and all
there is where ortools is missing.
"""

from __future__ import annotations

from random import Random

from jobs.planning.compiled import Compiled
from jobs.planning.cost import commission_cost
from jobs.planning.insertion import Places, place_commission
from jobs.planning.profile import Profile
from jobs.planning.reserve import release, reserve_known

NEAR_FACTOR = 2
"""Neighbours are drawn from the nearest so many times the number wanted."""


def choose_near(compiled: Compiled, places: Places, costs: dict[str, int], count: int, rng: Random) -> list[str]:
    """One commission, the dearer the likelier, and others that compete with it for the same weeks."""
    ids = sorted(costs)
    seed_id = rng.choices(ids, [1 + costs[id] for id in ids])[0]
    middle = {id: _middle(compiled, places, id) for id in ids}
    others = [id for id in ids if id != seed_id]
    near = sorted(others, key=lambda id: (abs(middle[id] - middle[seed_id]), id))[: NEAR_FACTOR * count]
    return [seed_id, *rng.sample(near, min(count - 1, len(near)))]


def _middle(compiled: Compiled, places: Places, commission_id: str) -> int:
    positions = compiled.by_commission[commission_id]
    return places[positions[len(positions) // 2]].start


def reorder(
    compiled: Compiled, profile: Profile, places: Places, costs: dict[str, int], tries: int, rng: Random
) -> None:
    """Improve `places`, `profile` and `costs` in place by that many tries."""
    if len(costs) < 2:
        return
    for _try in range(tries):
        chosen = choose_near(compiled, places, costs, rng.randint(2, 6), rng)
        before = sum(costs[id] for id in chosen)
        levels = profile.copy().levels
        for commission_id in chosen:
            profile.give_back_commission(compiled, commission_id, places)
        if rng.random() < 0.5:
            rng.shuffle(chosen)
        found = _recreate(compiled, profile, chosen)
        after = {id: commission_cost(compiled, id, found) for id in chosen} if found else {}
        if found is not None and sum(after.values()) <= before:
            places.update(found)
            costs.update(after)
        else:
            profile.levels = levels


def _recreate(compiled: Compiled, profile: Profile, chosen: list[str]) -> Places | None:
    found: Places = dict(compiled.past)
    reserved = reserve_known(compiled, profile, chosen)
    for commission_id in chosen:
        release(compiled, profile, commission_id, reserved)
        one = place_commission(compiled, profile, commission_id)
        if one is None:
            return None
        found.update(one)
    return found
