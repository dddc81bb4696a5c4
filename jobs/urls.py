from __future__ import annotations

from django.urls import path

from jobs.views import (
    board,
    clients,
    codes,
    commissions,
    feeds,
    post,
    records,
    sign_in,
    steps,
    subcontractors,
    visits,
    workshop,
)

urlpatterns = [
    path("", board.board, name="job_board"),
    # commissions
    path("commissions/", commissions.commissions, name="commissions"),
    path("commissions/new/", commissions.new_commission, name="new_commission"),
    path("commissions/<int:number>/", commissions.commission, name="commission"),
    path("commissions/<int:number>/edit/", commissions.edit_commission, name="edit_commission"),
    path("commissions/<int:number>/hold/", commissions.put_on_hold, name="put_on_hold"),
    path("commissions/<int:number>/off-hold/", commissions.take_off_hold, name="take_off_hold"),
    path("commissions/<int:number>/close/", commissions.close_commission, name="close_commission"),
    path("commissions/<int:number>/reopen/", commissions.reopen_commission, name="reopen_commission"),
    path("commissions/<int:number>/access/", records.arrange_access, name="arrange_access"),
    path("commissions/<int:number>/rooms/add/", records.add_room, name="add_room"),
    path("commissions/<int:number>/finishes/add/", records.add_finish, name="add_finish"),
    path("commissions/<int:number>/visits/book/", visits.book_visit, name="book_visit"),
    path("commissions/<int:number>/steps/add/", steps.add_step, name="add_step"),
    path("commissions/<int:number>/steps/", steps.tick_steps, name="tick_steps"),
    # codes
    path("commissions/<int:number>/codes/", codes.codes, name="codes"),
    path("commissions/<int:number>/codes/keep/", codes.keep_code, name="keep_code"),
    path("codes/<uuid:pk>/look/", codes.reveal_code, name="reveal_code"),
    path("codes/<uuid:pk>/delete/", codes.delete_code, name="delete_code"),
    # steps
    path("steps/<int:pk>/start/", steps.start_step, name="start_step"),
    path("steps/<int:pk>/finish/", steps.finish_step, name="finish_step"),
    path("steps/<int:pk>/reopen/", steps.reopen_step, name="reopen_step"),
    path("steps/<int:pk>/edit/", steps.edit_step, name="edit_step"),
    path("steps/<int:pk>/remove/", steps.remove_step, name="remove_step"),
    # visits
    path("visits/<int:pk>/move/", visits.move_visit, name="move_visit"),
    path("visits/<int:pk>/cancel/", visits.cancel_visit, name="cancel_visit"),
    path("visits/<int:pk>/done/", visits.finish_visit, name="finish_visit"),
    # rooms and finishes
    path("rooms/<int:pk>/edit/", records.edit_room, name="edit_room"),
    path("finishes/<int:pk>/edit/", records.edit_finish, name="edit_finish"),
    path("finishes/<int:pk>/remove/", records.remove_finish, name="remove_finish"),
    # clients
    path("clients/", clients.clients, name="clients"),
    path("clients/new/", clients.new_client, name="new_client"),
    path("clients/<int:pk>/", clients.client, name="client"),
    path("clients/<int:pk>/edit/", clients.edit_client, name="edit_client"),
    path("clients/<int:pk>/away/", clients.add_client_away, name="add_client_away"),
    path("clients/away/<int:pk>/remove/", clients.remove_client_away, name="remove_client_away"),
    # subcontractors
    path("subcontractors/", subcontractors.subcontractors, name="subcontractors"),
    path("subcontractors/new/", subcontractors.new_subcontractor, name="new_subcontractor"),
    path("subcontractors/<int:pk>/", subcontractors.subcontractor, name="subcontractor"),
    path("subcontractors/<int:pk>/edit/", subcontractors.edit_subcontractor, name="edit_subcontractor"),
    path("subcontractors/<int:pk>/closures/add/", subcontractors.add_closure, name="add_subcontractor_closure"),
    path(
        "subcontractors/closures/<int:pk>/remove/",
        subcontractors.remove_closure,
        name="remove_subcontractor_closure",
    ),
    # the workshop
    path("workshop/", workshop.workshop, name="workshop"),
    path("people/new/", workshop.new_person, name="new_person"),
    path("people/<int:pk>/edit/", workshop.edit_person, name="edit_person"),
    path("people/<int:pk>/invite/", sign_in.invite_person, name="invite_person"),
    path("invitation/<str:token>/", sign_in.accept_invitation, name="accept_invitation"),
    path("wall/", sign_in.pair_wall_screen, name="pair_wall_screen"),
    path("wall-screens/add/", sign_in.add_wall_screen, name="add_wall_screen"),
    path("wall-screens/<int:pk>/revoke/", sign_in.revoke_wall_screen, name="revoke_wall_screen"),
    path("calendar-days/", workshop.calendar_days, name="calendar_days"),
    path("calendar-days/<str:kind>/add/", workshop.add_day, name="add_day"),
    path("calendar-days/<str:kind>/<int:pk>/remove/", workshop.remove_day, name="remove_day"),
    # the post
    path("messages/", post.messages_page, name="messages"),
    path("messages/<int:pk>/", post.message, name="message"),
    path("messages/<int:pk>/html/", post.message_html, name="message_html"),
    path("messages/<int:pk>/letter/", post.letter, name="letter"),
    path("messages/<int:pk>/retry/", post.retry_message, name="retry_message"),
    path("messages/<int:pk>/call-made/", post.make_call, name="make_call"),
    path("replies/", post.replies, name="replies"),
    path("replies/<int:pk>/accept/", post.accept_reply, name="accept_reply"),
    path("replies/<int:pk>/dismiss/", post.dismiss_reply, name="dismiss_reply"),
    path("feeds/", feeds.feeds, name="feeds"),
    path("feeds/<int:pk>/take-back/", feeds.take_back_feed, name="take_back_feed"),
    # Not ending in .ics: the logs leave out a secret that stands between strokes.
    path("feeds/<str:token>/visits/", feeds.feed, name="feed"),
    path("healthz", feeds.healthz, name="healthz"),
]
