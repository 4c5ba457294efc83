"""Results from before these records: imported, marked, unverified; found by lot, product and day."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.records.models import HistoricResult
from assaywright.records.selectors.listed import Column, Filter, Listed
from assaywright.web.listing import Listing, exported, listing

HISTORY = Listed(
    "results from before", HistoricResult,
    (Column("lot", "Lot", "lot"), Column("product", "Product", "product"), Column("performed", "Day", "performed"),
     Column("value", "Value", "value", sorts=False, number=True), Column("unit", "Unit", "unit", sorts=False),
     Column("source", "Source", "source"), Column("row", "Row", "row", sorts=False, number=True)),
    (Filter("lot", "Lot begins", "lot", begins=True), Filter("product", "Product begins", "product", begins=True),
     Filter("source", "Source", "source")),
    "-performed", period="performed", period_words="Day")


@dataclass(frozen=True)
class HistoryPage:
    """What the list shows."""

    listing: Listing


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them, the latest first."""
    return exported(request, HISTORY) or render(
        request, "web/history.html", {"page": HistoryPage(listing(request, HISTORY))})
