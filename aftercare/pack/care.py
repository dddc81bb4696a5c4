"""How to look after each kind of surface. Pure.

Every line is common practice in the trade, without a published source, and written on the cautious side; the pack
says so beside it. The coating maker's own sheet always comes first.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class CareRule:
    do: tuple[str, ...]
    do_not: tuple[str, ...]


_COATED = CareRule(
    do=(
        "Dust with a soft, dry cloth.",
        "Wipe marks with a damp, well wrung cloth and a drop of mild washing-up liquid, then wipe dry.",
        "Try anything new on a hidden spot first.",
        "Wipe up spills at once.",
    ),
    do_not=(
        "Use scouring pads, cream cleaners, “magic” sponges, bleach, ammonia, solvents or a steam cleaner.",
        "Use silicone polish: later coats will not hold on it.",
        "Stick tape, hooks or labels on it.",
        "Stand hot or wet things straight on it.",
    ),
)

# Keyed by the values of SurfaceKind; a test holds the two together.
CARE: dict[str, CareRule] = {
    "painted": CareRule(
        do=(*_COATED.do, "Open and close by the handle: hands leave grease on edges, and grease softens paint."),
        do_not=_COATED.do_not,
    ),
    "lacquered": _COATED,
    "oiled": CareRule(
        do=(
            "Dust with a soft, dry cloth, along the grain.",
            "Wipe with a barely damp cloth, then dry.",
            "Re-oil when it looks dry or water no longer beads, with the same oil and as its maker says.",
            "Wipe up water, wine and oil at once.",
        ),
        do_not=(
            "Use washing-up liquid often: it takes the oil out.",
            "Use another oil, wax or varnish on top without asking us.",
            "Leave wet cloths, glasses or flower pots on it.",
            "Put metal cans or steel wool on damp oak: they leave black marks.",
        ),
    ),
    "veneer": CareRule(
        do=(
            "Dust along the grain with a soft, dry cloth.",
            "Wipe with a barely damp cloth, then dry straight away, edges too.",
            "Keep strong sun off, or move what stands on it now and then: wood changes colour in light.",
        ),
        do_not=(
            "Let water stand on edges and joints: veneer is thin and lifts.",
            "Sand it.",
            "Use scouring cream, solvents or a steam cleaner.",
            "Lay hot things on it.",
        ),
    ),
    "glass": CareRule(
        do=(
            "Spray the cleaner on the cloth, not on the glass, so that nothing runs into the frame.",
            "Close glass doors with a hand, not by the swing.",
        ),
        do_not=(
            "Use blades or scouring powder.",
            "Lean on it, or load a glass shelf beyond what section 5 says.",
            "Go on using glass with a chip or a crack: empty the shelf and ring us.",
        ),
    ),
    "metal": CareRule(
        do=(
            "Wipe with a soft, damp cloth, then dry.",
            "Ask us whether it is lacquered or bare before you polish: polish takes lacquer off.",
        ),
        do_not=(
            "Use wire wool, acid or limescale remover.",
            "Use metal polish near paint or wood: it stains them.",
        ),
    ),
    "leather": CareRule(
        do=(
            "Dust with a soft, dry cloth.",
            "Dab spills up at once with a dry cloth.",
            "Use a leather cream only if its maker says it suits this leather, and try it where it cannot be seen.",
        ),
        do_not=(
            "Use water in quantity, soap, alcohol or baby wipes.",
            "Put it in strong sun or close to a radiator.",
        ),
    ),
}

OIL_RAGS = (
    "rags with oil on them can catch fire by themselves. Lay them out flat in the open to dry, or put them in water "
    "in a closed metal tin, as the oil’s maker says; never screw them up in a bin."
)
