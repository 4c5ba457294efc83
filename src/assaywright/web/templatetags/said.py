"""Places, remedies and sentences of the floors below in the words of pages, for templates."""

from django import template

from assaywright.web.said import in_words, told

register = template.Library()
register.filter("in_words", in_words)
register.filter("told", told)
