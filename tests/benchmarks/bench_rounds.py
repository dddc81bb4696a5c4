"""Minutes saved and time taken by joined rounds on made-up visits. Run: python -m tests.benchmarks.bench_rounds

Figures are printed, never asserted: they belong to one machine. The first call is for warming up (it imports
the solver) and is not counted.
"""

from __future__ import annotations

from time import perf_counter

from aftercare.booking.rounds import join_rounds
from aftercare.booking.routes import TravelTable, day_routes
from tests.aftercare.booking.round_makers import SETTINGS, made_visits

SIZES = (6, 12, 20, 30, 40)
SEEDS = (1, 2, 3)


def main() -> None:
    join_rounds(made_visits(6, 99), SETTINGS)
    print("| visits | seed | rounds possible | seconds | proved | cost | days | left out | greedy cost | saved min |")
    print("|---|---|---|---|---|---|---|---|---|---|")
    for size in SIZES:
        for seed in SEEDS:
            print(row(size, seed))


def row(size: int, seed: int) -> str:
    visits = made_visits(size, seed)
    matrix = TravelTable(tuple(visits), SETTINGS).matrix()
    days = sorted({window.day for visit in visits for window in visit.windows})
    columns = sum(len(day_routes(day, visits, matrix, SETTINGS)[0]) for day in days)
    begun = perf_counter()
    found = join_rounds(visits, SETTINGS)
    seconds = perf_counter() - begun
    quick = join_rounds(visits, SETTINGS, solver=False)
    proved = "yes" if found.proved else "no"
    return (
        f"| {size} | {seed} | {columns} | {seconds:.2f} | {proved} | {found.cost_minutes} | {len(found.rounds)} "
        f"| {len(found.unplaced)} | {quick.cost_minutes} | {found.saved_minutes} |"
    )


if __name__ == "__main__":
    main()
