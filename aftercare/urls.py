from __future__ import annotations

from django.urls import path

from aftercare.views import client_page, records

urlpatterns = [
    path("rooms/<int:pk>/light/", records.add_light_note, name="add_light_note"),
    path("light/<int:pk>/remove/", records.delete_light_note, name="remove_light_note"),
    path("commissions/<int:number>/hand-over/", records.hand_over, name="hand_over"),
    path("handovers/<int:pk>/undo/", records.undo_handover, name="undo_handover"),
    path("handovers/<int:pk>/book-return/", records.rebook_return_visit, name="rebook_return_visit"),
    path("handovers/<int:pk>/pack/", records.pack_page, name="pack_page"),
    path("packs/<int:pk>/", records.issued_pack, name="issued_pack"),
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
    path("return-visits/", records.return_visits, name="return_visits"),
]
