"""The invented staff of the demonstration, who may sign in there and nowhere else."""

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
FIRST, IMPORTER, CHECKER, HEAD = "oskar", "runa", "jonas", "maren"
ACCREDITATION = "TH-ACC-0001"
SCOPE = "Invented, for the demonstration: assay of acetic acid and standardisation of sodium hydroxide by titration."
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
