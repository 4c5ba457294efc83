"""The map of the site, readable aloud."""

from django.urls import path

from assaywright.web.pages import (
    accreditation,
    assays,
    assays_preview,
    bench,
    bench_paper,
    certificates,
    door,
    enquiries,
    equipment,
    history,
    impact,
    lots,
    methods,
    people,
    plans,
    products,
    review,
    search,
    solutions,
    today,
    trust,
)

urlpatterns = [
    path("", today.show, name="today"),
    path("search", search.show, name="search"),
    path("history", history.index, name="history"),
    # the door
    path("sign-in", door.sign_in, name="sign-in"),
    path("sign-out", door.sign_out, name="sign-out"),
    path("password", door.password, name="password"),
    path("choose-password", door.choose_password, name="choose-password"),
    path("health", door.health, name="health"),
    # lots
    path("lots", lots.index, name="lots"),
    path("lots/new", lots.new, name="lots.new"),
    path("lot/<path:identity>", lots.show, name="lots.show"),
    path("label/lot/<path:identity>", lots.label, name="lots.label"),
    path("plan/lot/<path:identity>", plans.show, name="lots.plan"),
    path("guide/lot/<path:identity>", plans.guide, name="lots.guide"),
    # assays and standardisations
    path("assays", assays.index, name="assays"),
    path("assays/new", assays.new, name="assays.new"),
    path("assay/<path:identity>", assays.show, name="assays.show"),
    path("heading/<path:identity>", assays.heading, name="assays.heading"),
    path("preview/<path:identity>", assays_preview.preview, name="assays.preview"),
    path("working/<path:identity>", assays.working, name="assays.working"),
    path("worksheet/<path:identity>", assays.worksheet, name="assays.worksheet"),
    # at the burette
    path("bench", bench.index, name="bench"),
    path("bench/keep", bench.keep, name="bench.keep"),
    path("bench/token", bench.token, name="bench.token"),
    path("bench/live/<path:identity>", bench.live_part, name="bench.live"),
    path("bench/paper/<path:identity>", bench_paper.show, name="bench.paper"),
    path("bench/<path:identity>", bench.show, name="bench.show"),
    path("bench-worker.js", bench.worker, name="bench.worker"),
    path("trust", trust.show, name="trust"),
    path("trust/authority", trust.download, name="trust.authority"),
    # the reviewer's desk
    path("review", review.index, name="review"),
    path("review/<path:identity>", review.show, name="review.show"),
    # solutions
    path("solutions", solutions.index, name="solutions"),
    path("solutions/new", solutions.new, name="solutions.new"),
    path("solution/<path:identity>", solutions.show, name="solutions.show"),
    path("plan/solution/<path:identity>", plans.show_standardisation, name="solutions.plan"),
    path("guide/solution/<path:identity>", plans.guide_standardisation, name="solutions.guide"),
    path("label/solution/<path:identity>", solutions.label, name="solutions.label"),
    # products
    path("products", products.index, name="products"),
    path("products/new", products.new, name="products.new"),
    path("products/revise/<path:name>", products.revise, name="products.revise"),
    path("product/<path:name>", products.show, name="products.show"),
    # equipment
    path("equipment", equipment.index, name="equipment"),
    path("equipment/new", equipment.new, name="equipment.new"),
    path("equipment/materials/new", equipment.material_new, name="equipment.material.new"),
    path("equipment/material/<path:identity>", equipment.material, name="equipment.material"),
    path("equipment/what-if/<path:identity>", impact.show, name="equipment.impact"),
    path("equipment/instrument/<path:identity>", equipment.show, name="equipment.show"),
    # methods
    path("methods", methods.index, name="methods"),
    path("methods/own", methods.own, name="methods.own"),
    path("method/<path:named>", methods.show, name="methods.show"),
    # certificates
    path("certificates", certificates.index, name="certificates"),
    path("certificates/accreditation", accreditation.show, name="certificates.accreditation"),
    path("certificates/titrant/<path:identity>", certificates.titrant, name="certificates.titrant"),
    path("certificates/issue/<path:identity>", certificates.issue, name="certificates.issue"),
    path("certificate/<path:identity>", certificates.show, name="certificates.show"),
    path("certificates/file/<path:identity>", certificates.download, name="certificates.download"),
    # enquiries
    path("enquiries", enquiries.index, name="enquiries"),
    path("enquiries/new", enquiries.new, name="enquiries.new"),
    path("enquiries/<path:identity>", enquiries.show, name="enquiries.show"),
    # people
    path("people", people.index, name="people"),
    path("people/new", people.new, name="people.new"),
    path("people/refused-acts", people.refused, name="people.refused"),
    path("people/<str:identity>", people.show, name="people.show"),
    path("people/<str:identity>/roles", people.roles, name="people.roles"),
    path("people/<str:identity>/leave", people.leave, name="people.leave"),
    path("people/<str:identity>/link", people.link, name="people.link"),
]
