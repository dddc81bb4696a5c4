"""What a document may load: names of our own, from a dictionary in code, and nothing else.

No http, no file, no data: a picture of that kind in a document is a fault in the template, and one that vanished in
silence would be worse than none, so the rendering stops. Used in the child process; imports no Django.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from weasyprint.urls import FatalURLFetchingError, URLFetcher, URLFetcherResponse

SCHEME = "app:"


@dataclass(frozen=True)
class Resource:
    data: bytes
    media_type: str


class RefusedAddress(FatalURLFetchingError):
    """The document asked for something that is not in its dictionary; WeasyPrint lets this one through."""


class AppFetcher(URLFetcher):
    """Resolves `app:NAME` from `resources`. Every other address raises `RefusedAddress`."""

    def __init__(self, resources: Mapping[str, Resource]) -> None:
        super().__init__(allowed_protocols=set(), allow_redirects=False, fail_on_errors=True)
        self._resources = resources

    def fetch(self, url: str, headers: Mapping[str, str] | None = None) -> URLFetcherResponse:
        if not url.startswith(SCHEME):
            raise RefusedAddress(f"a document may load only names beginning with {SCHEME!r}, not {url[:80]!r}")
        resource = self._resources.get(url.removeprefix(SCHEME))
        if resource is None:
            raise RefusedAddress(f"no font or photograph of this document is called {url[:80]!r}")
        return URLFetcherResponse(url, resource.data, {"Content-Type": resource.media_type})
