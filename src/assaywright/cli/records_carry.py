"""The verbs ``export``, ``import`` and ``import-history``: worksheets, lists, histories out of the records and in."""

import argparse
import hashlib
import json
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from assaywright.cli.files import read_file, read_named, write_new
from assaywright.cli.plain_text import say
from assaywright.cli.records_open import counted, open_records
from assaywright.metrology.refusal import Refusal

if TYPE_CHECKING:
    from assaywright.records.models import Lot

DONE, REFUSED = 0, 2
CERTIFIED = {"--number": "number", "--issued": "issued", "--responsible": "responsible",
             "--function": "responsible_function"}  # what certify is told, and where a certificate says it
ENDINGS = (".csv", ".xlsx", ".json")


def export(parsed: argparse.Namespace) -> int:
    """Write a worksheet or a lot with all that it rests on into a folder, or a list into a file."""
    if (parsed.number is None) == (parsed.named is None):
        raise Refusal("assaywright export: one worksheet, one lot or one list is exported",
                      remedy="give the number of a worksheet or of a lot, or --list NAME")
    if parsed.named is not None and not parsed.to.casefold().endswith(ENDINGS):
        raise Refusal("a list is written as CSV, XLSX or JSON", where=parsed.to,
                      remedy=f"let the name end in {' or '.join(ENDINGS)}")
    open_records(parsed.folder)
    if parsed.named is not None:
        return _list(parsed.named, parsed.to)
    from assaywright.records.bridge import export as files_of
    from assaywright.records.carried import export_lot, lot_path
    from assaywright.records.models import Assay, Lot

    folder, lot = Path(parsed.to), Lot.objects.filter(pk=parsed.number.removeprefix("lot-")).first()
    assay = Assay.objects.filter(pk=parsed.number).first()
    if assay is not None:
        _write(folder, files := files_of(assay))
        print(f"{counted(len(files), 'file')} written; evaluate them with: assaywright evaluate {folder / assay.path}")
    elif lot is not None:
        _write(folder, files := export_lot(lot))
        print(f"{counted(len(files), 'file')} written; a certificate is drafted from them by: assaywright certify "
              f"{folder / lot_path(lot)} {' '.join(f'{option} …' for option in CERTIFIED)}")
        _tell_hash(lot, files[lot_path(lot)])
    else:
        raise Refusal(f"there is no worksheet and no lot {parsed.number} in the records", where="NUMBER",
                      remedy="see the lists: assaywright export FOLDER --list assays --to assays.csv, or --list lots")
    return DONE


def _tell_hash(lot: "Lot", data: bytes) -> None:
    """Say the hash of a lot's file, and whether it is the one that the certificate in force prints."""
    from assaywright.records.carried import printed_on

    sha256 = hashlib.sha256(data).hexdigest()
    print(f"SHA-256 of the lot file: {sha256}")
    if said := printed_on(lot):
        same = said["lot_sha256"] == sha256
        print(f"The certificate {said['number']} prints "
              f"{'the same' if same else 'another, since the lot was changed after it: ' + said['lot_sha256']}.")
        for option, key in CERTIFIED.items():
            print(f"  {option} {shlex.quote(str(said[key]))}")


def _write(folder: Path, files: dict[str, bytes]) -> None:
    for name in files:
        if (folder / name).exists():
            raise Refusal("the file exists already and is left as it is", where=str(folder / name),
                          remedy="name a new or an empty folder")
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise Refusal(f"the folder cannot be made ({(problem.strerror or str(problem)).lower()})", where=str(folder),
                      remedy="name one in a place that can be written to") from problem
    for name, data in files.items():
        write_new(str(folder / name), data)


def _list(named: str, to: str) -> int:
    from assaywright.records.lists import table
    from assaywright.records.spreadsheet import csv_bytes, xlsx_bytes

    columns, rows = table(named)
    ending = Path(to).suffix.casefold()
    if ending == ".csv":
        data = csv_bytes(columns, rows)
    elif ending == ".xlsx":
        data = xlsx_bytes(named, columns, rows)
    else:
        data = json.dumps([dict(zip(columns, row, strict=True)) for row in rows], ensure_ascii=False, indent=1).encode()
    write_new(to, data)
    print(f"{to} written")
    return DONE


def bring(parsed: argparse.Namespace) -> int:
    """Import worksheets and lots with all that they rest on, all of them or none."""
    open_records(parsed.folder)
    from django.db import transaction

    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.assay.observations import Lot
    from assaywright.assay.worksheet import read_bytes
    from assaywright.records.by_command import by_command

    with by_command(), transaction.atomic():
        into, told = WorksheetImport(read_file, parsed.by), []
        for path in parsed.files:
            is_lot = isinstance(read_bytes(read_named(path), path), Lot)
            number = into.lot(path) if is_lot else into.worksheet(path)
            already = " already, as it is in the file" if number in into.there else ""
            told.append(f"{path}: {'lot' if is_lot else 'worksheet'} {number} is in the records{already}")
    for line in told:
        print(line)
    return DONE


def import_history(parsed: argparse.Namespace) -> int:
    """Import a history from a spreadsheet, whole or not at all."""
    open_records(parsed.folder)
    from assaywright.actions.history import RowsRefused, history_import, read_whole
    from assaywright.records.by_command import by_command
    from assaywright.records.history import MOST_BYTES, read_mapping

    mapping = read_mapping(read_named(parsed.columns), parsed.columns)
    data = _spreadsheet(parsed.file, MOST_BYTES)
    try:
        if parsed.tried:
            number = len(read_whole(data, parsed.file, mapping))
            print(f"{counted(number, 'row')} can be read; nothing was imported, as asked")
            return DONE
        with by_command():
            event = history_import(data=data, name=Path(parsed.file).name, mapping=mapping, by=parsed.by)
    except RowsRefused as refused:
        for sentence in refused.troubles[:50]:
            say(sentence)
        if len(refused.troubles) > 50:
            say(f"... and {len(refused.troubles) - 50} more.")
        say(str(refused))
        return REFUSED
    number = len(json.loads(event.payload)["rows"])
    print(f"{parsed.file}: {counted(number, 'result')} now in the records as '{event.subject}', marked as unverified")
    return DONE


def _spreadsheet(path: str, most: int) -> bytes:
    try:
        if not Path(path).is_file():
            raise Refusal("there is no such file", where=path, remedy="check its name")
        if Path(path).stat().st_size > most:
            raise Refusal("the file is larger than 50 MB", where=path, remedy="divide it")
        return Path(path).read_bytes()
    except OSError as problem:
        raise Refusal(f"the file cannot be read ({(problem.strerror or str(problem)).lower()})", where=path,
                      remedy="check its permissions") from problem
