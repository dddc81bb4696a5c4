"""The outline of the workshop's floor and where on it a commission's shape hangs. Pure: no Django, no clock.

Units are those of the SVG's viewBox, WIDTH × HEIGHT. A place has a fixed number of pegs, in fixed positions, so that
the eye learns them: a commission keeps its peg for as long as it stays in the place, whatever comes after it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

WIDTH, HEIGHT = 1720, 900
PEG_WIDTH, PEG_HEIGHT = 300, 122
TITLE_HEIGHT = 50
PAD = 10
# The shape: two halves of one outline with a shut line between them.
SHAPE_WIDTH, SHAPE_HEIGHT, SHUT_LINE = 76, 60, 6

BENCH, RACK, FINISHING, WRAP_BAY, VAN = "bench", "rack", "finishing", "wrap_bay", "van"
SPRAYER, HOMES, PAPER = "sprayer", "homes", "paper"


@dataclass(frozen=True)
class Place:
    """A rectangle of the floor. `is_island`: it lies away from the workshop."""

    key: str
    name: str
    x: int
    y: int
    columns: int
    rows: int
    is_island: bool = False

    @property
    def width(self) -> int:
        return self.columns * PEG_WIDTH + 2 * PAD

    @property
    def height(self) -> int:
        return self.rows * PEG_HEIGHT + TITLE_HEIGHT + PAD

    @property
    def right(self) -> int:
        """Where words at its right edge end."""
        return self.x + self.width - 12

    @property
    def bottom(self) -> int:
        """The line on which the last words of a place stand."""
        return self.y + self.height - 6

    @property
    def pegs(self) -> int:
        return self.columns * self.rows

    def peg(self, number: int) -> Peg:
        """The peg with this number, 0 first, along the rows.

        Raises:
            IndexError: there is no such peg.
        """
        if not 0 <= number < self.pegs:
            raise IndexError(number)
        row, column = divmod(number, self.columns)
        return Peg(self.x + PAD + column * PEG_WIDTH, self.y + TITLE_HEIGHT + row * PEG_HEIGHT)


@dataclass(frozen=True)
class Peg:
    """Its top left corner; a shape and two lines of words fit within PEG_WIDTH × PEG_HEIGHT."""

    x: int
    y: int


# In the order in which a job travels; the two islands last.
PLACES: tuple[Place, ...] = (
    Place(PAPER, "On paper", 1010, 24, 1, 3),
    Place(BENCH, "Bench", 30, 24, 2, 3),
    Place(RACK, "Rack", 30, 460, 2, 3),
    Place(FINISHING, "Finishing", 670, 24, 1, 3),
    Place(WRAP_BAY, "Wrap bay", 670, 460, 1, 3),
    Place(VAN, "Van", 1010, 460, 1, 3),
    Place(SPRAYER, "Sprayer", 1380, 24, 1, 3, is_island=True),
    Place(HOMES, "Clients’ homes", 1380, 460, 1, 3, is_island=True),
)
BY_KEY = {place.key: place for place in PLACES}
# The outer wall, drawn round everything that is no island: x, y, width, height.
OUTER_WALL = (10, 10, 1335, 884)


def hang(numbers: Iterable[int], pegs: int) -> dict[int, int]:
    """A peg for each commission by its number; those for whom none is free are left out.

    Each begins at the peg of its own number and goes on to the next free one, in the order of the numbers. So one
    that comes later, with a higher number, never moves one that is there; and one that leaves moves at most those
    who had to go on from its peg.
    """
    taken: dict[int, int] = {}
    for number in sorted(set(numbers)):
        tried = ((number + step) % pegs for step in range(pegs))
        free = next((peg for peg in tried if peg not in taken.values()), None)
        if free is not None:
            taken[number] = free
    return taken


def code_of(nickname: str) -> str:
    """Two letters to know a commission by: "Mill Row" is MR, "Tannery" is TA; what has no letter is XX."""
    words = ["".join(sign for sign in word if sign.isalpha()) for word in nickname.split()]
    words = [word for word in words if word]
    if not words:
        return "XX"
    letters = words[0][0] + words[1][0] if len(words) > 1 else (words[0] * 2)[:2]
    return letters.upper()[:2]
