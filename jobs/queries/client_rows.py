"""Every row that belongs to one client, found by walking the foreign keys of our models.

Forgetting and the export both go by this, so that a table added later is neither left behind nor left out.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

from django.apps import apps
from django.db import models
from django.db.models import Q

from jobs.models import AccessArrangement, Client

OUR_APPS = ("jobs", "aftercare")
DEEPEST = 4
# Words in a name or an address that say nothing of whose it is.
COMMON = {"and", "the", "mrs", "miss", "prof", "road", "street", "lane", "close", "house", "flat", "avenue"}


def our_models() -> list[type[models.Model]]:
    return [model for app in OUR_APPS for model in apps.get_app_config(app).get_models()]


@cache
def client_paths(model: type[models.Model], depth: int = 0) -> tuple[str, ...]:
    """The ways from a row of this model to its client, as look-ups ("commission__client"), where there are any."""
    if model is Client:
        return ("",)
    if depth >= DEEPEST:
        return ()
    found = []
    for field in model._meta.get_fields():
        if not (isinstance(field, models.ForeignKey) and isinstance(field.related_model, type)):
            continue
        if field.related_model._meta.app_label not in OUR_APPS or field.related_model is model:
            continue
        ways = client_paths(field.related_model, depth + 1)
        if ways:
            shortest = min(ways, key=len)
            found.append(f"{field.name}__{shortest}" if shortest else field.name)
    return tuple(found)


def client_models() -> list[type[models.Model]]:
    """Our models whose rows belong to a client, the client itself first."""
    return [Client, *(model for model in our_models() if model is not Client and client_paths(model))]


def rows_of(model: type[models.Model], client_id: int) -> models.QuerySet[models.Model]:
    """This client's rows of a model, each once."""
    if model is Client:
        return Client.objects.filter(pk=client_id)
    wanted = Q()
    for path in client_paths(model):
        wanted |= Q(**{path: client_id})
    keys = model._default_manager.filter(wanted).values("pk")
    return model._default_manager.filter(pk__in=keys)


def identifiers(client: Client) -> list[str]:
    """Texts that say who a client is: names, addresses, telephones, as they may stand in a note. Longest first."""
    found: set[str] = set()
    openers = AccessArrangement.objects.filter(commission__client=client)
    names = [client.name, *(name for one in openers for name in (one.opener_name, one.fallback_name))]
    for name in filter(None, names):
        found |= {name.strip(), *_telling_words(name)}
    for one in openers:
        found |= {one.opener_email, *_telephones(one.opener_phone), *_telephones(one.fallback_phone)}
    found |= {client.email, client.postcode, *_telephones(client.phone), *_lines(client.address)}
    for commission in client.commissions.all():
        found |= {*_lines(commission.site_address), commission.nickname.strip()}
    return sorted((text for text in found if len(text) >= 3), key=lambda text: (-len(text), text))


def pattern_of(texts: list[str]) -> re.Pattern[str] | None:
    """Any of these texts as whole words, in capitals or not, with any white space between their words."""
    if not texts:
        return None
    ways = (r"\s+".join(map(re.escape, text.split())) for text in texts)
    return re.compile(rf"(?<!\w)(?:{'|'.join(ways)})(?!\w)", re.IGNORECASE)


def _telling_words(name: str) -> Iterator[str]:
    for word in re.findall(r"[^\W\d_][\w'’-]*", name):
        if len(word) >= 3 and word.lower() not in COMMON:
            yield word


def _lines(address: str) -> Iterator[str]:
    """Lines of an address; a short one ("Flat 2") says too little, and would hit too much."""
    for line in re.split(r"[\n,]", address):
        if len(line.strip()) >= 6:
            yield line.strip()


def _telephones(phone: object) -> Iterator[str]:
    """As it is stored, and as people write it: +441632960123, 01632 960123, 01632 960 123."""
    if not phone:
        return
    national = str(getattr(phone, "as_national", phone))
    digits = re.sub(r"\D", "", national)
    yield from (str(phone), national, digits, str(getattr(phone, "as_international", phone)))
    yield from (f"{digits[:5]} {digits[5:]}", f"{digits[:5]} {digits[5:8]} {digits[8:]}")
