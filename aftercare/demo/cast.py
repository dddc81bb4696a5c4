"""Who is in the demo: an invented workshop in an invented town, at real coordinates in the middle of England.

Telephone numbers are from the ranges that Ofcom keeps for fiction; mail goes to example.org (RFC 2606).
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

from jobs.domain.clients import save_client
from jobs.domain.commissions import set_up_workshop
from jobs.domain.people import save_person
from jobs.models import Client, Person, Role, Workshop


@dataclass(frozen=True)
class Home:
    """A client and where they live."""

    name: str
    email: str
    phone: str
    street: str
    town: str
    postcode: str
    latitude_deg: float
    longitude_deg: float


# Towns that do not exist; postcodes with an area that was never given out.
HOMES = {
    "Chapel Yard": Home(
        "Ottoline Garrowby", "garrowby@example.org", "+441174960118",
        "3 Chapel Yard", "Ashbarrow", "QQ4 2LN", 52.61, -1.73,
    ),
    "Mill Row": Home(
        "Desmond Achterberg", "achterberg@example.org", "+441174960127",
        "18 Mill Row", "Pellowick", "QQ7 1AB", 52.47, -2.02,
    ),
    "Tannery": Home(
        "Imogen Farradine", "farradine@example.org", "+441174960133",
        "The Old Tannery", "Stonecrake", "QQ2 5DE", 52.55, -1.90,
    ),
    "Orchard End": Home(
        "Bashir Lowndes", "lowndes@example.org", "+441174960146",
        "Orchard End, Glebe Lane", "Dunmarsh", "QQ9 3HG", 52.71, -1.55,
    ),
    "Quay House": Home(
        "Winifred Tamblyn", "tamblyn@example.org", "+441174960159",
        "Quay House, 2 Wharf Street", "Wethermoor", "QQ5 8JK", 52.39, -1.61,
    ),
    "Lamb Lane": Home(
        "Cuthbert Oyelaran", "", "+441174960162",
        "41 Lamb Lane", "Stonecrake", "QQ2 1MP", 52.56, -1.88,
    ),
    "Weir Cottage": Home(
        "Perpetua Lindqvist", "lindqvist@example.org", "+441174960171",
        "Weir Cottage", "Ashbarrow", "QQ4 6RT", 52.62, -1.75,
    ),
    "Station Flat": Home(
        "Ignatius Pell", "pell@example.org", "+441174960184",
        "Flat 2, Station Approach", "Wethermoor", "QQ5 1VW", 52.40, -1.60,
    ),
    "Glebe Barn": Home(
        "Rosalind Achebe-Thorne", "achebe-thorne@example.org", "+441174960195",
        "Glebe Barn", "Dunmarsh", "QQ9 7XY", 52.70, -1.57,
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Cast:
    workshop: Workshop
    maker: Person
    helper: Person
    clients: dict[str, Client]


def make_cast(now: dt.datetime, maker: Person | None) -> Cast:
    """The workshop, its people and their clients; `maker` is the person who will sign in, if there is one."""
    workshop = set_up_workshop(
        now=now,
        name="Fernlow Furniture",
        town="Stonecrake",
        email="workshop@example.org",
        phone="+441174960101",
        latitude_deg=52.55,
        longitude_deg=-1.89,
        hands=2,
        floor_places=5,
        is_demo=True,
    )
    if maker is None:
        maker = save_person(person=Person(name="Hester Fernlow", role=Role.MAKER), now=now, actor=None)
    helper = save_person(
        person=Person(name="Jonah Brask", role=Role.HELPER, phone="+441174960102"), now=now, actor=maker
    )
    clients = {
        nickname: save_client(
            client=Client(
                name=home.name,
                email=home.email,
                phone=home.phone,
                address=f"{home.street}\n{home.town}",
                postcode=home.postcode,
            ),
            now=now,
            actor=maker,
        )
        for nickname, home in HOMES.items()
    }
    return Cast(workshop, maker, helper, clients)
