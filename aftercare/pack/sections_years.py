"""Sections 12 to 16: the rights, the return visit and the years after. Pure: facts in, section out."""

from __future__ import annotations

from aftercare.pack.blocks import NOT_RECORDED, Block, Items, Picture, Prose, Record, Section, Table
from aftercare.pack.facts import PackFacts
from aftercare.pack.qr import qr_svg
from aftercare.pack.words import listed, recorded, return_words, said, short_day, tidy, visit_words

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
                    ("How long", said(facts, "guarantee_period")),
                    ("What it covers", said(facts, "guarantee_covers")),
                    ("What it does not cover", said(facts, "guarantee_excludes")),
                    ("How soon we answer", said(facts, "guarantee_response")),
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
    if facts.check:
        blocks.append(Record(f"What we found on {short_day(facts.check.day)}", facts.check.rows))
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
                (("Order of taking down", said(facts, "taking_down")), ("Spare keys", said(facts, "spare_keys"))),
            ),
        ),
    )


def kept_words(facts: PackFacts) -> str:
    if facts.keep is None:
        return NOT_RECORDED
    return (
        f"The record of this commission: {facts.keep.record_years} years after its end, because a claim can be made "
        "that long. "
        f"The text of our letters: {facts.keep.messages_days} days. Who let us in: {facts.keep.access_days} days "
        "after the end. Codes for doors and alarms: seven days after the end."
    )


def data_and_photographs(facts: PackFacts) -> Section:
    write_to = recorded(facts.workshop_email)
    asked = facts.permissions or (
        ("You allowed us to take them", NOT_RECORDED),
        ("You allowed us to show them", NOT_RECORDED),
    )
    with_record = f"{facts.keep.record_years} years, with the record" if facts.keep else NOT_RECORDED
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
            Record("What is kept, and how long", (("How long", kept_words(facts)),)),
            Record("Photographs", (*asked, ("How long we keep them", with_record))),
            Prose(("Without a permission recorded here, none is shown. You can change your mind at any time.",)),
        ),
    )


def client_page(facts: PackFacts) -> tuple[Block, ...]:
    """The way to the client's own page, for a telephone; the page itself asks for the link that was sent."""
    if not facts.client_page:
        return ()
    words = f"Your own page with us: {facts.client_page} It opens with the link from our mail."
    return (Picture(qr_svg(facts.client_page, name="client-page"), words),)


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
                    ("Drawing issue", said(facts, "drawing_issue")),
                    ("Insurer", said(facts, "insurer")),
                    ("If we cannot settle a complaint between us", said(facts, "complaints")),
                ),
            ),
            *client_page(facts),
            Table("Revisions of this pack", ("Revision", "Issued", "Why"), revisions),
            Table(
                "Service log: write in what is done from here on",
                ("Date", "What was done", "By whom", "Next"),
                (("\N{NO-BREAK SPACE}",) * 4,) * 12,
                to_write=True,
            ),
        ),
    )
