"""What was typed into a field whose name a page makes up as it goes."""

from collections.abc import Mapping

from django import template

register = template.Library()


@register.filter
def under(fields: object, name: str) -> str:
    """Return what stands under a name, or an empty text."""
    return str(fields.get(name, "")) if isinstance(fields, Mapping) else ""


@register.filter
def joined(first: object, second: object) -> str:
    """Return two words of a field's name put together."""
    return f"{first}{second}"
