"""A lot's way from being made to its certificate, as a row of marks beside the words of a list."""

from django import template
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from assaywright.records.models.lots import ON_HOLD, RECALLED, REJECTED
from assaywright.records.selectors.stages import STAGES

register = template.Library()


@register.simple_tag
def track(stage: str, state: str) -> SafeString:
    """Return one mark for each stage, those up to the last one done filled; the words beside it say the same."""
    done = STAGES.index(stage) + 1 if stage in STAGES else 0
    kind = "stop" if state in (REJECTED, RECALLED, ON_HOLD) else "on"
    kinds = ((kind if place < done else "",) for place in range(len(STAGES)))
    marks = format_html_join("", '<i class="{}"></i>', kinds)
    return format_html('<span class="track" aria-hidden="true">{}</span>', marks)
