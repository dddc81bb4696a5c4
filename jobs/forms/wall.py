"""Setting up a wall screen: the line that a steel rule is laid on, and how the screen behaves."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from django import forms

from jobs.wall_sizes import GREATEST_M, LEAST_M, ScreenSizes, mm_per_px

RULES = [("300", "300 mm"), ("150", "150 mm"), ("50", "50 mm")]
# Buttons that make the line longer or shorter, in CSS pixels.
MOVES = (-20, -5, -1, 1, 5, 20)
LEAST_PX, GREATEST_PX = 20, 6000
FIRST_LINE_PX = 605  # 300 mm on a screen 952 mm and 1920 px wide


class WallSetUpForm(forms.Form):
    rule_mm = forms.TypedChoiceField(
        label="The line shall be",
        choices=RULES,
        coerce=float,
        widget=forms.RadioSelect,
        error_messages={"required": "The line: say how long it shall be."},
    )
    line_px = forms.FloatField(
        label="Length of the line, in points of the screen",
        min_value=LEAST_PX,
        max_value=GREATEST_PX,
        error_messages={
            "required": "Length of the line: give the points of the screen, or press a button beside it.",
            "invalid": "Length of the line: this is no number; write it as 605.",
        },
        widget=forms.NumberInput(attrs={"step": "0.5"}),
    )
    is_measured = forms.BooleanField(
        label="I have laid a rule on the line and it reads right",
        required=False,
        help_text="Unticked, sizes go by the width of the screen, as if it were 43 inches.",
    )
    viewing_distance_m = forms.FloatField(
        label="Read from how far, in metres",
        min_value=LEAST_M,
        max_value=GREATEST_M,
        help_text="Capitals are a two-hundredth of it high: 15 mm at 3 m.",
        error_messages={
            "required": "Viewing distance: give metres, as in 3.",
            "invalid": "Viewing distance: this is no number; write metres as 2.5.",
        },
        widget=forms.NumberInput(attrs={"step": "0.1"}),
    )
    has_shortcuts = forms.BooleanField(label="Number and letter keys work on the wall pages", required=False)
    refreshes = forms.BooleanField(label="Look for news every minute", required=False)
    stays_awake = forms.BooleanField(
        label="Keep this screen from going dark",
        required=False,
        help_text="Only where the address begins with https or is this computer's own.",
    )

    @staticmethod
    def from_sizes(sizes: ScreenSizes, asked: Mapping[str, Any]) -> dict[str, Any]:
        """What the form begins with; `asked` is a query string in which a length and a move may be given."""
        rule_mm = asked.get("rule_mm") if asked.get("rule_mm") in dict(RULES) else RULES[0][0]
        assert rule_mm is not None
        first_px = float(rule_mm) * sizes.px_per_mm if sizes.px_per_mm else FIRST_LINE_PX * float(rule_mm) / 300
        line_px = _number(asked.get("line_px"), first_px) + _number(asked.get("by"), 0.0)
        kept = {"viewing_distance_m": _number(asked.get("viewing_distance_m"), sizes.viewing_distance_m)}
        for name in ("has_shortcuts", "refreshes", "stays_awake"):
            kept[name] = name in asked if "by" in asked else getattr(sizes, name)
        return {
            "rule_mm": rule_mm,
            "line_px": f"{min(max(line_px, LEAST_PX), GREATEST_PX):.1f}".removesuffix(".0"),
            "is_measured": "is_measured" in asked if "by" in asked else sizes.mm_per_px is not None,
        } | kept

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        if told.get("is_measured") and "rule_mm" in told and "line_px" in told:
            try:
                self.found_mm_per_px: float | None = mm_per_px(rule_mm=told["rule_mm"], line_px=told["line_px"])
            except ValueError as wrong:
                self.add_error("line_px", str(wrong))
        else:
            self.found_mm_per_px = None
        return told

    def sizes(self) -> ScreenSizes:
        """Of a valid form."""
        told = self.cleaned_data
        return ScreenSizes(
            mm_per_px=self.found_mm_per_px,
            viewing_distance_m=told["viewing_distance_m"],
            has_shortcuts=told["has_shortcuts"],
            refreshes=told["refreshes"],
            stays_awake=told["stays_awake"],
        )


def line_to_draw(form: WallSetUpForm) -> tuple[float, str]:
    """Length of the line in CSS pixels and what the rule shall read, also of a form that was refused."""
    rule_mm = str(form["rule_mm"].value() or RULES[0][0])
    line_px = _number(form["line_px"].value(), FIRST_LINE_PX)
    return round(min(max(line_px, LEAST_PX), GREATEST_PX), 1), rule_mm if rule_mm in dict(RULES) else RULES[0][0]


def _number(words: Any, otherwise: float) -> float:
    try:
        found = float(words)
    except (TypeError, ValueError):
        return otherwise
    return found if math.isfinite(found) else otherwise
