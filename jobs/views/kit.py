"""Kit: the workshop's lists, and what has to be in the van for one commission."""

from __future__ import annotations

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from jobs.domain import kit as domain
from jobs.forms.works import KitListForm, KitListItemForm, LoadItemForm
from jobs.models import KitList, KitListItem, LoadItem
from jobs.queries.kit_page import kit_lists_page, kit_page
from jobs.views.common import WorkshopRequest, answer_button, answer_form, the_commission
from jobs.views.sheet_forms import answer_sheet_form, sheet_url


def kit(request: WorkshopRequest, number: int) -> HttpResponse:
    return render(request, "jobs/kit.html", kit_page(the_commission(number), request.workshop, request.now))


def kit_lists(request: WorkshopRequest) -> HttpResponse:
    return render(request, "jobs/kit_lists.html", kit_lists_page())


def new_kit_list(request: WorkshopRequest) -> HttpResponse:
    form = KitListForm(request.POST or None)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_kit_list(kit_list=form.save(commit=False), now=request.now, actor=request.user),
        done=reverse("kit_lists"),
        title="Start a list",
        back=reverse("kit_lists"),
        submit="Save the list",
    )


def add_kit_list_item(request: WorkshopRequest, pk: int) -> HttpResponse:
    return _list_item(request, KitListItem(kit_list=get_object_or_404(KitList, pk=pk)), "Add to the list")


def edit_kit_list_item(request: WorkshopRequest, pk: int) -> HttpResponse:
    found = get_object_or_404(KitListItem.objects.select_related("kit_list"), pk=pk)
    return _list_item(request, found, f"Change “{found}”")


def _list_item(request: WorkshopRequest, item: KitListItem, title: str) -> HttpResponse:
    form = KitListItemForm(request.POST or None, instance=item)
    return answer_form(
        request,
        form,
        act=lambda: domain.save_kit_list_item(item=form.save(commit=False), now=request.now, actor=request.user),
        done=reverse("kit_lists"),
        title=title,
        subtitle=item.kit_list.name,
        back=reverse("kit_lists"),
        submit="Save it",
    )


def remove_kit_list_item(request: WorkshopRequest, pk: int) -> HttpResponse:
    item = get_object_or_404(KitListItem, pk=pk)
    return answer_button(
        request,
        act=lambda: domain.remove_kit_list_item(item=item, now=request.now, actor=request.user),
        done=reverse("kit_lists"),
        said=f"{item} is off the list.",
    )


def take_kit_list(request: WorkshopRequest, number: int, pk: int) -> HttpResponse:
    commission = the_commission(number)
    kit_list = get_object_or_404(KitList, pk=pk)
    return answer_button(
        request,
        act=lambda: domain.take_kit_list(
            commission=commission, kit_list=kit_list, now=request.now, actor=request.user
        ),
        done=sheet_url("kit", commission),
        said=f"“{kit_list}” is joined with what was there.",
    )


def add_load_item(request: WorkshopRequest, number: int) -> HttpResponse:
    return _load_item(request, LoadItem(commission=the_commission(number)), "Add a loose part, a spare or kit")


def the_load_item(pk: int) -> LoadItem:
    return get_object_or_404(LoadItem.objects.select_related("commission"), pk=pk)


def edit_load_item(request: WorkshopRequest, pk: int) -> HttpResponse:
    item = the_load_item(pk)
    return _load_item(request, item, f"Change “{item}”")


def _load_item(request: WorkshopRequest, item: LoadItem, title: str) -> HttpResponse:
    form = LoadItemForm(request.POST or None, instance=item)
    return answer_sheet_form(
        request,
        form,
        act=lambda: domain.save_load_item(item=form.save(commit=False), now=request.now, actor=request.user),
        commission=item.commission,
        back=sheet_url("kit", item.commission),
        title=title,
        submit="Save it",
    )


def tick_loaded(request: WorkshopRequest, pk: int) -> HttpResponse:
    item = the_load_item(pk)
    return answer_button(
        request,
        act=lambda: domain.tick_loaded(item=item, now=request.now, actor=request.user),
        done=sheet_url("kit", item.commission),
    )


def untick_loaded(request: WorkshopRequest, pk: int) -> HttpResponse:
    item = the_load_item(pk)
    return answer_button(
        request,
        act=lambda: domain.untick_loaded(item=item, now=request.now, actor=request.user),
        done=sheet_url("kit", item.commission),
    )


def remove_load_item(request: WorkshopRequest, pk: int) -> HttpResponse:
    item = the_load_item(pk)
    return answer_button(
        request,
        act=lambda: domain.remove_load_item(item=item, now=request.now, actor=request.user),
        done=sheet_url("kit", item.commission),
        said=f"{item} is off the list.",
    )
