"""A small cast for tests: plain functions that create rows, with invented names and sensible defaults.

Dates hang on NOW, a Wednesday morning; Good Friday and Easter Monday of 2027 (26 and 29 March) lie within the six
weeks that follow, and the clocks go forward on 28 March. Times are UTC.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable, Mapping
from decimal import Decimal
from functools import cache
from itertools import count
from typing import Any

from django.contrib.auth.hashers import make_password

from jobs.domain.templates import LINKS, STEPS, make_default_template
from jobs.models import (
    AccessArrangement,
    Client,
    Commission,
    Person,
    Role,
    Step,
    StepKind,
    StepLink,
    Template,
    Visit,
    VisitKind,
    VisitState,
    Workshop,
)

NOW = dt.datetime(2027, 3, 10, 10, 42, tzinfo=dt.UTC)
TODAY = NOW.date()
PASSWORD = "plane-and-scraper-42"

_numbers = count(101)


def make_workshop(**fields: Any) -> Workshop:
    """The one workshop, in a town that does not exist near the middle of England."""
    return Workshop.objects.create(
        **{
            "name": "Fieldgate Joinery",
            "town": "Fieldgate",
            "email": "shop@example.org",
            "latitude_deg": 52.48,
            "longitude_deg": -1.9,
        }
        | fields
    )


def make_maker(**fields: Any) -> Person:
    """A maker who can sign in with PASSWORD."""
    number = Person.objects.count() + 1
    return Person.objects.create(
        **{"name": "Robin Thorn", "email": f"maker{number}@example.org", "password": hashed_password()} | fields
    )


@cache
def hashed_password() -> str:
    """PASSWORD hashed once a run: the hash is slow on purpose."""
    return make_password(PASSWORD)


def make_helper(**fields: Any) -> Person:
    """Somebody who never signs in."""
    return Person.objects.create_user(**{"name": "Sam Ashby", "role": Role.HELPER} | fields)


def make_client(**fields: Any) -> Client:
    return Client.objects.create(
        **{
            "name": "Priscilla Quennell",
            "email": "quennell@example.org",
            "phone": "+441632960123",  # a range kept for fiction
            "address": "7 Tannery Lane\nFieldgate",
        }
        | fields
    )


def make_template() -> Template:
    """The default network of the program itself; made once, then found."""
    return make_default_template()


def make_commission(
    *,
    maker: Person,
    client: Client | None = None,
    done: Iterable[StepKind | str] = (),
    running: Iterable[StepKind | str] = (),
    done_at: dt.datetime = NOW - dt.timedelta(days=2),
    promised: Mapping[StepKind, dt.date] | None = None,
    **fields: Any,
) -> Commission:
    """A commission with the default steps.

    `done` and `running` are step kinds; done steps took the day before `done_at`, running ones began at `done_at`.
    `promised` gives promise dates by step kind.
    """
    commission = Commission.objects.create(
        **{
            "number": next(_numbers),
            "nickname": "Tannery",
            "what": "boot room",
            "client": client or make_client(),
            "maker": maker,
            "opened_on": TODAY - dt.timedelta(days=60),
        }
        | fields
    )
    done, running, promised = set(done), set(running), promised or {}
    steps = []
    for place, (kind, track, hours, needs) in enumerate(STEPS):
        step = Step(
            commission=commission,
            position=place,
            kind=kind,
            name=kind.label,
            track=track,
            allowance_hours=hours,
            **needs,
        )
        if kind in done:
            step.started_at, step.finished_at = done_at - dt.timedelta(days=1), done_at
            step.actual_hours = Decimal(str(hours))
        elif kind in running:
            step.started_at = done_at
        step.promised_on = promised.get(kind)
        steps.append(step)
    by_kind = {step.kind: step for step in Step.objects.bulk_create(steps)}
    StepLink.objects.bulk_create(
        StepLink(before=by_kind[before], after=by_kind[after], greatest_wait_days=wait)
        for before, after, wait in LINKS
    )
    return commission


def up_to(kind: StepKind | str) -> list[StepKind]:
    """Every default step before `kind`, for `make_commission(done=up_to(StepKind.WRAP))`."""
    kinds = [step[0] for step in STEPS]
    return kinds[: kinds.index(StepKind(kind))]


def make_visit(
    commission: Commission,
    *,
    kind: VisitKind | str = VisitKind.DELIVERY,
    starts_at: dt.datetime | None = NOW + dt.timedelta(days=1),
    minutes: int = 90,
    state: VisitState | str = VisitState.ARRANGED,
    **fields: Any,
) -> Visit:
    """A visit as a bare row, without its quarter hours or mail: use the domain functions to test those."""
    return Visit.objects.create(
        **{
            "commission": commission,
            "kind": kind,
            "person": commission.maker,
            "state": state,
            "starts_at": starts_at,
            "ends_at": None if starts_at is None else starts_at + dt.timedelta(minutes=minutes),
            "changed_at": NOW,
        }
        | fields
    )


def make_access(commission: Commission, **fields: Any) -> AccessArrangement:
    return AccessArrangement.objects.create(
        **{
            "commission": commission,
            "opener_name": "Wilfred Marchbanks",
            "opener_phone": "+441632960456",
            "slot_starts": dt.time(8, 30),
            "slot_ends": dt.time(9, 15),
        }
        | fields
    )
