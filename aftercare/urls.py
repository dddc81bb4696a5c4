from __future__ import annotations

from django.urls import path

from aftercare.views import (
    client_page,
    fitted,
    future_work,
    hinge_check,
    light,
    permissions,
    records,
    returns,
    rounds,
)

urlpatterns = [
    # light
    path("rooms/<int:pk>/light/", light.room_light, name="room_light"),
    path("rooms/<int:pk>/light/note/", light.add_light_note, name="add_light_note"),
    path("rooms/<int:pk>/light/photograph/", light.light_from_photograph, name="light_from_photograph"),
    path("light/<int:pk>/remove/", light.delete_light_note, name="remove_light_note"),
    # handover
    path("commissions/<int:number>/hand-over/", records.hand_over, name="hand_over"),
    path("handovers/<int:pk>/undo/", records.undo_handover, name="undo_handover"),
    path("handovers/<int:pk>/book-return/", records.rebook_return_visit, name="rebook_return_visit"),
    path("handovers/<int:pk>/pack/", records.pack_page, name="pack_page"),
    path("packs/<int:pk>/", records.issued_pack, name="issued_pack"),
    # return visits
    path("return-visits/", returns.return_visits, name="return_visits"),
    path("return-visits/rounds/", rounds.return_rounds, name="return_rounds"),
    path("return-visits/rounds/take/", rounds.take_all, name="take_rounds"),
    path("return-visits/journeys/", rounds.journeys, name="journeys"),
    path("return-visits/journeys/<int:pk>/remove/", rounds.drop_journey, name="remove_journey"),
    path("handovers/<int:pk>/other-times/", returns.choose_other_time, name="other_times"),
    path("commissions/<int:number>/return-wish/", returns.return_wish, name="return_wish"),
    # the client's own page
    path("your-furniture/return-visit/", client_page.client_return, name="client_return"),
    path("your-furniture/pack/", client_page.client_pack, name="client_pack"),
    path("your-furniture/pack/<int:pk>/", client_page.client_pack_pdf, name="client_pack_pdf"),
    path("your-furniture/permissions/", client_page.client_permissions, name="client_permissions"),
    path(
        "your-furniture/permissions/<int:pk>/take-back/",
        client_page.client_permission_withdraw,
        name="client_permission_withdraw",
    ),
    # the hinge check
    path("visits/<int:pk>/hinge-check/", hinge_check.hinge_check, name="hinge_check"),
    path("visits/<int:pk>/hinge-check/doors/<int:door_pk>/", hinge_check.check_door, name="check_door"),
    path("visits/<int:pk>/hinge-check/finish/", hinge_check.finish_hinge_check, name="finish_hinge_check"),
    path("visits/<int:pk>/hinge-check/sheet.pdf", hinge_check.hinge_sheet_pdf, name="hinge_sheet_pdf"),
    # what was fitted
    path("commissions/<int:number>/fitted/", fitted.fitted, name="fitted"),
    path("commissions/<int:number>/fitted/doors/add/", fitted.add_door, name="add_door"),
    path("commissions/<int:number>/fitted/shelves/add/", fitted.add_shelf, name="add_shelf"),
    path("commissions/<int:number>/pack-facts/", fitted.pack_facts, name="pack_facts"),
    path("rooms/<int:pk>/fitted/run/", fitted.take_doors_of_run, name="take_run_doors"),
    path("doors/<int:pk>/edit/", fitted.edit_door, name="edit_door"),
    path("doors/<int:pk>/remove/", fitted.remove_door, name="remove_door"),
    path("shelves/<int:pk>/edit/", fitted.edit_shelf, name="edit_shelf"),
    path("shelves/<int:pk>/remove/", fitted.remove_shelf, name="remove_shelf"),
    path("handovers/<int:pk>/pack/issue/", fitted.issue_pack_now, name="issue_pack"),
    path("commissions/<int:number>/photographs/ask/", permissions.ask_permission, name="ask_permission"),
    # further work
    path("commissions/<int:number>/further-work/add/", future_work.add_future_work, name="add_future_work"),
    path("further-work/<int:pk>/edit/", future_work.edit_future_work, name="edit_future_work"),
    path("further-work/<int:pk>/settled/", future_work.settle_future_work, name="settle_future_work"),
]
