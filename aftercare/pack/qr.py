"""The square code on the last page of a pack: an address of the client page's root, and never a client's own link."""

from __future__ import annotations

from html import escape

QUIET_MODULES = 4  # the quiet zone of ISO/IEC 18004, from memory
SIDE_MM = 30


def qr_svg(address: str, *, name: str) -> str:
    """`address` as an SVG of 30 mm; `name` makes its id unique in the document."""
    import segno

    matrix = segno.make(address, error="m", micro=False).matrix
    side = len(matrix) + 2 * QUIET_MODULES
    dark = "".join(
        f"M{x + QUIET_MODULES} {y + QUIET_MODULES}h1v1h-1z"
        for y, row in enumerate(matrix)
        for x, is_dark in enumerate(row)
        if is_dark
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {side} {side}" width="{SIDE_MM}mm" '
        f'height="{SIDE_MM}mm" role="img" aria-labelledby="{name}">'
        f'<title id="{name}">A square code for a telephone’s camera. It holds the address {escape(address)}</title>'
        f'<path fill="#ffffff" d="M0 0h{side}v{side}h-{side}z"/><path fill="#000000" d="{dark}"/></svg>'
    )
