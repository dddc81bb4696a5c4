"""A commission's steps as a drawing: time order from left to right, one lane a track. Pure geometry."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from jobs.models.kinds import Track

COLUMN = 140
LANE = 74
BOX_WIDTH = 120
BOX_HEIGHT = 46
MARGIN = 10
LANES = (Track.DOORS, Track.WHOLE, Track.CARCASSES, Track.BOUGHT_IN)


@dataclass(frozen=True)
class Box:
    step_id: int
    name: str
    lines: tuple[str, ...]
    x: float
    y: float
    state: str  # done, running, next or later

    @property
    def middle_x(self) -> float:
        return self.x + BOX_WIDTH / 2

    @property
    def first_line_y(self) -> float:
        return self.y + BOX_HEIGHT / 2 + (6 if len(self.lines) == 1 else -2)


@dataclass(frozen=True)
class Picture:
    boxes: tuple[Box, ...]
    lines: tuple[str, ...]  # SVG path data
    width: float
    height: float
    box_width: int = BOX_WIDTH
    box_height: int = BOX_HEIGHT


@dataclass(frozen=True)
class Node:
    """What the drawing needs of a step."""

    step_id: int
    name: str
    track: str
    state: str


def network_picture(nodes: Sequence[Node], links: Iterable[tuple[int, int]]) -> Picture:
    """Boxes and lines for steps (given in list order) and their links (before, after)."""
    known = {node.step_id for node in nodes}
    pairs = [(before, after) for before, after in links if before in known and after in known]
    columns = longest_way(nodes, pairs)
    lanes = [lane for lane in LANES if any(node.track == lane for node in nodes)] or [Track.WHOLE]
    boxes: dict[int, Box] = {}
    taken: set[tuple[int, int]] = set()
    for node in nodes:
        row = lanes.index(Track(node.track)) if node.track in lanes else 0
        column = columns[node.step_id]
        while (column, row) in taken:  # two steps of one track side by side go below one another
            row += 1
        taken.add((column, row))
        boxes[node.step_id] = Box(
            node.step_id,
            node.name,
            wrapped(node.name),
            MARGIN + column * COLUMN,
            MARGIN + row * LANE,
            node.state,
        )
    height = max((box.y for box in boxes.values()), default=0) + BOX_HEIGHT + MARGIN
    width = max((box.x for box in boxes.values()), default=0) + BOX_WIDTH + MARGIN
    return Picture(tuple(boxes.values()), tuple(_line(boxes[a], boxes[b]) for a, b in pairs), width, height)


def longest_way(nodes: Sequence[Node], pairs: Sequence[tuple[int, int]]) -> Mapping[int, int]:
    """The column of each step: one more than the furthest of those before it. Steps in a circle stay at 0."""
    befores: dict[int, list[int]] = {node.step_id: [] for node in nodes}
    for before, after in pairs:
        befores[after].append(before)
    columns = dict.fromkeys(befores, 0)
    for _ in nodes:  # relaxing as often as there are steps settles every network without a circle
        for step_id, earlier in befores.items():
            columns[step_id] = max((columns[one] + 1 for one in earlier), default=0)
        if all(columns[s] == max((columns[e] + 1 for e in es), default=0) for s, es in befores.items()):
            return columns
    return dict.fromkeys(befores, 0)


def wrapped(name: str, width: int = 15) -> tuple[str, ...]:
    """The name on at most two lines of a box."""
    lines = [""]
    for word in name.split():
        if lines[-1] and len(lines[-1]) + 1 + len(word) > width and len(lines) < 2:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return tuple(line if len(line) <= width + 3 else f"{line[: width + 2]}…" for line in lines)


def _line(before: Box, after: Box) -> str:
    start_x, start_y = before.x + BOX_WIDTH, before.y + BOX_HEIGHT / 2
    end_x, end_y = after.x, after.y + BOX_HEIGHT / 2
    # Straight out, across in the gap before the next box, straight in: as a drawn part list would.
    turn_x = end_x - (COLUMN - BOX_WIDTH) / 2
    return f"M{start_x:g} {start_y:g} H{turn_x:g} V{end_y:g} H{end_x:g}"
