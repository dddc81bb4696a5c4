"""Seconds, memory and size of a handover pack. Run: python -m tests.benchmarks.bench_pack

Budget: 12 pages with 20 photographs in at most 3 s and 200 MB. Figures are printed, never asserted: they belong to
one machine. The memory is the most the child process had in use (VmHWM); the seconds are from the contents to the
bytes in the parent, starting the child included. Photographs are made up: 4000 × 3000 pixels of noise and shade.
"""

from __future__ import annotations

import dataclasses
import io
import os
import resource
from time import perf_counter

PHOTOGRAPHS = 20
RUNS = 3


def main() -> None:
    _set_up()
    from aftercare.pack.contents import build_contents
    from aftercare.pack.facts import PackFacts
    from aftercare.pack.render import render_pack
    from tests.aftercare.pack.pack_rows import ISSUED_AT, facts, full_facts

    pictures = _photographs()
    with_pictures = dataclasses.replace(full_facts(), photographs=pictures)
    cases: list[tuple[str, PackFacts]] = [
        ("hardly anything recorded", facts()),
        ("everything recorded", full_facts()),
        (f"everything, {PHOTOGRAPHS} photographs", with_pictures),
    ]
    megabytes_in = sum(len(picture.data) for picture in pictures) / 1e6
    print(f"{PHOTOGRAPHS} photographs, {megabytes_in:.1f} MB in all; best of {RUNS} runs")
    print("| pack | pages | tagged | seconds | CPU s of the child | peak MB | PDF kB |")
    print("|---|---|---|---|---|---|---|")
    for name, case in cases:
        contents = build_contents(case, issued_at=ISSUED_AT)
        seconds, cpu_seconds = [], []
        for _ in range(RUNS):
            begun, cpu_before = perf_counter(), _children_cpu_seconds()
            made = render_pack(contents)
            seconds.append(perf_counter() - begun)
            cpu_seconds.append(_children_cpu_seconds() - cpu_before)
        tagged = "yes" if made.tagged else "no"
        size = len(made.data) / 1000
        figures = f"{min(seconds):.2f} | {min(cpu_seconds):.2f} | {made.peak_mb} | {size:.0f}"
        print(f"| {name} | {made.page_count} | {tagged} | {figures} |")


def _children_cpu_seconds() -> float:
    """What the finished children have used; unlike the seconds, hardly moved by what else the machine does."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def _set_up() -> None:
    """Templates need Django; no database is touched."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    os.environ.setdefault("SECRET_KEY", "benchmark")
    os.environ.setdefault("FIELD_KEYS", "benchmark")
    os.environ.setdefault("LOG_LEVEL", "WARNING")
    import django

    django.setup()


def _photographs() -> tuple:
    from PIL import Image

    from aftercare.pack.facts import PhotographFact

    shade = Image.linear_gradient("L").resize((4000, 3000))
    out = []
    for number in range(1, PHOTOGRAPHS + 1):
        grain = Image.effect_noise((4000, 3000), 12 + number)
        picture = Image.merge("RGB", (Image.blend(shade, grain, 0.2), shade, grain))
        data = io.BytesIO()
        picture.save(data, "JPEG", quality=80)
        out.append(PhotographFact(f"photo-{number}", data.getvalue(), f"Photograph {number}", f"View {number}"))
    return tuple(out)


if __name__ == "__main__":
    main()
