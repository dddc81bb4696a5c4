"""Drawings and photographs of the demo, drawn here in code: nobody's home is shown."""

from __future__ import annotations

import io
from collections.abc import Sequence

from PIL import Image, ImageDraw, ImageFont

SHEET_PX = (1400, 990)
SCENE_PX = (1200, 900)
INK, PAPER, WALL, FLOOR, BOARD, SHADE = "#1f2329", "#fffefa", "#d9d4c8", "#8f7a5e", "#c9b48a", "#a9a294"


def elevation_png(title: str, widths_mm: Sequence[int], height_mm: int, version: str) -> bytes:
    """An elevation to scale: units side by side with their widths, the height, and a title block."""
    sheet = Image.new("RGB", SHEET_PX, PAPER)
    pen, font = ImageDraw.Draw(sheet), ImageFont.load_default(26)
    px_per_mm = min(1100 / sum(widths_mm), 680 / height_mm)
    left, floor = 150.0, 820.0
    top = floor - height_mm * px_per_mm
    pen.line((60, floor, SHEET_PX[0] - 60, floor), fill=INK, width=4)
    for width_mm in widths_mm:
        right = left + width_mm * px_per_mm
        pen.rectangle((left, top, right, floor), outline=INK, width=3)
        pen.line(((left + right) / 2, top + 14, (left + right) / 2, floor - 60), fill=INK, width=2)
        pen.text(((left + right) / 2, floor + 28), f"{width_mm}", fill=INK, font=font, anchor="mm")
        left = right
    pen.text((75, (top + floor) / 2), f"{height_mm}", fill=INK, font=font, anchor="mm")
    pen.rectangle((60, 890, SHEET_PX[0] - 60, 960), outline=INK, width=3)
    pen.text((80, 925), f"{title}, {version}. Sizes in mm.", fill=INK, font=font, anchor="lm")
    return _bytes(sheet, "PNG")


def room_jpeg(words: str, *, fitted: bool = False, mark: bool = False) -> bytes:
    """A wall and a floor; with furniture against it where it is fitted, with a scuff where there was one."""
    scene = Image.new("RGB", SCENE_PX, WALL)
    pen, font = ImageDraw.Draw(scene), ImageFont.load_default(24)
    pen.polygon([(0, 700), (1200, 700), (1200, 900), (0, 900)], fill=FLOOR)
    pen.rectangle((0, 670, 1200, 700), fill=PAPER)
    pen.rectangle((900, 140, 1110, 460), fill=PAPER, outline=INK, width=4)
    if fitted:
        for left in range(120, 780, 165):
            pen.rectangle((left, 110, left + 165, 705), fill=BOARD, outline=INK, width=4)
            pen.ellipse((left + 138, 400, left + 150, 412), fill=INK)
    if mark:
        pen.line((330, 520, 410, 545), fill=SHADE, width=7)
        pen.ellipse((300, 480, 440, 590), outline=INK, width=3)
    pen.text((30, 865), f"{words} (drawn, not photographed)", fill=PAPER, font=font, anchor="lm")
    return _bytes(scene, "JPEG")


def stairs_jpeg(words: str) -> bytes:
    """A flight seen from the side."""
    scene = Image.new("RGB", SCENE_PX, WALL)
    pen, font = ImageDraw.Draw(scene), ImageFont.load_default(24)
    for step in range(9):
        left, top = 150 + step * 100, 760 - step * 70
        pen.rectangle((left, top, 1200, 900), fill=BOARD, outline=INK, width=3)
    pen.text((30, 865), f"{words} (drawn, not photographed)", fill=INK, font=font, anchor="lm")
    return _bytes(scene, "JPEG")


def _bytes(picture: Image.Image, kind: str) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind)
    return out.getvalue()
