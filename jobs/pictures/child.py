"""The child process that decodes one picture: `python -m jobs.pictures.child jpeg|png`, picture on stdin.

Decoding is where a broken or hostile picture does harm, so it happens in a process with little memory, little time,
no keys and no database, which ends with it. Imports no Django.

Result: one line of JSON (`width_px`, `height_px`, `original`, `offset`, `sizes`), then the picture and a small copy
of it. A refusal is exit status 3 with one sentence on stderr.
"""

from __future__ import annotations

import io
import json
import resource
import sys
import warnings
from typing import Any

from PIL import Image, ImageOps
from pillow_heif import register_heif_opener

REFUSED = 3
MOST_PIXELS = 25_000_000
MEMORY_BYTES = 900_000_000  # address space, libraries included; 25 megapixels take 300 MB of it at the worst moment
CPU_SECONDS = 30
LONGEST_PX = 2560
SMALL_PX = 480
QUALITY = 85
FORMATS = ("JPEG", "PNG", "WEBP", "HEIF")
LARGEST_PROFILE_BYTES = 20_000
EXIF_IFD, TAKEN, TAKEN_OFFSET = 0x8769, 0x9003, 0x9011  # EXIF 2.31


class Refused(Exception):
    """The sentence is for the person who chose the file."""


def limit() -> None:
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CPU, (CPU_SECONDS, CPU_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    Image.MAX_IMAGE_PIXELS = MOST_PIXELS
    warnings.simplefilter("error", Image.DecompressionBombWarning)


def decode(data: bytes) -> tuple[Image.Image, dict[str, Any]]:
    """The picture upright in RGB, and the camera's own time. The size is looked at before anything is unpacked."""
    try:
        with Image.open(io.BytesIO(data), formats=FORMATS) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise Refused(too_large(opened.width, opened.height))
            details = opened.getexif().get_ifd(EXIF_IFD)
            facts = {"original": text(details.get(TAKEN)), "offset": text(details.get(TAKEN_OFFSET))}
            picture = ImageOps.exif_transpose(opened)
            profile = opened.info.get("icc_profile") if opened.mode == "RGB" else None
            return flat(picture), facts | {"profile": profile}
    except (Image.DecompressionBombError, Image.DecompressionBombWarning) as bomb:
        raise Refused(too_large(0, 0)) from bomb
    except Refused:
        raise
    except MemoryError as much:
        raise Refused(
            "It takes more memory to unpack than a photograph does: make it smaller and choose it again."
        ) from much
    except Exception as fault:  # Pillow raises a dozen kinds for what is no picture
        raise Refused("It is no picture that can be read: choose a JPEG, PNG, WebP or HEIC file.") from fault


def too_large(width: int, height: int) -> str:
    size = f"{width} by {height} pixels, which is " if width else ""
    return f"It has {size}more than 25 megapixels: make it smaller and choose it again."


def text(value: object) -> str:
    return str(value).strip("\x00 ")[:40] if isinstance(value, str) else ""


def flat(picture: Image.Image) -> Image.Image:
    """RGB; what was transparent becomes white, as on paper."""
    if picture.mode in ("RGBA", "LA", "PA") or "transparency" in picture.info:
        under = Image.new("RGBA", picture.size, "white")
        under.alpha_composite(picture.convert("RGBA"))
        return under.convert("RGB")
    return picture.convert("RGB")


def written(picture: Image.Image, longest_px: int, kind: str, profile: bytes | None) -> tuple[bytes, Image.Image]:
    copy = picture.copy()
    if kind == "JPEG":
        copy.thumbnail((longest_px, longest_px))
    copy.info.clear()
    out = io.BytesIO()
    # The colour profile stays: it says how the colour looks, and nothing of who took it or where.
    keep = {"icc_profile": profile} if profile and len(profile) <= LARGEST_PROFILE_BYTES else {}
    options: dict[str, Any] = {"quality": QUALITY} if kind == "JPEG" else {"compress_level": 6}
    copy.save(out, kind, **options, **keep)
    return out.getvalue(), copy


def main() -> int:
    kind = "PNG" if sys.argv[1:] == ["png"] else "JPEG"
    data = sys.stdin.buffer.read()
    register_heif_opener(thumbnails=False)
    limit()
    try:
        picture, facts = decode(data)
        large, kept = written(picture, LONGEST_PX, kind, facts.pop("profile"))
        small, _ = written(kept, SMALL_PX, "JPEG", None)
    except Refused as refused:
        print(refused, file=sys.stderr)
        return REFUSED
    facts |= {"width_px": kept.width, "height_px": kept.height, "sizes": [len(large), len(small)]}
    sys.stdout.buffer.write(json.dumps(facts).encode() + b"\n" + large + small)
    return 0


if __name__ == "__main__":
    sys.exit(main())
