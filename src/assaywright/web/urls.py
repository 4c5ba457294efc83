"""The map of the site, readable aloud."""

from django.urls import path
from django.views.generic import RedirectView

from assaywright.web.pages import door

urlpatterns = [
    path("", RedirectView.as_view(pattern_name="lots")),
    path("sign-in", door.sign_in, name="sign-in"),
    path("sign-out", door.sign_out, name="sign-out"),
    path("health", door.health, name="health"),
]
