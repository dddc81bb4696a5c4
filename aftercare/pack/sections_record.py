"""Sections 8 to 11: what was made and agreed. Pure: facts in, section out."""

from __future__ import annotations

from collections.abc import Iterator

from aftercare.pack.blocks import (
    NOT_RECORDED,
    Block,
    Caution,
    Photographs,
    Prose,
    Record,
    Section,
    Table,
)
from aftercare.pack.facts import FinishFact, PackFacts
from aftercare.pack.words import day, recorded, said, short_day, tidy

# Three surfaces beside their labels still leave a column some 40 mm wide on A4.
SURFACES_A_TABLE = 3


def finish_cells(finish: FinishFact) -> tuple[tuple[str, str], ...]:
    return (
        ("Kind", recorded(finish.kind_words)),
        ("Product and code", recorded(finish.product)),
        ("Colour and reference", recorded(finish.colour)),
        ("Sheen", recorded(finish.sheen_percent, "%")),
        ("Batch", recorded(finish.batch)),
        ("Date", short_day(finish.applied_on)),
        ("Applied by", recorded(finish.applied_by)),
        ("Approved sample", recorded(finish.sample)),
        ("How to touch up", recorded(finish.touch_up)),
        ("Where the tin is", recorded(finish.tin_place)),
    )


def finish_tables(finishes: tuple[FinishFact, ...]) -> Iterator[Table]:
    """Surfaces side by side, as many tables as needed: ten columns would not fit a page."""
    tables = -(-len(finishes) // SURFACES_A_TABLE)
    size = -(-len(finishes) // tables) if tables else 1  # four surfaces: two and two, not three and one
    for start in range(0, len(finishes), size):
        group = finishes[start : start + size]
        cells = [finish_cells(finish) for finish in group]
        rows = tuple((row[0][0], *(value for _, value in row)) for row in zip(*cells, strict=True))
        last = start + len(group)
        which = f"{start + 1} to {last}" if len(group) > 1 else f"{last}"
        caption = f"Finish of the surfaces, {which} of {len(finishes)}" if tables > 1 else "Finish of the surfaces"
        yield Table(caption, ("Surface", *(recorded(finish.surface) for finish in group)), rows)


def finish_schedule(facts: PackFacts) -> Section:
    blocks: list[Block] = list(finish_tables(facts.finishes))
    if not blocks:
        blocks.append(Record("Finish of the surfaces", (("Finish", NOT_RECORDED),)))
    blocks.append(
        Prose(
            (
                "Paint from another batch, or put on years later beside paint that has aged, can look different. Try "
                "it where it does not show, and ask us for larger repairs.",
            )
        )
    )
    return Section(8, "Finish schedule", tuple(blocks))


def materials_and_hardware(facts: PackFacts) -> Section:
    labels = (
        ("Boards: kind, thickness, emission class", "boards"),
        ("Solid wood and veneer", "solid_wood"),
        ("Hinges: kind", "hinges"),
        ("Drawer runners", "runners"),
        ("Handles and locks", "handles"),
        ("Glass", "glass"),
        ("Lights and drivers", "lights"),
        ("Spare parts left with you", "spare_parts"),
    )
    rows = [(label, said(facts, name)) for label, name in labels]
    rows.insert(3, ("Hinges: how many", hinge_count(facts)))
    return Section(9, "Materials and hardware", (Record("Materials and hardware", tuple(rows)),))


def hinge_count(facts: PackFacts) -> str:
    """All hinges of the doors whose hinges were counted, and how many were not."""
    counted = [door.hinges_fitted for door in facts.doors if door.hinges_fitted is not None]
    if not counted:
        return NOT_RECORDED
    missing = len(facts.doors) - len(counted)
    more = f"; not recorded on {missing} more" if missing else ""
    return f"{sum(counted)} on {len(counted)} door{'' if len(counted) == 1 else 's'}{more}"


def hidden_things(facts: PackFacts) -> Section:
    rows = (
        ("Pipes", said(facts, "pipes")),
        ("Cables, sockets and junction boxes", said(facts, "cables")),
        ("Stopcocks and meters", said(facts, "stopcocks")),
        ("Studs, battens and fixings", said(facts, "studs")),
    )
    blocks: list[Block] = [
        Record("What lies behind the panels, and how to reach it", rows),
        Caution(
            "Danger",
            "“not recorded” does not mean that nothing is there. Before anybody drills, cuts or screws, have the "
            "place checked for cables and pipes, and leave work on gas, mains water and mains electricity to people "
            "who are registered or licensed for it where you live.",
        ),
    ]
    if facts.hidden_photographs:
        blocks.append(Photographs(facts.hidden_photographs))
    return Section(10, "Hidden things", tuple(blocks))


def left_to_put_right(facts: PackFacts) -> str:
    if facts.snags is None:
        return NOT_RECORDED
    return "\n".join(map(tidy, facts.snags)) if facts.snags else "nothing"


def signed(facts: PackFacts) -> str:
    return ", ".join(filter(None, [tidy(facts.fitted.get("signed_by", "")), facts.fitted.get("signed_on", "")]))


def agreed_at_handover(facts: PackFacts) -> Section:
    handed_over = f"{day(facts.handed_over_on)}, by {recorded(facts.maker_name)}"
    blocks: list[Block] = [
        Record(
            "Handover",
            (
                ("Handed over", handed_over),
                ("What was agreed", recorded(facts.agreed)),
                ("Marks that were there before", recorded(facts.existing_marks)),
                ("Left to put right", left_to_put_right(facts)),
                ("Signed by you", recorded(signed(facts))),
            ),
        ),
        Prose(
            (
                "A usual way to look: in daylight, from half a metre away, with gaps even and lines true. That is "
                "the yardstick for new homes and a convenient one here; what we agreed with you comes first.",
            )
        ),
    ]
    return Section(11, "What we agreed at handover", tuple(blocks))
