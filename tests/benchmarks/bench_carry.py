"""Print how long the carry's figures take for forty pieces on a route of twelve places.

Run: python -m tests.benchmarks.bench_carry
"""

from __future__ import annotations

import random
from collections.abc import Callable
from time import perf_counter

from jobs.carrying.carry import CarryPiece, crew_for_slot, trip_minutes, what_fits
from jobs.carrying.lifting import lifters_for
from jobs.carrying.picture import picture_of
from jobs.carrying.places import Ceiling, Corridor, Door, Landing, Lift, RoutePiece, Stairs, Turn
from jobs.carrying.route import route_report
from jobs.carrying.van import LoadPiece, Van, plan_loads
from jobs.measuring.run import Run, RunDoor, slide_run

ROUTE = [
    Door("Front door", 800, 1981), Corridor("Hall", 900, 2400), Turn("Hall to stairs", 900, 850, 2400),
    Stairs("Lower flight", 850, 2000), Landing("Half landing, in", 850, 900, 2300),
    Landing("Half landing, out", 900, 850, 2300), Stairs("Upper flight", 850, 2000),
    Turn("Top of stairs", 850, 900, 2300), Corridor("Upper hall", 900, 2300), Door("Bedroom door", 762, 1981),
    Ceiling("Bedroom", 2400), Lift("Goods lift", 800, 2000, 1100, 1400, 2100),
]  # fmt: skip
ROUNDS = 5


def best_ms(work: Callable[[], object]) -> float:
    times = []
    for _ in range(ROUNDS):
        begun = perf_counter()
        work()
        times.append(perf_counter() - begun)
    return min(times) * 1000


def main() -> None:
    draw = random.Random(5)
    sizes = [(draw.randint(300, 900), draw.randint(300, 2400), draw.randint(20, 650)) for _ in range(40)]
    weights = [draw.uniform(4, 45) for _ in sizes]
    pieces = [RoutePiece(f"P{n}", *size) for n, size in enumerate(sizes)]
    loads = [
        LoadPiece(str(n), f"P{n}", kg, *size, n) for n, (size, kg) in enumerate(zip(sizes, weights, strict=True))
    ]
    carry = [CarryPiece(f"P{n}", lifters_for(kg).lifters) for n, kg in enumerate(weights)]
    trip = trip_minutes([], 2)
    report = route_report(pieces, ROUTE)
    run = Run((900, 900), 600, (RunDoor("D1", 0, 450, "left"), RunDoor("D4", 1350, 450, "right")))
    rows = {
        "route report, 40 pieces x 12 places": lambda: route_report(pieces, ROUTE),
        "picture of the tightest place": lambda: picture_of(report.tightest.piece, report.tightest.tightest),
        "crew for the slot, 40 pieces": lambda: crew_for_slot(carry, trip=trip, slot_minutes=45, let_in_only=False),
        "what fits the slot, 40 pieces": lambda: what_fits(carry, people=3, trip=trip, slot_minutes=45),
        "van loads, 40 pieces": lambda: plan_loads(loads, Van("van", 900, 3400, 1700, 1900)),
        "run moved in 41 positions": lambda: slide_run(2000, run, step_mm=5),
    }
    for name, work in rows.items():
        print(f"{name:40} {best_ms(work):9.2f} ms (best of {ROUNDS})")


if __name__ == "__main__":
    main()
