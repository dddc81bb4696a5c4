"""One invented visit, and the plain reading of a calendar file that the checks compare with."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime

from jobs.invites.facts import VisitFacts
from jobs.invites.organiser import organiser_address

TOKEN = "0123456789abcdef0123456789abcdef"
BASE = "office@example.org"
ATTENDEE = "ada.quill@example.org"
ASKED_AT = datetime(2026, 9, 1, 9, 0, tzinfo=UTC)
UID = "5fc53010-1267-4f8e-bc28-1d7ae55a7c99"

# 24 October 2026 is the day before the clocks go back: 09:30 British summer time is 08:30 UTC.
VISIT = VisitFacts(
    uid=UID,
    sequence=0,
    starts_at=datetime(2026, 10, 24, 8, 30, tzinfo=UTC),
    ends_at=datetime(2026, 10, 24, 11, 0, tzinfo=UTC),
    zone="Europe/London",
    summary="Return visit: hinges, doors; photographs",
    description="We look at each door.\nPlease leave 1 m clear in front.",
    location="4 Tern Lane, Marrowby",
    organiser_name="Nib, Tenon & Co",
    organiser_email=organiser_address(BASE, TOKEN),
    attendee_name="Ada Quill",
    attendee_email=ATTENDEE,
    attendance="NEEDS-ACTION",
    cancelled=False,
    changed_at=datetime(2026, 9, 1, 8, 0, tzinfo=UTC),
)
# 1 December 2026, 09:30 in winter: the same in UTC.
WINTER_VISIT = replace(
    VISIT,
    uid="c1f0e2aa-93cd-4a6a-8a9e-0d5d9a3c1b77",
    starts_at=datetime(2026, 12, 1, 9, 30, tzinfo=UTC),
    ends_at=datetime(2026, 12, 1, 12, 0, tzinfo=UTC),
)


def visit(**changes: object) -> VisitFacts:
    return replace(VISIT, **changes)


def lines_of(body: bytes) -> list[str]:
    """The content lines, unfolded by RFC 5545 3.1 without any library."""
    text = body.decode("utf-8").replace("\r\n ", "").replace("\r\n\t", "")
    assert text.endswith("\r\n")
    return text.split("\r\n")[:-1]


def values_of(body: bytes, name: str) -> list[str]:
    """The values of a property, parameters cut off, in order."""
    found = []
    for line in lines_of(body):
        head, value = split_line(line)
        if head.split(";")[0].upper() == name:
            found.append(value)
    return found


def heads_of(body: bytes, name: str) -> list[str]:
    """Name and parameters of each line of a property."""
    heads = (split_line(line)[0] for line in lines_of(body))
    return [head for head in heads if head.split(";")[0].upper() == name]


def split_line(line: str) -> tuple[str, str]:
    """Name with parameters, and value: parted at the first colon outside double quotes (RFC 5545 3.1)."""
    quoted = False
    for place, letter in enumerate(line):
        if letter == '"':
            quoted = not quoted
        elif letter == ":" and not quoted:
            return line[:place], line[place + 1 :]
    raise AssertionError(f"no colon in {line!r}")
