"""The map of the site with something of the demonstration in every place of it, and the forms that its pages hold."""

from dataclasses import dataclass

from lxml import html

EXAMPLES = {
    "lots.show": "0941", "lots.label": "0941", "lots.plan": "0941", "lots.guide": "0941",
    "lots.adjust": "0941", "lots.adjust.sheet": "0941", "products.blend": "acetic acid 30 % w/w",
    "products.blend.sheet": "acetic acid 30 % w/w",
    "assays.show": "WS-26-0903", "assays.heading": "WS-26-0903", "assays.preview": "WS-26-0903",
    "assays.working": "WS-26-0903", "assays.worksheet": "WS-26-0903", "review.show": "WS-26-0903",
    "solutions.show": "T-0917", "solutions.label": "T-0917", "solutions.plan": "T-0917",
    "solutions.guide": "T-0917", "products.show": "acetic acid 30 % w/w",
    "products.revise": "acetic acid 30 % w/w", "equipment.show": "B-11", "equipment.impact": "B-11",
    "equipment.material": "RM-SC-5", "equipment.table": "B-11", "equipment.file": "1",
    "methods.show": "hcl-by-tris", "people.show": "ines", "people.roles": "ines", "people.leave": "ines",
    "people.link": "ines", "certificates.issue": "0941", "certificates.show": "C-1", "certificates.download": "C-1",
    "certificates.titrant": "T-0918", "bench.show": "WS-26-0903", "bench.live": "WS-26-0903",
    "bench.paper": "WS-26-0903", "enquiries.show": "E-26-00001",
}
QUERIES = {"assays.new": "?about=0941&method=acetic-acid-by-naoh"}
ISSUED_LATER = {"certificates.show", "certificates.download", "enquiries.show", "equipment.file"}  # none there yet


def routes():
    """Return the names of all pages with what stands in the variable part of their addresses."""
    from assaywright.web.urls import urlpatterns

    return {one.name: sorted(one.pattern.converters) for one in urlpatterns if one.name}


def address(name):
    from django.urls import reverse

    return reverse(name, args=[EXAMPLES[name]] if routes()[name] else []) + QUERIES.get(name, "")


@dataclass
class Form:
    """A form of a page: where it goes, its fields with what stands in them, and what there is to choose."""

    action: str
    fields: dict
    choices: dict


def forms_of(answer, page):
    """Return the forms of a page that are sent with POST."""
    forms = html.fromstring(answer.content.decode()).forms
    return [_form(one, page) for one in forms if one.method == "POST"]


def _form(form, page):
    fields, choices = {}, {}
    for one in form.iter("input", "textarea", "select", "button"):
        if one.get("name"):
            fields.setdefault(one.get("name"), (one.text if one.tag == "textarea" else one.get("value")) or "")
            if one.tag == "select":
                choices[one.get("name")] = [option.get("value", option.text or "") for option in one.iter("option")]
    return Form(form.get("action") or page, fields, choices)
