from __future__ import annotations

import datetime as dt
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command

from jobs.domain import plans
from jobs.models import PlanVersion, StepKind
from tests.factories import NOW, make_commission, make_maker, make_workshop, up_to

pytestmark = pytest.mark.django_db
K = StepKind


@pytest.fixture(autouse=True)
def _on_a_wednesday_in_march():
    with time_machine.travel(NOW, tick=False):
        yield


def run(**options):
    out, err = StringIO(), StringIO()
    call_command("plan", stdout=out, stderr=err, **options)
    return out.getvalue(), err.getvalue()


def test_it_prints_every_step_with_its_days_and_its_reason():
    make_workshop()
    maker = make_maker()
    one = make_commission(maker=maker, done=up_to(K.WRAP), promised={K.HANDOVER: dt.date(2027, 4, 30)})
    held = make_commission(maker=maker, held_since=NOW.date())
    out, _ = run()
    assert f"{one.number} Tannery, boot room\n" in out
    assert "  Wrap                       Wed 10 " in out
    assert "follows Wrap (done Wednesday 10 March, morning)" in out
    assert f"{held.number} Tannery, boot room\n  on hold: not in the plan" in out
    assert "Cost " in out
    assert not PlanVersion.objects.exists()


def test_replan_and_improve_say_what_they_do():
    make_workshop()
    make_commission(maker=make_maker(), promised={K.HANDOVER: dt.date(2027, 5, 30)})
    out, err = run(replan=True)
    assert "New plan: first plan, 0 steps moved." in out
    out, err = run(improve=2)
    assert "The plan in force holds: nothing had to move." in out
    assert "round 0 of 2, cost " in err
    assert "No better plan was found" in out or "offered on the Friday sheet" in out


def test_without_the_improver_it_says_so(monkeypatch):
    monkeypatch.setattr(plans, "solver_present", lambda: False)
    make_workshop()
    make_commission(maker=make_maker())
    assert "The plan stands without the improver" in run(improve=2)[0]


def test_bad_input_gets_a_sentence():
    with pytest.raises(CommandError, match="There is no workshop yet"):
        run()
    make_workshop()
    with pytest.raises(CommandError, match="--improve: give a number of rounds from 0 to"):
        run(improve=-1)
