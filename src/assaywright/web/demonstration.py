"""The invented staff of the demonstration, who may sign in there and nowhere else, and what stands beside its lots."""

from assaywright.records.models.people import ADMINISTRATOR, ANALYST, MANAGEMENT, REVIEWER, SIGNATORY

PASSWORD = "tarn-hollow-reagents"  # noqa: S105 - shown on the sign-in page, of use in a demonstration only
PEOPLE = (
    ("ines", "Ines Okafor", ANALYST),
    ("tomas", "Tomas Rehn", ANALYST),
    ("jonas", "Jonas Feld", REVIEWER),
    ("runa", "Runa Eklund", REVIEWER),
    ("maren", "Maren Tolliver", f"{SIGNATORY}, {MANAGEMENT}"),
    ("oskar", "Oskar Brandt", ADMINISTRATOR),
)
FIRST, IMPORTER, CHECKER, HEAD, AT_THE_TELEPHONE = "oskar", "runa", "jonas", "maren", "tomas"
ACCREDITATION = "TH-ACC-0001"
SCOPE = "Invented, for the demonstration: assay of acetic acid and standardisation of sodium hydroxide by titration."
PLACE = "4 Millrace Yard, Tarn Hollow, telephone 01632 960 123"  # of a range kept for fiction (from memory)
ACID = "T-0917"
ON_ITS_LABEL = {  # of 1.8 % w/w: below the limits, and corrosive to metals as suppliers have it
    "maker": "Tarn Hollow Reagents", "place": PLACE, "storage": "tightly closed, 15 °C to 25 °C, away from metals",
    "hazards": ["H290"], "precautions": ["P234", "P390"], "cautions": ["Wear goggles and gloves."],
    "made": "2026-09-21", "use_before": "2026-12",
    "limits": {"name": "amount concentration of hydrochloric acid", "lower": "0.495 mol/L", "upper": "0.505 mol/L",
               "rule": "simple acceptance"},
}
ENQUIRIES = (  # of invented customers: who asks, about what, when, what they found and how; the reply and its day,
    # which only a reviewed result has
    ("Orrin Dyeworks laboratory", "T-0902", "2026-11-20",
     {"found": "0.0997 mol/L", "uncertainty": "0.0003 mol/L", "coverage_factor": "2", "temperature": "21",
      "indicator": "methyl orange", "blank": "subtracted"},
     "Your figure and ours differ by less than the two expanded uncertainties together: this is no discrepancy.",
     "2026-11-24"),
    ("Beckside Waterworks laboratory", "0941", "2026-11-26",
     {"found": "30.30 % w/w", "uncertainty": "0.10 % w/w", "coverage_factor": "2", "temperature": "27",
      "titrant": "sodium hydroxide 0.5 mol/L, by its label", "indicator": "phenolphthalein", "blank": "none",
      "told": "three bottles of the same lot agree"}, "", ""),
)
COVERED = (
    {"method": "acetic-acid-by-naoh", "product": "acetic acid 30 % w/w"},
    {"method": "naoh-against-hcl", "product": "sodium hydroxide 0.5 mol/L"},
)


def people_make() -> None:
    """Enter the invented people with their accounts, each once."""
    from assaywright.actions.people import COMMAND, person_add
    from assaywright.records.models import Person
    from assaywright.web.accounts import account_of, invented_account_make

    for identity, name, roles in sorted(PEOPLE, key=lambda one: one[0] != FIRST):
        if not Person.objects.filter(pk=identity).exists():
            by = COMMAND if identity == FIRST else FIRST
            person_add(identity=identity, name=name, roles=roles.split(", "), by=by,
                       function="invented, for the demonstration")
        if account_of(identity) is None:
            invented_account_make(identity, PASSWORD)


def accreditation_make() -> None:
    """State what the invented laboratory's accreditation covers, once."""
    from assaywright.actions.accreditation import accreditation_state
    from assaywright.records.models import Accreditation

    if not Accreditation.objects.exists():
        accreditation_state(identity=ACCREDITATION, scope=SCOPE, since="2026-01-01", covers=list(COVERED), by=HEAD)


def label_make() -> None:
    """State what the label of the invented acid says, once it is on record; its base states it in its worksheet."""
    from assaywright.actions.solutions import solution_specify
    from assaywright.records.models import Solution
    from assaywright.records.titrants import certified_facts

    acid = Solution.objects.filter(pk=ACID, state="in use").first()
    if acid is not None and not certified_facts(acid):
        solution_specify(identity=ACID, table=dict(ON_ITS_LABEL), by=HEAD)


def enquiries_make() -> None:
    """Take down what the invented customers ask, once that is on record and nobody has asked yet."""
    from assaywright.actions.enquiries import enquiry_open, enquiry_reply
    from assaywright.records.models import Assay, Enquiry

    about = {one for _, one, *_ in ENQUIRIES}
    if Enquiry.objects.exists() or about - set(Assay.objects.filter(about__in=about).values_list("about", flat=True)):
        return
    for asked_by, asked_about, received, fields, reply, on in ENQUIRIES:
        opened = enquiry_open(about=asked_about, asked_by=asked_by, received=received, fields=fields,
                              by=AT_THE_TELEPHONE)
        if reply:
            enquiry_reply(identity=opened.subject, reply=reply, on=on, by=CHECKER)
