"""Each kind of reason, and the chain as one plain sentence."""

from __future__ import annotations

from jobs.planning import Explainer, explain, explain_all, first_plan
from jobs.planning.network import FloorSpan, Instance, Link
from tests.benchmarks.workshop_generator import generate
from tests.jobs.planning.cast import calendar, chain, instance, resource, sprayer, step, workshop


def reason(network: Instance, step_id: str) -> tuple[str, str]:
    found = explain_all(network, first_plan(network))[step_id]
    return found.kind, found.words


def test_a_step_that_starts_today_says_so() -> None:
    assert reason(instance([step("a")]), "a") == ("today", "can start at once")


def test_a_step_after_another_names_it_and_when_it_is_done() -> None:
    network = instance([step("a", 3, words="gluing"), step("b")], [Link("a", "b", least_wait=2)])
    words = "follows gluing and the 2 half-days after it (done Tuesday 3 March, morning)"
    assert reason(network, "b") == ("after", words)


def test_a_step_after_the_sprayer_names_the_lead_time() -> None:
    steps = [step("a", 0, words="spraying", lead_days=8, subcontractor_id="sprayer"), step("b")]
    network = instance(steps, chain("a", "b"), subcontractors=[sprayer()])
    assert reason(network, "b") == ("after", "follows spraying (the spray shop needs 8 working days)")


def test_a_closed_calendar_is_named_and_an_open_one_is_not() -> None:
    network = instance(
        [step("a", needs=("home", "van"))],
        calendars=[
            calendar("home", [4, 5], "the client at home"),
            calendar("van", range(50), "the van's days"),
        ],
    )
    assert reason(network, "a") == ("calendar", "waits for the client at home")


def test_a_taken_resource_names_who_holds_it() -> None:
    steps = [
        step("a", 4, commission="c1", words="cutting", demands={"hands": 1}, promise_slot=4),
        step("b", 1, commission="c2", demands={"hands": 1}, promise_slot=9),
    ]
    network = instance(steps, resources=[resource("hands", 1, words="a pair of hands")])
    assert reason(network, "b") == (
        "resource",
        "waits for a pair of hands, taken until then by cutting of the c1 job",
    )


def test_an_agreed_date_and_an_earliest_date_are_reasons() -> None:
    network = instance([step("a", fixed_slot=6), step("b", earliest_slot=3)])
    assert reason(network, "a") == ("fixed", "is agreed for Thursday 5 March, morning")
    assert reason(network, "b") == ("earliest", "may not start before Tuesday 3 March, afternoon")


def test_carcasses_held_back_and_floor_waited_for_are_told_apart() -> None:
    steps, links, spans = [], [], []
    for c in ("c1", "c2"):
        steps += [
            step(f"{c}-carcasses", 2, commission=c),
            step(f"{c}-doors", 10, commission=c),
            step(f"{c}-load", 1, commission=c, words="loading", promise_slot=11 if c == "c1" else 20),
        ]
        links += [Link(f"{c}-carcasses", f"{c}-load"), Link(f"{c}-doors", f"{c}-load")]
        spans.append(FloorSpan(c, f"{c}-carcasses", f"{c}-load", "floor"))
    network = instance(steps, links, floor_spans=spans, resources=[resource("floor", 1, words="the floor")])
    plan = first_plan(network)
    reasons = explain_all(network, plan)
    assert reasons["c1-carcasses"].words == "is held back until loading needs it, to keep the floor free"
    assert reasons["c1-carcasses"].because_of == "c1-doors"
    assert reasons["c2-carcasses"].words == "waits for room on the floor"
    assert plan.places["c2-carcasses"].start == plan.places["c1-load"].end


def test_a_step_kept_near_what_follows_names_it() -> None:
    network = instance(
        [step("load"), step("deliver", words="delivery", needs=("home",))],
        [Link("load", "deliver", 0, 6)],
        calendars=[calendar("home", range(40, 60), "the client at home")],
    )
    assert reason(network, "load") == ("window", "is held back so that delivery comes within 6 half-days")


def test_the_sentence_draws_a_run_together_and_ends_at_today() -> None:
    steps = [step("a", 2, words="cutting"), step("b", 2, words="gluing"), step("c", 2, words="sanding")]
    network = instance(steps, chain("a", "b", "c"))
    assert explain(network, first_plan(network), "c") == (
        "Sanding of the c1 job is on Wednesday 4 March, morning: it follows gluing and cutting; "
        "cutting (Monday 2 March, morning) can start at once."
    )


def test_past_steps_are_told_as_past() -> None:
    network = instance([step("a", started_slot=0, finished_slot=2)], first_slot=5)
    plan = first_plan(network)
    assert explain(network, plan, "a") == "A of the c1 job was finished on Monday 2 March, afternoon."
    assert explain(network, plan, "nobody") == "This step is not in the plan."


def test_every_chain_of_a_crowded_workshop_ends_at_something_no_step_decides() -> None:
    shop = generate(12, 3)
    plan = first_plan(shop)
    explainer = Explainer(shop, plan)
    roots = {explainer.chain(step.id)[-1][1].kind for step in shop.steps}
    assert roots <= {"today", "earliest", "fixed", "calendar", "resource", "frozen", "held back", "floor"}
    assert all(explainer.chain(step.id)[-1][1].because_of is None for step in shop.steps)


def test_a_reason_for_every_step() -> None:
    shop = workshop(4)
    plan = first_plan(shop)
    reasons = explain_all(shop, plan)
    assert set(reasons) == set(plan.places)
    assert not [id for id, one in reasons.items() if one.kind == "free"]
