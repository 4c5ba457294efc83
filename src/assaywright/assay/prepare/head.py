"""What stands at the head of every sheet of production: its number, its day, who answers for it, which file it is."""

from dataclasses import dataclass
from datetime import date

from assaywright.assay.reading.table import Table
from assaywright.assay.toml_reader import TomlFile

HEAD_FIELDS = ("id", "title", "date", "responsible", "responsible_function", "note")
SOMEBODY = "Maren Tolliver"


@dataclass(frozen=True, slots=True)
class SheetHead:
    """The head of a preparation, an adjustment or a blend.

    Fields:
        identity: number of the sheet; empty where none is given.
        title: in words; empty for one made from the rest.
        day: of the work, as stated.
        responsible, responsible_function: the qualified person who answers for it and decides.
        note: free text.
        path: the file, as the person named it; empty where all was said by options.
        digest: SHA-256 of the file's bytes.
    """

    identity: str = ""
    title: str = ""
    day: date | None = None
    responsible: str = ""
    responsible_function: str = ""
    note: str = ""
    path: str = ""
    digest: str = ""

    def on(self, day: str) -> str:
        """Return the day stated, else another, as year-month-day."""
        return self.day.isoformat() if self.day else day


def read_head(table: Table, file: TomlFile, example: str) -> SheetHead:
    """Return the head that a file's top table holds.

    Arguments:
        table: of the file.
        file: for its path and digest.
        example: of a number.

    Raises:
        Refusal: number or responsible person are missing, or the date is none.
    """
    return SheetHead(
        table.needed_text("id", example), table.text("title"), table.day("date"),
        table.needed_text("responsible", SOMEBODY), table.text("responsible_function"), table.text("note"), file.path,
        file.digest)
