"""Sections 8 to 16: the record, the rights and the years after. Pure: facts in, section out."""

from __future__ import annotations

from collections.abc import Iterator

from aftercare.pack.blocks import NOT_RECORDED, Block, Caution, Items, Prose, Record, Section, Table
from aftercare.pack.facts import FinishFact, PackFacts
from aftercare.pack.words import day, listed, recorded, return_words, short_day, tidy, visit_words

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
        caption = f"Finish of the surfaces, {which} of {len(finishes)}"
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
        "Boards: kind, thickness, emission class",
        "Solid wood and veneer",
        "Hinges: kind and how many",
        "Drawer runners",
        "Handles and locks",
        "Glass",
        "Lights and drivers",
        "Spare parts left with you",
    )
    return Section(
        9,
        "Materials and hardware",
        (Record("Materials and hardware", tuple((label, NOT_RECORDED) for label in labels)),),
    )


def hidden_things(facts: PackFacts) -> Section:
    labels = ("Pipes", "Cables, sockets and junction boxes", "Stopcocks and meters", "Studs, battens and fixings")
    return Section(
        10,
        "Hidden things",
        (
            Record(
                "What lies behind the panels, and how to reach it", tuple((label, NOT_RECORDED) for label in labels)
            ),
            Caution(
                "Danger",
                "“not recorded” does not mean that nothing is there. Before anybody drills, cuts or screws, have the "
                "place checked for cables and pipes.",
            ),
        ),
    )


def agreed_at_handover(facts: PackFacts) -> Section:
    handed_over = f"{day(facts.handed_over_on)}, by {recorded(facts.maker_name)}"
    blocks: list[Block] = [
        Record(
            "Handover",
            (
                ("Handed over", handed_over),
                ("What was agreed", recorded(facts.agreed)),
                ("Marks that were there before", recorded(facts.existing_marks)),
                ("Left to put right", NOT_RECORDED),
                ("Signed by you", NOT_RECORDED),
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


YOUR_RIGHTS = (
    "Whatever a guarantee says, it comes on top of the rights the law gives you, and takes nothing away from them. "
    "As a consumer you have rights if goods are not as described, not of satisfactory quality or not fit for their "
    "purpose, or if fitting was not done with reasonable care and skill. For advice on them, ask a consumer advice "
    "service or a lawyer: this page is not legal advice."
)


def guarantee_and_rights(facts: PackFacts) -> Section:
    ring = f"{recorded(facts.maker_name)} on {recorded(facts.maker_phone)}"
    return Section(
        12,
        "Guarantee and your rights",
        (
            Record(
                "Our guarantee",
                (
                    ("How long", NOT_RECORDED),
                    ("What it covers", NOT_RECORDED),
                    ("What it does not cover", NOT_RECORDED),
                    ("How soon we answer", NOT_RECORDED),
                ),
            ),
            Prose(
                (YOUR_RIGHTS, f"If something is wrong, ring {ring} first and say what you see. A photograph helps.")
            ),
        ),
    )


def return_visit(facts: PackFacts) -> Section:
    after = return_words(facts.return_days)
    rows = [("When", visit_words(facts.visit))]
    if facts.visit and facts.visit.starts_at and facts.visit.ends_at:
        minutes = round((facts.visit.ends_at - facts.visit.starts_at).total_seconds() / 60)
        rows.append(("How long", f"about {minutes} minutes"))
    for light in facts.lights:
        noted = f"{light.noted_at:%H:%M} on {short_day(light.noted_at.date())}"
        words = f": {tidy(light.words)}" if tidy(light.words) else ""
        rows.append((f"Best light, {tidy(light.room)}", f"noted at {noted}{words}"))
    blocks: list[Block] = [
        Prose(
            (
                f"The visit is meant for {after} after handover, when the furniture has lived with your heating. We "
                "come back to see how it has settled. If the day does not suit you, tell us and choose another.",
            )
        ),
        Record("The visit", tuple(rows)),
        Items(
            (
                "every door: gaps, rubbing, hinges and whether it has stayed flat;",
                "drawers and runners, dampers, handles and screws;",
                "the joints along wall, floor and ceiling, and the fixings;",
                "anything you have noticed since: write it down as you see it.",
            ),
            heading="We look at",
        ),
    ]
    blocks.append(
        Prose(("We take photographs only if you have agreed to it, and only of the furniture and its room.",))
    )
    return Section(13, f"The visit in {after}", tuple(blocks))


def moving_and_end_of_life(facts: PackFacts) -> Section:
    return Section(
        14,
        "Moving house, alterations and the end",
        (
            Items(
                (
                    "If you move, leave this pack with the house: whoever comes next will want it.",
                    "Fitted furniture is made to its room and rarely suits another. Ask us before you take it down.",
                    "If other people work in the room, have doors and surfaces covered, and nothing taped to them.",
                    "Taking it down is work for two people who know how it is held: empty it first, and leave every "
                    "carcass fixed until somebody holds it.",
                    "Solid wood can often be used again. Coated boards, glass, metal and lights are separate waste: "
                    "follow your council’s rules. Do not burn painted or glued boards at home.",
                )
            ),
            Record(
                "For that day",
                (("Order of taking down", NOT_RECORDED), ("Spare keys", NOT_RECORDED)),
            ),
        ),
    )


def data_and_photographs(facts: PackFacts) -> Section:
    write_to = recorded(facts.workshop_email)
    return Section(
        15,
        "Your data and photographs",
        (
            Prose(
                (
                    "We keep the record of this commission, so that a repair in years to come matches: what was "
                    "made, its finish, the dates, what was agreed, and how to reach you. This pack holds no address, "
                    "no keys and no codes.",
                    f"You may ask to see it, to have it put right or to have it deleted: write to {write_to} or ring "
                    f"{recorded(facts.workshop_phone)}.",
                )
            ),
            Record(
                "Photographs",
                (
                    ("You allowed us to take them", NOT_RECORDED),
                    ("You allowed us to show them", NOT_RECORDED),
                    ("How long we keep them", NOT_RECORDED),
                ),
            ),
            Prose(("Without a permission recorded here, none is shown. You can change your mind at any time.",)),
        ),
    )


def the_record(facts: PackFacts) -> Section:
    revisions = tuple(
        (str(revision.revision), short_day(revision.issued_on), tidy(revision.reason) or "first issue")
        if revision.revision == 1
        else (str(revision.revision), short_day(revision.issued_on), recorded(revision.reason))
        for revision in facts.revisions
    )
    return Section(
        16,
        "Record",
        (
            Record(
                "Whose, what, where to turn",
                (
                    ("Commission", str(facts.commission_number)),
                    ("Rooms", listed(facts.rooms)),
                    ("Workshop", recorded(facts.workshop_name)),
                    ("Telephone", recorded(facts.workshop_phone)),
                    ("E-mail", recorded(facts.workshop_email)),
                    ("Drawing issue", NOT_RECORDED),
                    ("Insurer", NOT_RECORDED),
                    ("If we cannot settle a complaint between us", NOT_RECORDED),
                ),
            ),
            Table("Revisions of this pack", ("Revision", "Issued", "Why"), revisions),
            Table(
                "Service log: write in what is done from here on",
                ("Date", "What was done", "By whom", "Next"),
                (("\N{NO-BREAK SPACE}",) * 4,) * 12,
                to_write=True,
            ),
        ),
    )
