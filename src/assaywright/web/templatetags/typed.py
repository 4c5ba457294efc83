"""What was typed into a field whose name a page makes up as it goes."""

from collections.abc import Mapping, Sequence

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


@register.filter
def in_order(answers: object, names: Sequence[str]) -> list[tuple[str, str]]:
    """Return the items of a mapping in the order of the names, what is named nowhere behind them."""
    if not isinstance(answers, Mapping):
        return []
    places = {name: place for place, name in enumerate(names)}
    return sorted(answers.items(), key=lambda item: places.get(item[0], len(places)))
