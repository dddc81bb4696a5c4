from __future__ import annotations

import pytest
import time_machine
from django.test import Client as Browser
from django.urls import reverse

from jobs.models import DaybookLine, Role, StepKind, Template, TemplateLink, TemplateStep
from tests.factories import NOW, make_commission, make_maker, make_template, make_workshop
from tests.jobs.views.cast import signed_in

pytestmark = pytest.mark.django_db
PAGE = "/steps-to-start-from/"


@pytest.fixture(autouse=True)
def at_now():
    with time_machine.travel(NOW, tick=False):
        yield


def data(**fields):
    return {
        "name": "Edge lipping", "kind": "other", "track": "carcasses", "allowance_hours": "2.5", "lead_days": "0",
        "hands": "1", "after": "",
    } | fields  # fmt: skip


def of_kind(kind):
    return TemplateStep.objects.get(kind=kind)


def has_circle():
    """Kahn's algorithm, written here afresh: whether taking out steps without a predecessor gets stuck."""
    left = set(TemplateStep.objects.values_list("pk", flat=True))
    links = set(TemplateLink.objects.values_list("before", "after"))
    while left:
        free = {one for one in left if not any(after == one and before in left for before, after in links)}
        if not free:
            return True
        left -= free
    return False


def test_a_step_goes_between_another_and_what_followed_it():
    template = make_template()
    browser = signed_in()
    cut = of_kind(StepKind.CARCASSES)
    followed = set(cut.links_out.values_list("after__kind", flat=True))
    url = reverse("add_template_step", args=[template.pk])
    assert browser.post(url, data(after=cut.pk))["Location"] == PAGE
    new = TemplateStep.objects.get(name="Edge lipping")
    assert set(new.links_out.values_list("after__kind", flat=True)) == followed
    assert [link.before for link in new.links_in.all()] == [cut] == [new.links_in.get().before]
    assert new.position == cut.position + 1
    assert not has_circle() and DaybookLine.objects.filter(act="add_template_step").count() == 1
    browser.post(url, data(name="Phone call", track="whole"))
    first = TemplateStep.objects.get(name="Phone call")
    assert (first.position, [link.after.kind for link in first.links_out.all()]) == (0, ["survey"])
    assert not has_circle()


def test_changed_and_taken_out_only_for_what_comes():
    make_template()
    make_workshop()
    maker = make_maker()
    browser = signed_in(maker)
    opened = make_commission(maker=maker)
    inspect = of_kind(StepKind.INSPECT)
    url = reverse("edit_template_step", args=[inspect.pk])
    assert "Take the step out" in browser.get(url).content.decode()
    browser.post(url, data(name="Look doors over", kind="inspect", track="doors"))
    assert of_kind(StepKind.INSPECT).name == "Look doors over"
    assert browser.post(reverse("remove_template_step", args=[inspect.pk]))["Location"] == PAGE
    wrapped_after = set(of_kind(StepKind.WRAP).links_in.values_list("before__kind", flat=True))
    assert "sprayer_back" in wrapped_after and not has_circle()
    assert opened.steps.filter(kind=StepKind.INSPECT).exists()


def test_bad_input_is_named():
    template = make_template()
    browser = signed_in()
    answer = browser.post(reverse("add_template_step", args=[template.pk]), data(name="", allowance_hours="lots"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Name: this is needed; fill it in." in page and "Allowance, hours: give a number" in page
    other = Template.objects.create(name="Doors only")
    strange = TemplateStep.objects.create(template=other, name="Doors", kind="doors")
    assert browser.post(reverse("add_template_step", args=[template.pk]), data(after=strange.pk)).status_code == 422
    page = browser.post(reverse("rename_template", args=[template.pk]), {"name": "doors ONLY"}).content.decode()
    assert "Name: another list has this name; give another one." in page
    page = browser.post(reverse("remove_template_step", args=[strange.pk]), follow=True).content.decode()
    assert "The list would be empty: add another step first." in page
    assert browser.get(reverse("remove_template_step", args=[strange.pk])).status_code == 404


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_takes_the_same_queries_whatever_its_size(count, django_assert_num_queries):
    make_template()
    for number in range(count - 1):
        other = Template.objects.create(name=f"List {number}")
        TemplateStep.objects.create(template=other, name="Doors", kind="doors")
    browser = signed_in()
    with django_assert_num_queries(7):  # session, person, workshop; lists, steps, links, what comes before
        assert browser.get(PAGE).content.count(b'id="template-') == count


def test_an_empty_list_offers_the_first_and_strangers_are_kept_out():
    browser = signed_in()
    assert reverse("first_commission") in browser.get(PAGE).content.decode()
    assert browser.post(PAGE).status_code == 405
    assert Browser().get(PAGE).status_code == 302
    assert signed_in(make_maker(role=Role.OFFICE)).get(PAGE).status_code == 403
