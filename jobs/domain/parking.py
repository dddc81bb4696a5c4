"""What councils ask for a place to park, and the asking."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from jobs.domain.daybook import write_line
from jobs.models import ParkingPlan, ParkingRule, Person
from jobs.refusal import Refusal


@transaction.atomic
def save_parking_rule(*, rule: ParkingRule, today: dt.date, now: dt.datetime, actor: Person | None) -> ParkingRule:
    if not 0 <= rule.notice_working_days <= 60:
        raise Refusal("notice_working_days", "Notice: give a number of working days from 0 to 60.")
    if rule.checked_on > today:
        raise Refusal("checked_on", "Looked up on: that lies in the future; give today or an earlier day.")
    same = ParkingRule.objects.filter(council=rule.council, zone=rule.zone, what=rule.what).exclude(pk=rule.pk)
    if same.exists():
        raise Refusal("zone", f"{rule} is in the list already: change that entry.")
    rule.save()
    write_line(act="save_parking_rule", now=now, actor=actor, rule=rule.pk)
    return rule


@transaction.atomic
def plan_parking(*, plan: ParkingPlan, now: dt.datetime, actor: Person | None) -> ParkingPlan:
    """A place is wanted for a day; or what has become of it."""
    if plan.granted_on is not None and (plan.applied_on is None or plan.granted_on < plan.applied_on):
        raise Refusal(
            "granted_on", "Granted on: a place is granted after it was applied for; correct one of the days."
        )
    same = ParkingPlan.objects.filter(commission=plan.commission, rule=plan.rule, day=plan.day).exclude(pk=plan.pk)
    if same.exists():
        raise Refusal("day", "For the day: this place is planned for that day already; change that entry.")
    plan.save()
    write_line(act="plan_parking", now=now, actor=actor, commission=plan.commission, parking=plan.pk)
    return plan


@transaction.atomic
def remove_parking(*, plan: ParkingPlan, now: dt.datetime, actor: Person | None) -> None:
    write_line(act="remove_parking", now=now, actor=actor, commission=plan.commission, parking=plan.pk)
    plan.delete()
