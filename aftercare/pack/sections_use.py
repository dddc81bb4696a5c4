"""Sections 1 to 7: living with the furniture. Pure: facts in, section out."""

from __future__ import annotations

from aftercare.pack.blocks import (
    NOT_RECORDED,
    Block,
    Caution,
    DoAndDoNot,
    Drawing,
    Items,
    Photographs,
    Picture,
    Prose,
    Record,
    Section,
    Table,
)
from aftercare.pack.care import CARE, OIL_RAGS
from aftercare.pack.elevation import Front, elevation_svg
from aftercare.pack.facts import DoorFact, PackFacts, ShelfFact
from aftercare.pack.words import listed, recorded, said, short_day, tidy

ELEVATION_CAPTION = (
    "{where}, from the front; not to be measured from. Broken lines meet at the side where the hinges are."
)


def elevations(facts: PackFacts) -> list[Block]:
    """One drawing for each room: of its doors, or of its pieces where no door is on record."""
    rooms = dict.fromkeys([door.room for door in facts.doors] or [piece.room for piece in facts.pieces])
    blocks: list[Block] = []
    for number, room in enumerate(rooms, start=1):
        fronts = [
            Front(tidy(door.label), door.width_mm, door.height_mm, door.hung, door.left_mm, door.bottom_mm)
            for door in facts.doors
            if door.room == room
        ] or [Front(piece.label, piece.width_mm, piece.height_mm) for piece in facts.pieces if piece.room == room]
        where = tidy(room) or tidy(facts.what) or "the furniture"
        svg = elevation_svg(where, fronts, name=f"elevation-{number}")
        blocks.append(Picture(svg, ELEVATION_CAPTION.format(where=where[:1].upper() + where[1:])))
    return blocks


def your_furniture(facts: PackFacts) -> Section:
    blocks: list[Block] = [
        Record(
            "What was made",
            (
                ("Furniture", recorded(facts.what)),
                ("Rooms", listed(facts.rooms)),
                ("What opens", said(facts, "opens")),
                ("What is fixed and stays shut", said(facts, "stays_shut")),
                ("What lifts out", said(facts, "lifts_out")),
                ("Sizes as fitted", said(facts, "sizes_as_fitted")),
            ),
        ),
        *elevations(facts),
    ]
    # The first photograph is on page one.
    if facts.photographs[1:]:
        blocks.append(Photographs(facts.photographs[1:]))
    return Section(1, "Your furniture", tuple(blocks))


def first_thirty_days(facts: PackFacts) -> Section:
    rows = tuple(
        (recorded(finish.surface), recorded(finish.full_cure_days, "days"), recorded(finish.product))
        for finish in facts.finishes
    )
    blocks: list[Block] = [
        Prose(
            (
                "A new finish feels dry long before it is hard. Until it has cured it marks and dents easily. The "
                "days below are the coating maker’s own figure, counted from the day it was applied; we print no "
                "general one in its place.",
            )
        ),
    ]
    if rows:
        blocks.append(Table("Full cure", ("Surface", "Days to full cure", "Product"), rows))
    else:
        blocks.append(Record("Full cure", (("Days to full cure", NOT_RECORDED),)))
    blocks.append(
        Items(
            (
                "Treat it gently; wipe only with a soft, damp cloth.",
                "Stick, tape or hang nothing on it.",
                "Put felt under whatever stands on it, and lift things rather than slide them.",
                "If it smells of finish, leave the doors ajar and air the room.",
                "Where no figure is recorded, be gentle for the whole of the first month and ask us.",
            ),
            heading="Until then",
        )
    )
    return Section(2, "The first 30 days", tuple(blocks))


def daily_care(facts: PackFacts) -> Section:
    if not facts.finishes:
        return Section(
            3,
            "Daily care",
            (
                Record("Surfaces", (("Finish of the surfaces", NOT_RECORDED),)),
                Prose(("Until we have told you what the finish is, use only a soft, dry cloth.",)),
            ),
        )
    blocks: list[Block] = [
        Prose(
            (
                "This is common practice in the trade, on the cautious side. Where the coating maker’s own sheet "
                "says otherwise, the sheet is right.",
            )
        )
    ]
    if "oiled" in facts.surface_kinds:
        blocks.append(Caution("Danger", OIL_RAGS))
    for kind in facts.surface_kinds:
        same_kind = [finish for finish in facts.finishes if finish.kind == kind]
        rule = CARE[kind]
        where = listed(tuple(finish.surface for finish in same_kind))
        blocks.append(DoAndDoNot(same_kind[0].kind_words, where, rule.do, rule.do_not))
    return Section(3, "Daily care", tuple(blocks))


STEADY_ROOM = (
    "Wood and boards take up damp and give it off again, and they move as they do so. Most of that shows in the "
    "first heating season. Keep the room steady: aired, heated gently, without sudden changes."
)
USUAL = (
    "Gaps between doors that open or close by a hair from season to season.",
    "A fine line in the paint where two pieces of wood meet.",
    "A door that wants a small adjustment after the first winter.",
)
NOT_USUAL = (
    "A door that rubs, or stands away from its frame so that you notice it across the room.",
    "An edge that swells, or paint that lifts or blisters.",
    "Mould, a musty smell, or a wall behind that feels wet.",
    "A gap along the wall or ceiling that keeps growing.",
)
STEADYING = (
    "Keep ventilation gaps and grilles open, above all against an outside wall or a bathroom.",
    "Stand no heater close to a door, and turn underfloor heating up and down slowly.",
    "Dry out new plaster and fresh paint in the room with air, not with strong heat.",
)


def heat_damp_and_movement(facts: PackFacts) -> Section:
    return Section(
        4,
        "Heat, damp and movement",
        (
            Prose((STEADY_ROOM,)),
            Items(USUAL, heading="What is usual"),
            Items(NOT_USUAL, heading="What is not: ring us"),
            Items(STEADYING, heading="What helps"),
        ),
    )


def shelf_row(shelf: ShelfFact) -> tuple[str, ...]:
    size = f"{recorded(shelf.material)}, {shelf.thickness_mm:g} mm thick, {shelf.depth_mm} deep, {shelf.span_mm} span"
    return (recorded(shelf.place), size, recorded(shelf.safe_load_kg, "kg"), recorded(shelf.basis))


MAKER_CONFIRMS = (
    "A calculated figure is not a test. It is rounded down to whole kilograms, for a load spread evenly that stays "
    "there for good; have us confirm it before you load a shelf to the full."
)


def loads(facts: PackFacts) -> Section:
    blocks: list[Block] = []
    if facts.shelves:
        blocks.append(
            Table(
                "What each shelf may carry, spread evenly",
                ("Shelf", "Made of", "At most", "How it is known"),
                tuple(shelf_row(shelf) for shelf in facts.shelves),
            )
        )
        grounds = tuple(dict.fromkeys(ground for shelf in facts.shelves for ground in shelf.grounds))
        if grounds:
            blocks += [Prose((MAKER_CONFIRMS,)), Items(grounds, heading="What the calculated figures rest on")]
    others = (("Each drawer", said(facts, "drawer_load")), ("Each hanging rail", said(facts, "rail_load")))
    blocks.append(
        Record("What else may be carried", others)
        if facts.shelves
        else Record("What may be carried", (("Shelves", NOT_RECORDED), *others))
    )
    blocks += [
        Caution("Caution", "a shelf, a drawer or a plinth is not a step and not a seat."),
        Items(
            (
                "Spread weight evenly; put the heaviest things low down and close to the uprights.",
                "Where no figure is recorded, ask us before you put books, records, crockery or a television there.",
                "A shelf that has begun to sag goes on sagging under the same load: lighten it and ring us.",
            )
        ),
    ]
    return Section(5, "Loads", tuple(blocks))


STAYS_FIXED = (
    "this furniture is fixed to the building and can fall forward if it is freed. Leave every fixing where it is. "
    "Have it taken down only by somebody who knows how it is held."
)
SAFE_USE = (
    "Children: no climbing, no swinging on doors, no standing in drawers. Open one drawer at a time.",
    "Fingers: a heavy door closes on whatever is at its hinge side. Keep small hands away from it.",
    "Glass: if it chips or cracks, empty what is near it, keep away from it and ring us.",
    "Lights: switch off at the supply before you change a lamp; let it cool first. Anything beyond that is work for "
    "a competent electrician, under the rules that hold where you live.",
    "Drilling: pipes and cables may run behind the panels and in the wall. See section 10 first.",
    "High cupboards: use a proper step ladder on firm ground, never a shelf or a chair.",
)


def safety(facts: PackFacts) -> Section:
    electrics = (
        ("Who fitted and tested them", said(facts, "lights_by")),
        ("Where drivers and switches are", said(facts, "driver_place")),
    )
    return Section(
        6,
        "Safety",
        (
            Caution("Danger", STAYS_FIXED),
            Record("Fixings", (("How it is fixed to the wall", said(facts, "wall_fixings")),)),
            Items(SAFE_USE),
            Record("Lights and electrics", electrics),
        ),
    )


HINGE_STEPS = (
    "Height first. Hold the door. Loosen the screws of the mounting plate (1) by half a turn, move the door up or "
    "down, tighten. Some plates have a cam instead: turn that.",
    "Depth next. Turn the rear screw (2) a quarter turn at a time until the door just touches its stop, or lies "
    "flush with its neighbour.",
    "Side last. Turn the front screw (3) a quarter turn at a time. The same turn on every hinge moves the whole "
    "door; a turn on one hinge only tilts it.",
    "Close the door after every quarter turn and look. Note what you turned, so that you can turn it back.",
)


STOP_IF = (
    "a screw turns without end, or will not turn;",
    "the door has dropped, or a hinge has come away from the wood;",
    "two whole turns have changed nothing;",
    "the door itself is bent, or rubs at a different place each day.",
)
COMPARE_FIRST = (
    "We do this at the return visit, and you need not. If a door rubs before then, this is how. The drawing is of "
    "the common concealed hinge; screws differ from one hinge to another, so compare it with yours first."
)
HINGE_CAPTION = "A concealed hinge seen from inside the cupboard with the door open: 1 height, 2 depth, 3 side."
BY_HAND = "use a hand screwdriver, never a power tool, and have somebody hold the door. It is heavier than it looks."


COMMON_PRACTICE = (
    "The order height, depth, side, the quarter turns, and the numbers of hinges below are common practice in the "
    "trade, without a published standard behind them; the hinge maker’s own sheet goes before them."
)
DOOR_COLUMNS = ("Door", "Size, mm", "Weight", "Hinges", "Gaps as left")


def door_row(door: DoorFact) -> tuple[str, ...]:
    asked = f" ({door.hinges_asked} usual)" if door.hinges_asked else ""
    gaps = ": ".join(filter(None, [tidy(door.verdict), door.gaps])) if door.verdict else door.gaps
    return (
        recorded(door.label),
        f"{door.width_mm} × {door.height_mm}",
        recorded(door.weight),
        recorded(door.hinges_fitted) + asked,
        recorded(gaps),
    )


def adjusting_a_door(facts: PackFacts) -> Section:
    """The order height, depth, side and the quarter turns are common practice, without a published source."""
    blocks: list[Block] = [
        Prose((COMPARE_FIRST,)),
        Record("Your hinges", (("Hinge, and where its screws are", said(facts, "hinges")),)),
        Drawing("aftercare/pack/hinge.svg", HINGE_CAPTION),
        Caution("Caution", BY_HAND),
        Items(HINGE_STEPS, heading="In this order", numbered=True),
        Items(STOP_IF, heading=f"Stop, and ring {tidy(facts.maker_name) or 'us'}, if"),
        Prose((COMMON_PRACTICE,)),
    ]
    if facts.doors:
        checked = f", as left on {short_day(facts.check.day)}" if facts.check else ""
        blocks.append(Table(f"Your doors{checked}", DOOR_COLUMNS, tuple(map(door_row, facts.doors)), last_wide=True))
    return Section(7, "Adjusting a door", tuple(blocks))
