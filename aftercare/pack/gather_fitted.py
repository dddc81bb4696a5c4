"""What the record says of doors, shelves, hinge checks and the rest, as facts of a pack."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from django.conf import settings

from aftercare.models import Door, DoorCheck, FittedFacts, HingeCheck, Shelf, Verdict
from aftercare.pack.facts import CheckFact, DoorFact, KeepFact, PieceFact, ShelfFact
from aftercare.pack.gaps import SIDES, gap_words, tenths_words
from aftercare.pack.hinges import Door as PureDoor
from aftercare.pack.hinges import hinges_asked_for
from aftercare.pack.shelves import safe_load
from aftercare.pack.words import short_day
from jobs.models import Commission, Snag, Workshop
from jobs.pure_errors import MeasureError

# Taken from the workshop where the commission says nothing of its own.
OF_THE_WORKSHOP = (
    "guarantee_period", "guarantee_covers", "guarantee_excludes", "guarantee_response", "insurer", "complaints",
)  # fmt: skip
# Commission, and both texts of a day: not words to print.
NOT_WORDS = {"id", "commission", "signed_on"}
LOCAL_NAMES = ("localhost", "127.0.0.1", "[::1]")


def pure_door(door: Door) -> PureDoor:
    """The door as the hinge rules know it; its row's number is its key."""
    return PureDoor(
        key=f"{door.pk or 0:09d}",
        width_mm=door.width_mm,
        height_mm=door.height_mm,
        thickness_mm=None if door.thickness_mm is None else float(door.thickness_mm),
        board_key=door.board,
        hinges_fitted=door.hinges_fitted,
        weight_kg=None if door.typed_kg is None else float(door.typed_kg),
    )


def fitted_words(facts: FittedFacts | None, workshop: Workshop) -> dict[str, str]:
    """Words by column of `FittedFacts`, the workshop's own where the commission is silent."""
    names = [field.name for field in FittedFacts._meta.get_fields() if field.name not in NOT_WORDS]
    words = {name: getattr(facts, name, "") or "" for name in names}
    for name in OF_THE_WORKSHOP:
        words[name] = words[name] or getattr(workshop, name)
    if facts is not None and facts.signed_on is not None:
        words["signed_on"] = short_day(facts.signed_on)
    return words


def last_check(commission: Commission) -> HingeCheck | None:
    return (
        HingeCheck.objects.filter(visit__commission=commission, finished_at__isnull=False)
        .prefetch_related("doors__door")
        .order_by("finished_at", "pk")
        .last()
    )


def door_facts(doors: Sequence[Door], check: HingeCheck | None) -> tuple[DoorFact, ...]:
    found = {row.door_id: row for row in check.doors.all()} if check else {}
    return tuple(_door_fact(door, found.get(door.pk)) for door in doors)


def _door_fact(door: Door, row: DoorCheck | None) -> DoorFact:
    try:
        advice = hinges_asked_for(pure_door(door))
        asked = f"at least {advice.asked}" if advice.at_least else str(advice.asked)
        weight = "" if advice.weight_kg is None else f"{advice.weight_kg:.1f} kg"
    except MeasureError:  # a size no rule is made for: said as not recorded, never guessed
        asked, weight = "", ""
    return DoorFact(
        label=door.label,
        room=door.room.name if door.room else "",
        width_mm=door.width_mm,
        height_mm=door.height_mm,
        hung=door.hung,
        left_mm=door.left_mm,
        bottom_mm=door.bottom_mm,
        hinges_fitted=door.hinges_fitted,
        hinges_asked=asked,
        weight=weight,
        gaps=gap_words(gaps_of(row)) if row else "",
        verdict=row.get_verdict_display() if row else "",
    )


def gaps_of(row: DoorCheck, when: str = "") -> Mapping[str, int | None]:
    """The gaps of one door by side: `when` "before" or "after"; else as left, after where measured, else before."""
    if when:
        return {side: getattr(row, f"{when}_{side}_tenths_mm") for side in SIDES}
    before, after = gaps_of(row, "before"), gaps_of(row, "after")
    return {side: before[side] if after[side] is None else after[side] for side in SIDES}


def check_fact(check: HingeCheck | None, workshop: Workshop) -> CheckFact | None:
    if check is None or check.finished_at is None:
        return None
    rows = list(check.doors.all())
    bows = [f"{row.door}: {tenths_words(row.bow_tenths_mm)} mm" for row in rows if row.bow_tenths_mm]
    told = [
        ("Room temperature", f"{check.room_c} °C" if check.room_c is not None else ""),
        ("Relative humidity", f"{check.humidity_percent} %" if check.humidity_percent is not None else ""),
        ("Wall fixings", check.get_fixings_display()),
        ("Scribes and caulk", check.get_scribes_display()),
        ("Doors looked at", str(len(rows))),
        ("Doors adjusted", ", ".join(str(row.door) for row in rows if row.verdict == Verdict.ADJUSTED) or "none"),
        ("Bow", "; ".join(bows) or "none measured"),
    ]
    return CheckFact(workshop.local_day(check.finished_at), tuple((a, b) for a, b in told if b))


def snag_facts(commission: Commission, check: HingeCheck | None, workshop: Workshop) -> tuple[str, ...] | None:
    """Every snag with its state, the oldest first; None where nobody has noted a snag nor made a check."""
    snags = tuple(_snag(snag, workshop) for snag in commission.snags.order_by("pk"))
    return snags if snags or check is not None else None


def _snag(snag: Snag, workshop: Workshop) -> str:
    if snag.agreed_at is not None:
        state = f"put right, and agreed on {short_day(workshop.local_day(snag.agreed_at))}"
    elif snag.done_at is not None:
        state = f"put right on {short_day(workshop.local_day(snag.done_at))}"
    else:
        state = "to be put right"
    return f"{snag}: {state}"


def drawing_words(commission: Commission, workshop: Workshop) -> dict[str, str]:
    """The drawing last approved, for a commission whose facts name none."""
    if FittedFacts.objects.filter(commission=commission).exclude(drawing_issue="").exists():
        return {}
    drawing = commission.drawings.filter(approved_at__isnull=False).order_by("approved_at").last()
    if drawing is None or drawing.approved_at is None:
        return {}
    day = short_day(workshop.local_day(drawing.approved_at))
    return {"drawing_issue": f"{drawing.title}, version {drawing.version}, approved on {day}"}


def shelf_facts(shelves: Sequence[Shelf]) -> tuple[ShelfFact, ...]:
    return tuple(_shelf_fact(shelf) for shelf in shelves)


def _shelf_fact(shelf: Shelf) -> ShelfFact:
    load_kg, basis, grounds = _load(shelf)
    return ShelfFact(
        place=shelf.place,
        span_mm=shelf.span_mm,
        depth_mm=shelf.depth_mm,
        thickness_mm=float(shelf.thickness_mm),
        material=shelf.get_board_display(),
        safe_load_kg=load_kg,
        basis=basis,
        grounds=grounds,
    )


def _load(shelf: Shelf) -> tuple[int | None, str, tuple[str, ...]]:
    """The load, how it is known, and what it rests on. What the maker states goes before what is calculated."""
    if shelf.stated_kg is not None:
        return shelf.stated_kg, "stated by the maker", ()
    if not shelf.board:
        return None, "", ()
    try:
        load = safe_load(
            shelf.board,
            span_mm=shelf.span_mm,
            depth_mm=shelf.depth_mm,
            thickness_mm=float(shelf.thickness_mm),
            data_sheet_n_mm2=shelf.data_sheet_n_mm2,
        )
    except MeasureError:
        return None, "", ()
    name = shelf.get_board_display()
    return load.load_kg, "calculated, rounded down", tuple(f"{name}: {words}" for words in load.words)


def piece_facts(commission: Commission) -> tuple[PieceFact, ...]:
    """What stands in the rooms, in the order of fitting; for a commission without doors on record."""
    pieces = commission.pieces.select_related("room").order_by("fitting_order", "number")
    return tuple(
        PieceFact(piece.label, piece.room.name if piece.room else "", piece.width_mm, piece.height_mm)
        for piece in pieces
    )


def keep_fact(workshop: Workshop) -> KeepFact:
    return KeepFact(workshop.keep_messages_days, workshop.keep_access_days, workshop.keep_record_years)


def client_page_root() -> str:
    """The root of the client pages, or "" where this installation is reached on its own machine only."""
    host = settings.PUBLIC_URL.split("://")[-1].rsplit(":", 1)[0]
    return "" if host in LOCAL_NAMES else f"{settings.PUBLIC_URL}/your-furniture/"
