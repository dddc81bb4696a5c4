from __future__ import annotations

from django.urls import path

from aftercare.views import light, records, returns, rounds

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
]
