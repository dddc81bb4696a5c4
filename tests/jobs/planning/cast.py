"""A small workshop to plan with: one axis, a few builders, a commission as DESIGN 5 draws it."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from itertools import pairwise
from typing import Any

from jobs.planning.calendars import Calendar, HalfDayAxis, Subcontractor, subcontractor_with_days
from jobs.planning.network import (
    DAYS,
    Commission,
    FloorSpan,
    Instance,
    Link,
    Resource,
    Step,
)

AXIS = HalfDayAxis.between(date(2026, 3, 2), date(2026, 12, 18))


def step(id: str, half_days: int = 1, commission: str = "c1", **more: Any) -> Step:
    return Step(
        id=id,
        commission_id=commission,
        kind=more.pop("kind", "making"),
        words=more.pop("words", id),
        duration_half_days=half_days,
        **more,
    )


def resource(id: str, amount: int, axis: HalfDayAxis = AXIS, words: str = "") -> Resource:
    return Resource(id, words or id, (amount,) * axis.slot_count)


def calendar(id: str, open_slots: range | list[int], words: str = "") -> Calendar:
    return Calendar(id, words or id, sum(1 << slot for slot in open_slots))


def instance(
    steps: list[Step],
    links: list[Link] | None = None,
    axis: HalfDayAxis = AXIS,
    first_slot: int = 0,
    **more: Any,
) -> Instance:
    ids = sorted({one.commission_id for one in steps})
    return Instance(
        axis=axis,
        first_slot=first_slot,
        commissions=tuple(Commission(id, f"the {id} job") for id in ids),
        steps=tuple(steps),
        links=tuple(links or ()),
        **{name: tuple(value) for name, value in more.items()},
    )


def chain(*ids: str) -> list[Link]:
    return [Link(before, after) for before, after in pairwise(ids)]


def sprayer(closed: list[date] | None = None) -> Subcontractor:
    return subcontractor_with_days("sprayer", "the spray shop", AXIS, closed_days=closed or [])


HANDS = {"hands": 1}


def wardrobe(c: str, fixed_delivery: int | None = None, **changes: Mapping[str, Any]) -> list[Step]:
    """Fifteen steps of one commission; `changes` replace fields of a step by its short name."""
    rows: list[tuple[str, str, str, int, dict[str, Any]]] = [
        ("a-drawing", "drawing", "", 2, {"demands": HANDS}),
        ("b-doors", "doors made", "doors", 4, {"demands": HANDS}),
        (
            "c-spray",
            "sprayer",
            "doors",
            0,
            {"lead_days": 8, "subcontractor_id": "sprayer", "needs": ("spray-open",)},
        ),
        ("d-back", "sprayer back", "doors", 1, {"needs": ("spray-open",), "demands": HANDS}),
        ("e-materials", "materials", "carcasses", 6, {}),
        ("f-carcasses", "carcasses made", "carcasses", 6, {"demands": HANDS}),
        ("g-finish", "finish", "carcasses", 2, {"demands": HANDS}),
        ("h-dryfit", "dry fit", "carcasses", 1, {"demands": HANDS}),
        ("i-wrap", "wrap", "", 1, {"demands": HANDS}),
        ("j-load", "load", "", 1, {"demands": {"hands": 1, "helper": 1}}),
        (
            "k-deliver",
            "deliver",
            "",
            1,
            {"demands": {"van": 1, "helper": 1}, "needs": (f"{c}-home",), "fixed_slot": fixed_delivery},
        ),
        ("l-fit", "fit", "", 4, {"demands": HANDS, "needs": (f"{c}-home",)}),
        ("m-handover", "handover", "", 1, {"demands": HANDS, "needs": (f"{c}-home",)}),
        ("n-return", "return", "", 1, {"demands": HANDS, "needs": (f"{c}-home",)}),
    ]
    steps = []
    for short, kind, track, half_days, more in rows:
        fields: dict[str, Any] = {"kind": kind, "track": track, **more, **changes.get(short[0], {})}
        half = fields.pop("half_days", half_days)
        steps.append(step(f"{c}{short}", half, commission=c, words=f"{kind}", **fields))
    return steps


def wardrobe_links(c: str) -> list[Link]:
    names = [
        "a-drawing",
        "b-doors",
        "c-spray",
        "d-back",
        "i-wrap",
        "j-load",
        "k-deliver",
        "l-fit",
        "m-handover",
        "n-return",
    ]
    links = chain(*[c + name for name in names])
    links += chain(c + "a-drawing", c + "e-materials", c + "f-carcasses", c + "g-finish")
    links += [Link(c + "g-finish", c + "h-dryfit", least_wait=4), Link(c + "h-dryfit", c + "i-wrap")]
    special = {
        (c + "j-load", c + "k-deliver"): Link(c + "j-load", c + "k-deliver", 0, 6),
        (c + "k-deliver", c + "l-fit"): Link(c + "k-deliver", c + "l-fit", 0, 10),
        (c + "m-handover", c + "n-return"): Link(c + "m-handover", c + "n-return", 42, 56, DAYS),
    }
    return [special.get((link.before, link.after), link) for link in links]


def workshop(commissions: int = 3, hands: int = 2, promise: int = 120, floor: int = 3, **more: Any) -> Instance:
    """So many wardrobes promised one after the other, with pooled hands, van, helper days and floor bays."""
    steps, links, spans, calendars = [], [], [], []
    for number in range(commissions):
        c = f"c{number + 1}"
        steps += wardrobe(c, m={"promise_slot": promise + 10 * number, "told_client": True, "weight": 2})
        links += wardrobe_links(c)
        spans.append(FloorSpan(c, c + "f-carcasses", c + "j-load", "floor"))
        home = [slot for slot in range(AXIS.slot_count) if slot // 2 % 5 != number % 5]
        calendars.append(calendar(f"{c}-home", home, f"the client of {c} at home"))
    calendars.append(calendar("spray-open", range(AXIS.slot_count), "the spray shop's days"))
    helper = tuple(1 if slot // 2 % 5 in (1, 2, 3) else 0 for slot in range(AXIS.slot_count))
    return instance(
        steps,
        links,
        floor_spans=spans,
        calendars=calendars,
        subcontractors=[sprayer()],
        resources=[
            resource("hands", hands, words="a pair of hands"),
            resource("van", 1, words="the van"),
            Resource("helper", "the helper", helper),
            resource("floor", floor, words="the floor"),
        ],
        **more,
    )
