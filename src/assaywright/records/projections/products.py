"""What follows for products."""

from typing import Any

from assaywright.records.chain import canonical
from assaywright.records.models import Event, Product, ProductEdition
from assaywright.records.projections.registry import follows
from assaywright.records.projections.tables import rows


@follows("product.defined", "product.revised")
def _defined(event: Event, payload: dict[str, Any]) -> None:
    body, edition = canonical(payload["definition"]), payload["edition"]
    rows(Product).update_or_create(
        name=event.subject, defaults={"edition": edition, "version": event.number, "body": body})
    rows(ProductEdition).create(
        id=event.number, product=event.subject, edition=edition, since=event.recorded_at, version=event.number,
        body=body)
