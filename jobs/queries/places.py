"""Where it stands: for every live commission where its doors and its carcasses are, from its steps.

Steps say where a half is. What people have noted of single pieces, and consignments that are still out, say what of
it is elsewhere: such a half is not whole and is drawn hollow. "In the workshop" says no more than the steps do, and
a piece "at the sprayer" counts only while something of the commission is out: nothing takes it back by itself.
"""

from __future__ import annotations

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from django.db.models import Count

from jobs.models import Commission, Consignment, Piece, PiecePlace, Step, StepKind, Track, Workshop
from jobs.queries import floor
from jobs.queries.live import LiveRecord, load_live
from jobs.queries.plan import CommissionPlan, plan_from
from jobs.queries.words import say_day

K = StepKind
NOT_MADE = "not_made"
SAID = {
    NOT_MADE: "not made yet",
    floor.BENCH: "on the bench",
    floor.RACK: "on the rack",
    floor.FINISHING: "in finishing",
    floor.WRAP_BAY: "in the wrap bay",
    floor.VAN: "in the van",
    floor.SPRAYER: "at sprayer",
    floor.HOMES: "at the client’s",
    PiecePlace.ELSEWHERE: "somewhere else",
}
PIECE_PLACES = {
    PiecePlace.SPRAYER: floor.SPRAYER,
    PiecePlace.VAN: floor.VAN,
    PiecePlace.ROOM: floor.HOMES,
    PiecePlace.ELSEWHERE: PiecePlace.ELSEWHERE,
}


@dataclass(frozen=True)
class Half:
    """Doors or carcasses. `is_here`: wholly at the joining place, drawn filled; else `note` says why not."""

    name: str
    place: str
    is_here: bool
    note: str
    is_late: bool = False


@dataclass(frozen=True)
class Standing:
    """A commission and the place where its halves come together next."""

    number: int
    nickname: str
    place: str
    doors: Half
    carcasses: Half

    @property
    def code(self) -> str:
        return f"{floor.code_of(self.nickname)} {self.number}"

    @property
    def halves(self) -> tuple[Half, Half]:
        return self.doors, self.carcasses

    @property
    def notes(self) -> tuple[Half, ...]:
        return tuple(half for half in self.halves if half.note)


@dataclass(frozen=True)
class Elsewhere:
    """Something found in a place that is not the joining place of its commission: "doors of MR 104, back Thu 11"."""

    code: str
    nickname: str
    words: str
    is_late: bool


def standings(live: LiveRecord) -> list[Standing]:
    """Two queries more than those of the record."""
    pieces = _pieces_elsewhere(live)
    out = {
        one.commission_id: one
        for one in Consignment.objects.filter(
            commission__closed_on__isnull=True, sent_at__isnull=False, back_at__isnull=True
        ).order_by("promised_on")
    }
    plan = plan_from(live)
    found = [
        _Finder(live, one, plan.commissions[one.pk], out.get(one.pk), pieces.get(one.pk, {})).standing()
        for one in live.commissions
        if not all(step.finished_at for step in live.steps.get(one.pk, ()) if step.kind != K.RETURN_VISIT)
    ]
    return [one for one in found if one is not None]


def where_it_stands(workshop: Workshop, now: dt.datetime) -> list[Standing]:
    """Eight queries."""
    return standings(load_live(workshop, now))


def _pieces_elsewhere(live: LiveRecord) -> dict[int, dict[str, Counter[str]]]:
    """By commission and track: how many pieces are noted in each place, and "all" of them. One query."""
    found: dict[int, dict[str, Counter[str]]] = defaultdict(lambda: defaultdict(Counter))
    rows = (
        Piece.objects.filter(commission__closed_on__isnull=True)
        .order_by()
        .values_list("commission_id", "track", "place")
        .annotate(count=Count("pk"))
    )
    for commission_pk, track, place, count in rows:
        counted = found[commission_pk][track]
        counted["all"] += count
        if place in PIECE_PLACES:
            counted[PIECE_PLACES[PiecePlace(place)]] += count
    return found


class _Finder:
    def __init__(
        self,
        live: LiveRecord,
        commission: Commission,
        plan: CommissionPlan,
        out: Consignment | None,
        pieces: Mapping[str, Counter[str]],
    ) -> None:
        self.live, self.commission, self.plan = live, commission, plan
        self.out, self.pieces = out, pieces
        self.steps = live.steps.get(commission.pk, ())

    def standing(self) -> Standing:
        whole = self._whole()
        doors = whole or self._doors()
        carcasses = whole or self._carcasses()
        joining = whole or self._joining(doors, carcasses)
        return Standing(
            number=self.commission.number,
            nickname=self.commission.nickname,
            place=joining,
            doors=self._half("doors", Track.DOORS, doors, joining),
            carcasses=self._half("carcasses", Track.CARCASSES, carcasses, joining),
        )

    def _joining(self, doors: str, carcasses: str) -> str:
        """Carcasses do not leave the workshop before the van: what is away comes to them."""
        for place in (carcasses, doors):
            if place not in (NOT_MADE, floor.SPRAYER):
                return place
        return floor.PAPER if (doors, carcasses) == (NOT_MADE, NOT_MADE) else floor.RACK

    def _half(self, name: str, track: Track, place: str, joining: str) -> Half:
        counted = self.pieces.get(track, Counter())
        astray = {key: count for key, count in counted.items() if key not in ("all", place)}
        if self.out is None and place != floor.SPRAYER:
            astray.pop(floor.SPRAYER, None)
        if place == floor.SPRAYER or (track == Track.DOORS and self.out is not None):
            return self._away(name, place)
        if astray:
            where, count = max(astray.items(), key=lambda entry: entry[1])
            return Half(name, place, False, f"{count} of {counted['all']} {SAID[where]}")
        is_here = place == joining and place != NOT_MADE
        return Half(name, place, is_here, "" if is_here or joining == floor.PAPER else SAID[place])

    def _away(self, name: str, place: str) -> Half:
        """ "at sprayer, back Thu 11"; of what has come back in part, the rest."""
        words = "at sprayer" if place == floor.SPRAYER else "some at sprayer"
        back = next((step for step in self.plan.steps if step.kind == K.SPRAYER_BACK and step.is_running), None)
        day = self.out.promised_on if self.out is not None else None
        if day is None and back is not None:
            day = back.was_due_on or (back.free_from.day if back.free_from else None)
        if day is None:
            return Half(name, place, False, words)
        is_late = day < self.live.today
        return Half(
            name, place, False, f"{words}, {'due' if is_late else 'back'} {say_day(day, self.live.today)}", is_late
        )

    def _whole(self) -> str:
        """Where both halves are once they travel together; "" before."""
        if self._done(K.DELIVER):
            return floor.HOMES
        if self._done(K.LOAD):
            return floor.VAN
        wrap = self._of(K.WRAP)
        if wrap is not None and (wrap.started_at or self.live.is_ready(wrap)):
            return floor.WRAP_BAY
        return ""

    def _doors(self) -> str:
        if self._done(K.SPRAYER_OUT) and not self._done(K.SPRAYER_BACK):
            return floor.SPRAYER
        return self._made(K.DOORS, bench=(K.INSPECT, K.REDO))

    def _carcasses(self) -> str:
        finish = self._of(K.FINISH)
        if finish is not None and finish.is_running:
            return floor.FINISHING
        return self._made(K.CARCASSES, bench=(K.DRY_FIT,))

    def _made(self, making: StepKind, bench: tuple[StepKind, ...]) -> str:
        step = self._of(making)
        if step is None or (step.started_at is None and step.finished_at is None):
            return NOT_MADE
        if step.finished_at is None or any((one := self._of(kind)) and one.is_running for kind in bench):
            return floor.BENCH
        return floor.RACK

    def _of(self, kind: StepKind) -> Step | None:
        return next((step for step in self.steps if step.kind == kind), None)

    def _done(self, kind: StepKind) -> bool:
        step = self._of(kind)
        return step is not None and step.finished_at is not None
