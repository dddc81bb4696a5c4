"""Ten instances of set j30 of PSPLIB against their published optima.

Kolisch and Sprecher, "PSPLIB - A project scheduling problem library", European Journal of Operational Research 96
(1996) 205-216. The files are not in this repository; where they are absent these tests are skipped, visibly.
"""

from __future__ import annotations

import csv
import time

import pytest

from jobs.planning.check import check
from jobs.planning.whole import solve_whole
from tests.reference.psplib_adapter import psplib_directory, read_psplib

DIRECTORY = psplib_directory()
TABLE = DIRECTORY / "optimum.csv"


def published() -> list[tuple[str, int]]:
    if not TABLE.exists():
        return []
    with TABLE.open(newline="") as rows:
        return [(row["instance"], int(row["makespan"])) for row in csv.DictReader(rows)]


pytestmark = pytest.mark.skipif(
    not TABLE.exists(), reason="no PSPLIB files: set SHUTLINE_PSPLIB to a directory with .sm files and optimum.csv"
)


def test_psplib_ten_instances_are_there() -> None:
    assert len(published()) == 10


@pytest.mark.parametrize(("name", "optimum"), published())
def test_psplib_published_optimum_is_found_within_five_seconds(name: str, optimum: int) -> None:
    instance = read_psplib(DIRECTORY / name)
    started = time.perf_counter()
    answer = solve_whole(instance, "makespan", wall_limit_s=5.0)
    print(f"{name}: {answer.value} in {time.perf_counter() - started:.2f} s, proved {answer.plan.proved_best}")
    assert check(instance, answer.plan) == []
    assert answer.value == optimum
