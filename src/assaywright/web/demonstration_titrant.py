"""The invented titrant of the demonstration whose standardisations over some months show a drift."""

import tomllib
from importlib.resources import files
from typing import Any

from assaywright.web.demonstration import IMPORTER, PEOPLE

FILE = "demonstration_titrant.toml"
REVIEWER = "jonas"


def drifting_make() -> None:
    """Bring in the standardisations of the invented titrant, send them to review and review them, each once."""
    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.records.models import Assay, Signature

    sheets = _worksheets()
    bring = WorksheetImport(lambda path: _of(sheets, path), IMPORTER)
    for path in sheets:
        number = path.removesuffix(".toml")
        if not Assay.objects.filter(pk=number).exists():
            bring.worksheet(path)
        if not Signature.objects.filter(subject=number).exists():
            _sign(Assay.objects.get(pk=number))


def _sign(assay: Any) -> None:
    from assaywright.actions.assays import assay_review, assay_send, sha256_of

    analyst = next(identity for identity, name, _ in PEOPLE if name == assay.analyst)
    assay_send(identity=assay.identity, by=analyst)
    assay.refresh_from_db()
    assay_review(identity=assay.identity, by=REVIEWER, worksheet_sha256=sha256_of(assay))


def _worksheets() -> dict[str, bytes]:
    """Return the worksheets as files, by their names, in the order of their days."""
    from assaywright.records.toml_text import from_toml, toml_text

    told = from_toml(tomllib.loads((files("assaywright.web") / FILE).read_text(encoding="utf-8")))
    found = {}
    for one in told["standardisation"]:
        portions = one.pop("portions")
        found[f"{one['id']}.toml"] = toml_text({**told["heading"], **one, "determination": portions}).encode()
    return found


def _of(sheets: dict[str, bytes], path: str) -> bytes:
    if path not in sheets:
        raise FileNotFoundError(2, "no such file", path)
    return sheets[path]
