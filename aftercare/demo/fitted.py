"""What was fitted, for the packs of the demo; a hinge check; further work spoken of. All invented."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from aftercare.demo.cast import Cast
from aftercare.domain.fitted import add_doors, keep_facts, save_shelf
from aftercare.domain.future_work import note_future_work
from aftercare.domain.hinge_check import RoomFound, check_door, finish_check, record_room
from aftercare.models import Door, DoorCheck, FittedFacts, FutureWork, Hung, MayWrite, Shelf, Verdict
from jobs.domain.commissions import set_up_workshop
from jobs.models import Commission, Visit, Workshop


def say_what_packs_say(workshop: Workshop, cast: Cast, now: dt.datetime) -> None:
    """The workshop's own words for guarantee, insurer and complaints."""
    set_up_workshop(
        now=now,
        actor=cast.maker,
        guarantee_period="five years from handover",
        guarantee_covers="joints, doors, runners and hinges that fail or go out of true in ordinary use",
        guarantee_excludes="wear, water, heat and overloading; colour that changes in light; what others alter",
        guarantee_response="we ring back within two working days and come within ten",
        insurer="Fieldgate Trades Mutual, policy in the workshop",
        complaints="the trade association’s conciliation; the address is on our letters",
    )
    workshop.refresh_from_db()


def fill_fitted(commission: Commission, cast: Cast, now: dt.datetime) -> str:
    """Two tall pairs of doors, one of them short of hinges, a low pair over them; two sets of shelves; the facts."""
    room = commission.rooms.first()
    tall = {"commission": commission, "room": room, "width_mm": 497, "height_mm": 1980, "board": "mdf"}
    low = {"commission": commission, "room": room, "width_mm": 497, "height_mm": 380, "board": "mdf"}
    thick = Decimal("22")
    doors = [
        Door(label="D1", position=1, hinges_fitted=3, left_mm=0, bottom_mm=100, thickness_mm=thick, **tall),
        Door(label="D2", position=2, hinges_fitted=4, hung=Hung.RIGHT, left_mm=500, thickness_mm=thick, **tall),
        Door(label="D3", position=3, hinges_fitted=4, left_mm=1000, thickness_mm=thick, **tall),
        Door(label="D4", position=4, hinges_fitted=4, hung=Hung.RIGHT, left_mm=1500, thickness_mm=thick, **tall),
        Door(label="D5", position=5, hinges_fitted=2, left_mm=0, bottom_mm=2083, thickness_mm=thick, **low),
        Door(label="D6", position=6, hinges_fitted=2, hung=Hung.RIGHT, left_mm=500, **low),
    ]
    for door in doors:
        add_doors(door=door, alike=1, now=now, actor=cast.maker)
    for place, span_mm, thickness in (("Behind D1 and D2, every shelf", 960, 25), ("Behind D3 and D4", 480, 22)):
        shelf = Shelf(commission=commission, room=room, place=place, span_mm=span_mm, depth_mm=320, board="mdf")
        shelf.thickness_mm = Decimal(thickness)
        save_shelf(shelf=shelf, now=now, actor=cast.maker)
    keep_facts(facts=_facts(commission), now=now, actor=cast.maker)
    return f"{len(doors)} doors and 2 sets of shelves noted for the pack."


def _facts(commission: Commission) -> FittedFacts:
    return FittedFacts(
        commission=commission,
        opens="six doors, D1 to D6",
        stays_shut="the cornice and both end panels",
        lifts_out="the plinth under D1 and D2: pull it towards you",
        sizes_as_fitted="2000 wide, 2470 high, 350 deep, over all, in mm",
        rail_load="25 kg, spread evenly",
        wall_fixings="eight frame fixings 8 × 100 into brick, under the cornice; two angles at each end panel",
        lights_by="no lights are fitted",
        hinges="concealed, 110 degrees, cam for height, depth screw at the back, side screw in front",
        boards="moisture-resistant MDF, 22 and 25 mm, emission class E1",
        handles="brass knobs, 32 mm",
        spare_parts="two hinges, ten shelf pins",
        pipes="heating pipes 90 mm above the floor, behind the plinth of D1",
        cables="none found behind the furniture with a detector; one double socket right of D4",
        studs="brick wall; the left end stands on a timber batten",
        taking_down="doors, shelves, cornice, then the carcasses from the right",
        spare_keys="none: there are no locks",
    )


def check_hinges(visit: Visit, cast: Cast, now: dt.datetime) -> None:
    """A check in a dry room: one door let down, one adjusted, the rest as fitted. `now` is the end of the visit."""
    workshop, actor = cast.workshop, cast.maker
    begun = now - dt.timedelta(minutes=50)
    room = RoomFound(Decimal("20.5"), 36, "good", "good", "Heating on since November; dry air.")
    check = record_room(visit=visit, found=room, workshop=workshop, now=begun, actor=actor)
    for place, door in enumerate(Door.objects.filter(commission=visit.commission)):
        row = DoorCheck(door=door, verdict=Verdict.AS_FITTED, screws="good", dampers="none")
        for side, tenths_mm in (("top", 25), ("bottom", 25), ("left", 22), ("right", 24)):
            setattr(row, f"before_{side}_tenths_mm", tenths_mm)
        if place == 0:
            row.before_top_tenths_mm, row.after_top_tenths_mm, row.rubs = 38, 25, True
            row.verdict, row.words = Verdict.ADJUSTED, "lifted by the cam; a fourth hinge would help"
        if place == 1:
            row.bow_tenths_mm, row.verdict, row.words = 8, Verdict.WATCH, "bow towards the room"
        at = begun + dt.timedelta(minutes=6 * (place + 1))
        check_door(visit=visit, row=row, workshop=workshop, now=at, actor=actor)
    finish_check(check=check, second_visit=False, workshop=workshop, now=now, actor=actor)


def speak_of_more(commission: Commission, cast: Cast, back_on: dt.date, now: dt.datetime) -> None:
    work = FutureWork(
        commission=commission,
        what="a low bookcase to match",
        room="landing",
        timing="in the spring",
        next_contact_on=back_on,
        may_write=MayWrite.CALL,
    )
    note_future_work(work=work, today=cast.workshop.local_day(now), now=now, actor=cast.maker)
