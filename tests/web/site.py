"""The map of the site with something of the demonstration in every place of it, and the forms that its pages hold."""

from dataclasses import dataclass, field
from html.parser import HTMLParser

EXAMPLES = {
    "lots.show": "0941", "lots.label": "0941", "assays.show": "WS-26-0903", "assays.preview": "WS-26-0903",
    "assays.working": "WS-26-0903", "assays.worksheet": "WS-26-0903", "review.show": "WS-26-0903",
    "solutions.show": "T-0917", "solutions.label": "T-0917", "products.show": "acetic acid 30 % w/w",
    "products.revise": "acetic acid 30 % w/w", "equipment.show": "B-11", "equipment.material": "RM-SC-5",
    "methods.show": "hcl-by-tris", "people.show": "ines", "people.roles": "ines", "people.leave": "ines",
    "people.link": "ines", "certificates.issue": "0941", "certificates.show": "C-1", "certificates.download": "C-1",
}
QUERIES = {"assays.new": "?about=0941&method=acetic-acid-by-naoh"}
ISSUED_LATER = {"certificates.show", "certificates.download"}  # of these the demonstration has none yet


def routes():
    """Return the names of all pages with what stands in the variable part of their addresses."""
    from assaywright.web.urls import urlpatterns

    return {one.name: sorted(one.pattern.converters) for one in urlpatterns if one.name}


def address(name):
    from django.urls import reverse

    return reverse(name, args=[EXAMPLES[name]] if routes()[name] else []) + QUERIES.get(name, "")


@dataclass
class Form:
    """A form of a page: where it goes, and its fields with what stands in them."""

    action: str
    method: str
    fields: dict = field(default_factory=dict)
    choices: dict = field(default_factory=dict)


class Forms(HTMLParser):
    """Finds the forms of a page."""

    def __init__(self, page):
        super().__init__()
        self.page, self.found, self.select = page, [], ""

    def handle_starttag(self, tag, attrs):
        had = dict(attrs)
        if tag == "form":
            self.found.append(Form(had.get("action") or self.page, had.get("method", "get").lower()))
        if not self.found:
            return
        form, name = self.found[-1], had.get("name")
        if tag in ("input", "textarea", "select", "button") and name:
            form.fields.setdefault(name, had.get("value") or "")
            self.select = name if tag == "select" else self.select
        if tag == "option" and self.select:
            form.choices.setdefault(self.select, []).append(had.get("value") or "")


def forms_of(answer, page):
    found = Forms(page)
    found.feed(answer.content.decode())
    return [one for one in found.found if one.method == "post"]
