"""The products: what is sold, within what limits."""

from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from assaywright.records.models import Product


@dataclass(frozen=True)
class ProductsPage:
    """What the list shows."""

    products: list[Product]


@require_safe
def index(request: HttpRequest) -> HttpResponse:
    """List them all."""
    page = ProductsPage(list(Product.objects.order_by("name")))
    return render(request, "web/products.html", {"page": page})
