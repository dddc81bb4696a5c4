"""Every address of the program, for tests that go through all of them."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from typing import Any
from uuid import UUID

from django.urls import URLPattern, URLResolver, get_resolver, resolve
from django.urls.converters import UUIDConverter

# What an address may hold; it need not exist, for the refusal comes first.
WORDS = {"kind": "closure", "key": "1-x", "uidb36": "1"}


def patterns(found: list[Any]) -> Iterator[URLPattern]:
    for one in found:
        if isinstance(one, URLResolver):
            yield from patterns(one.url_patterns)
        else:
            yield one


def addresses(**values: object) -> dict[str, str]:
    """URL name -> an address with that name. Parameters take `values` by name
    (`uuid` for every identity), else 1."""
    return dict(_addresses(tuple(sorted(values.items()))))


@cache
def _addresses(given: tuple[tuple[str, object], ...]) -> dict[str, str]:
    values, found = dict(given), {}
    for one in patterns(get_resolver().url_patterns):
        possibilities, _, _, converters = get_resolver().reverse_dict.getlist(one.name)[0]
        text, names = possibilities[0]
        filled = {name: _value(name, converters.get(name), values) for name in names}
        found[str(one.name)] = "/" + text % filled
        assert resolve(found[str(one.name)]).url_name == one.name
    return found


def _value(name: str, converter: object, values: dict[str, object]) -> object:
    if isinstance(converter, UUIDConverter):
        given = values.get(name)
        return given if isinstance(given, UUID) else values.get("uuid", UUID(int=1))
    return values.get(name, WORDS.get(name, 1))
