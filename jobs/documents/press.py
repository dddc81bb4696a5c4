"""The child process that makes one document: `python -m jobs.documents.press`, order on stdin, result on stdout.

One document to a process: a document that renders for ever or eats the memory takes only its own process with it,
and memory that the libraries keep goes back with it. Imports no Django and gets no secrets.

Order: one line of JSON (`html`, `photographs` as [[name, size], ...], limits), then the photographs' bytes.
Result: one line of JSON (`pages`, `tagged`, `why_untagged`, `peak_mb`), then the PDF. On failure exit status 3 and
one sentence on stderr.
"""

from __future__ import annotations

import json
import resource
import sys
from typing import Any, BinaryIO

FAILED = 3


def limit(memory_bytes: int, cpu_seconds: int) -> None:
    resource.setrlimit(resource.RLIMIT_AS, (memory_bytes, memory_bytes))
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_seconds, cpu_seconds))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def make(html: str, photographs: dict[str, bytes]) -> tuple[dict[str, Any], bytes]:
    """Tagged where the library manages it, else untagged with the reason: paper is better plain than missing."""
    from weasyprint import HTML

    from jobs.documents.fetcher import AppFetcher
    from jobs.documents.fonts import fonts
    from jobs.documents.pictures import for_print
    from jobs.documents.structure import complete_tags

    resources = fonts() | {name: for_print(name, data) for name, data in photographs.items()}
    document = HTML(string=html, base_url=None, url_fetcher=AppFetcher(resources))
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


def read_order(stream: BinaryIO) -> tuple[dict[str, Any], dict[str, bytes]]:
    order = json.loads(stream.readline())
    return order, {name: stream.read(size) for name, size in order["photographs"]}


def main() -> int:
    order, photographs = read_order(sys.stdin.buffer)
    limit(order["memory_bytes"], order["cpu_seconds"])
    try:
        result, data = make(order["html"], photographs)
    except MemoryError:
        print(f"the document needs more than {order['memory_bytes'] // 1_000_000} MB", file=sys.stderr)
        return FAILED
    except BaseException as problem:  # the refusal of an address is no Exception, so that the library lets it through
        print(f"{type(problem).__name__}: {problem}", file=sys.stderr)
        return FAILED
    result["peak_mb"] = round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
    sys.stdout.buffer.write(json.dumps(result).encode() + b"\n" + data)
    return 0


if __name__ == "__main__":
    sys.exit(main())
