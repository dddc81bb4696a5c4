from __future__ import annotations

import datetime as dt
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from jobs.domain import plans
from jobs.models import Step, Workshop
from jobs.planning.explain import explain_all
from jobs.queries.plan import planned_from
from jobs.queries.plan_words import say_terms
from jobs.queries.planning_input import step_id
from jobs.queries.words import say_half_days, say_range
from jobs.queries.workshop import the_workshop
from jobs.refusal import Refusal

MOST_ITERATIONS = 10_000


class Command(BaseCommand):
    help = "Print the plan of all commissions as a table; on request, make a new one or look for a better one first."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--replan", action="store_true", help="make a plan of the record as it is now")
        parser.add_argument(
            "--improve", type=int, default=0, metavar="N", help="look for a better plan, N rounds, and offer it"
        )

    def handle(self, *args: Any, **options: Any) -> None:
        workshop = the_workshop()
        if workshop is None:
            raise CommandError("There is no workshop yet: set it up in the browser first.")
        rounds = options["improve"]
        if not 0 <= rounds <= MOST_ITERATIONS:
            raise CommandError(f"--improve: give a number of rounds from 0 to {MOST_ITERATIONS}.")
        now = timezone.now()
        try:
            if options["replan"] or rounds:
                self._replan(workshop, now)
            if rounds:
                self._improve(workshop, now, rounds)
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from None
        self._print(workshop, now)

    def _replan(self, workshop: Workshop, now: dt.datetime) -> None:
        version = plans.make_plan(found=plans.read_input(workshop, now), now=now, actor=None)
        if version is None:
            self.stdout.write("The plan in force holds: nothing had to move.")
        else:
            self.stdout.write(f"New plan: {version.method}, {len(version.moved)} steps moved.")

    def _improve(self, workshop: Workshop, now: dt.datetime, rounds: int) -> None:
        if not plans.solver_present():
            self.stdout.write("The plan stands without the improver: ortools is not installed.")
            return

        def keep_going(done: int, cost: int) -> bool:
            self.stderr.write(f"round {done} of {rounds}, cost {cost}")
            return True

        found = plans.read_input(workshop, now)
        version = plans.offer_improvement(found=found, now=now, actor=None, iterations=rounds, keep_going=keep_going)
        if version is None:
            self.stdout.write("No better plan was found that is worth a question.")
        else:
            self.stdout.write(
                f"A better plan was found and is offered on the Friday sheet: {len(version.moved)} moves."
            )

    def _print(self, workshop: Workshop, now: dt.datetime) -> None:
        live = plans.read_input(workshop, now).live
        planned = planned_from(live)
        reasons = explain_all(planned.instance, planned.plan)
        for commission in live.commissions:
            plan = planned.view.commissions[commission.pk]
            late = f", {say_half_days(plan.late_half_days)} late" if plan.late_half_days else ""
            self.stdout.write(f"\n{commission}, {commission.what}{late}")
            if plan.is_held or plan.refused_because:
                self.stdout.write(f"  {plan.refused_because or 'on hold: not in the plan'}")
                continue
            names: dict[int, Step] = {step.pk: step for step in live.steps.get(commission.pk, ())}
            for step in plan.steps:
                if not step.is_done:
                    reason = reasons.get(step_id(step.step_id))
                    when = say_range(step.starts.day, step.ends.day, live.today)
                    words = "" if reason is None else reason.words
                    self.stdout.write(f"  {names[step.step_id].name:26.26} {when:24} {words}")
        cost = planned.plan.cost
        terms = say_terms(
            {"late": cost.late, "floor": cost.floor, "moved_told": cost.moved_told, "shift": cost.shift}
        )
        self.stdout.write(f"\nCost {cost.total}: {terms}.")
