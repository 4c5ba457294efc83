"""The map of the site, readable aloud."""

from django.urls import path
from django.views.generic import RedirectView

from assaywright.web.pages import certificates, door, equipment, lots, methods, people, products, solutions

urlpatterns = [
    path("", RedirectView.as_view(pattern_name="lots")),
    # the door
    path("sign-in", door.sign_in, name="sign-in"),
    path("sign-out", door.sign_out, name="sign-out"),
    path("password", door.password, name="password"),
    path("choose-password", door.choose_password, name="choose-password"),
    path("health", door.health, name="health"),
    # lots
    path("lots", lots.index, name="lots"),
    # solutions
    path("solutions", solutions.index, name="solutions"),
    # products
    path("products", products.index, name="products"),
    # equipment
    path("equipment", equipment.index, name="equipment"),
    # methods
    path("methods", methods.index, name="methods"),
    # certificates
    path("certificates", certificates.index, name="certificates"),
    # people
    path("people", people.index, name="people"),
    path("people/new", people.new, name="people.new"),
    path("people/refused-acts", people.refused, name="people.refused"),
    path("people/<str:identity>", people.show, name="people.show"),
    path("people/<str:identity>/roles", people.roles, name="people.roles"),
    path("people/<str:identity>/leave", people.leave, name="people.leave"),
    path("people/<str:identity>/link", people.link, name="people.link"),
]
