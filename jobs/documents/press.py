"""The child process that makes one document: `python -m jobs.documents.press`, order on stdin, result on stdout.

One document to a process: a document that renders for ever or eats the memory takes only its own process with it,
and memory that the libraries keep goes back with it. Imports no Django and gets no secrets.

Order: one line of JSON (`html`, `photographs` as [[name, bytes, pixels], ...], limits), then the photographs' bytes.
Result: one line of JSON (`pages`, `tagged`, `why_untagged`, `peak_mb`), then the PDF. On failure exit status 3 and
one sentence on stderr.
"""

from __future__ import annotations

import json
import resource
import sys
from typing import TYPE_CHECKING, Any, BinaryIO

if TYPE_CHECKING:
    from jobs.documents.fetcher import Resource

FAILED = 3


def limit(memory_bytes: int, cpu_seconds: int) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def make(html: str, photographs: dict[str, Resource]) -> tuple[dict[str, Any], bytes]:
    """Tagged where the library manages it, else untagged with the reason: paper is better plain than missing."""
    from weasyprint import HTML

    from jobs.documents.fetcher import AppFetcher
    from jobs.documents.fonts import fonts
    from jobs.documents.structure import complete_tags

    document = HTML(string=html, base_url=None, url_fetcher=AppFetcher(fonts() | photographs))
    why_untagged = ""
    try:
        rendered = document.render(pdf_variant="pdf/ua-1")
        data = rendered.write_pdf(pdf_variant="pdf/ua-1", finisher=complete_tags)
    except Exception as problem:
        why_untagged = f"{type(problem).__name__}: {problem}"
        rendered = document.render()
        data = rendered.write_pdf()
    result = {"pages": len(rendered.pages), "tagged": not why_untagged, "why_untagged": why_untagged}
    return result, data


def read_photographs(order: dict[str, Any], stream: BinaryIO) -> dict[str, Resource]:
    """One at a time, so that only one is held at the size the camera gave it."""
    from jobs.documents.pictures import for_print

    return {name: for_print(name, stream.read(size), px) for name, size, px in order["photographs"]}


def peak_mb() -> int:
    """The most memory in use so far. Linux carries `ru_maxrss` over from the parent, so its own count comes first."""
    try:
        with open("/proc/self/status", encoding="ascii") as status:
            lines = [line for line in status if line.startswith("VmHWM:")]
        return round(int(lines[0].split()[1]) / 1024)
    except (OSError, IndexError):
        return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def main() -> int:
    order = json.loads(sys.stdin.buffer.readline())
    limit(order["memory_bytes"], order["cpu_seconds"])
    try:
        result, data = make(order["html"], read_photographs(order, sys.stdin.buffer))
    except MemoryError:
        print(f"the document needs more than {order['memory_bytes'] // 1_000_000} MB", file=sys.stderr)
        return FAILED
    except BaseException as problem:  # the refusal of an address is no Exception, so that the library lets it through
        print(f"{type(problem).__name__}: {problem}", file=sys.stderr)
        return FAILED
    result["peak_mb"] = peak_mb()
    sys.stdout.buffer.write(json.dumps(result).encode() + b"\n" + data)
    return 0


if __name__ == "__main__":
    sys.exit(main())
