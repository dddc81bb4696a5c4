from __future__ import annotations

from django.urls import include, path

urlpatterns = [
    path("account/", include("allauth.urls")),
    path("", include("jobs.urls")),
    path("", include("aftercare.urls")),
]
