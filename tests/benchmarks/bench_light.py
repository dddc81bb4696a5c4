"""Photo windows for 1,000 return visits over 11 days each. Run: python -m tests.benchmarks.bench_light

Figures are printed, never asserted: they belong to one machine. The two slow ways are timed on a sample and scaled
up: one photo window a call, and the search that comes to mind first, halving the day by one sun position a call.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from time import perf_counter
from zoneinfo import ZoneInfo

from aftercare.light import sphere, sun
from aftercare.light.match import check_note, photo_window, photo_windows_for
from aftercare.light.sun import Place
from aftercare.light.values import Aspect, LightNote, PhotoWindow, WindowRequest
from aftercare.light.year import year_of_light

ZONE = ZoneInfo("Europe/London")
VISITS, DAYS, SAMPLE, RUNS = 1000, 11, 40, 5
BUDGET_S = 1.0


def main() -> None:
    begun = perf_counter()
    sun.preload()
    print(f"preload (paid once, at start): {perf_counter() - begun:.2f} s\n")
    print("| what | windows | budget s | measured s | of budget |")
    print("|---|---|---|---|---|")
    measured_s = 0.0
    for label, requests in (
        ("one note a room", made_requests(1)),
        ("three notes a room", made_requests(3)),
        ("no note: general rule", made_requests(0)),
    ):
        seconds = best_of(lambda asked=requests: photo_windows_for(asked))
        measured_s = measured_s or seconds
        print(f"| {label} | {VISITS * DAYS} | {BUDGET_S:.1f} | {seconds:.3f} | {seconds / BUDGET_S:.0%} |")
    request = made_requests(1)[0]
    seconds = best_of(lambda: year_of_light(request.place, request.notes, ZONE, date(2026, 8, 1)))
    print(f"| a year of light, one room | 365 | - | {seconds:.3f} | - |")
    print_slow_ways(measured_s)


def print_slow_ways(measured_s: float) -> None:
    """Both slow ways on the first visits of the same set, scaled to all of them."""
    sample = made_requests(1)[:SAMPLE]
    scale = VISITS / SAMPLE
    begun = perf_counter()
    answers = [photo_window(r.place, r.notes, day, r.zone, r.aspect) for r in sample for day in r.days]
    one_by_one_s = (perf_counter() - begun) * scale
    begun = perf_counter()
    found = [halved(r.place, r.notes[0], day) for r in sample for day in r.days]
    halving_s = (perf_counter() - begun) * scale
    apart_s = max(
        abs(answer.best_at.timestamp() - unix_s)
        for answer, unix_s in zip(answers, found, strict=True)
        if isinstance(answer, PhotoWindow)
    )
    print(f"\n| the slow way (sample of {SAMPLE} visits, scaled) | s | times slower |")
    print("|---|---|---|")
    print(f"| one window a call | {one_by_one_s:.1f} | {one_by_one_s / measured_s:.0f} |")
    print(f"| halving, one position a call | {halving_s:.1f} | {halving_s / measured_s:.0f} |")
    print(f"\nbest moments of the two methods differ by {apart_s:.1f} s at most")


def halved(place: Place, note: LightNote, day: date) -> float:
    """UTC seconds at which the sun passes the note's bearing, to a second, by halving midnight to midnight."""
    wanted = float(check_note(place, note).azimuth_deg[0])
    low = datetime.combine(day, time(1), tzinfo=ZONE).timestamp()
    high = low + 22 * 3600
    while high - low > 1:
        middle = (low + high) / 2
        [azimuth] = sun.positions(place.latitude_deg, place.longitude_deg, [middle]).azimuth_deg
        low, high = (middle, high) if sphere.turn_between_deg(azimuth, wanted) < 0 else (low, middle)
    return (low + high) / 2


def made_requests(note_count: int) -> list[WindowRequest]:
    """Rooms all over the country, handed over through a year, with the first eleven weekdays from day 42 on."""
    rng = random.Random(26)
    return [made_request(rng, note_count) for _ in range(VISITS)]


def made_request(rng: random.Random, note_count: int) -> WindowRequest:
    handed_over = date(2026, 1, 1) + timedelta(rng.randrange(365))
    span = (handed_over + timedelta(n) for n in range(42, 60))
    days = tuple(day for day in span if day.weekday() < 5)[:DAYS]
    notes = tuple(
        LightNote(datetime.combine(handed_over, time(rng.randrange(9, 15), rng.randrange(60)), tzinfo=ZONE))
        for _ in range(note_count)
    )
    place = Place(rng.uniform(50.0, 58.5), rng.uniform(-5.5, 1.5))
    return WindowRequest(place, notes, days, ZONE, Aspect(rng.randrange(360), rng.randrange(360)))


def best_of(work: Callable[[], object]) -> float:
    """Fastest of a few runs: the others measure the neighbours."""
    timings = []
    for _ in range(RUNS):
        begun = perf_counter()
        work()
        timings.append(perf_counter() - begun)
    return min(timings)


if __name__ == "__main__":
    main()
