"""The arguments of the verbs that prove, keep and carry the records."""

import argparse

OF_THE_RECORDS = "of the records"


def add_check_records_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what ``check-records`` takes."""
    verb.add_argument("folder", metavar="FOLDER", nargs="?",
                      help=f"{OF_THE_RECORDS}; ./assaywright-records when not given")
    verb.add_argument("--anchor", metavar="N:DIGEST", nargs="+", dest="anchors", default=[],
                      help="the head of the chain as a certificate or a backup states it")
    verb.add_argument("--recompute", metavar="NUMBER", nargs="+", default=[],
                      help="compute results anew from the raw data: of these worksheets, or all")
    verb.add_argument("--json", action="store_true", help="print JSON for programs in place of text")
    verb.add_argument("--grants", metavar="ROLE",
                      help="check nothing; print what PostgreSQL is to grant the role that serves")


def add_rebuild_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what ``rebuild`` takes."""
    verb.add_argument("folder", metavar="FOLDER", help=OF_THE_RECORDS)


def add_backup_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what ``backup`` takes."""
    verb.add_argument("folder", metavar="FOLDER", help=OF_THE_RECORDS)
    verb.add_argument("file", metavar="FILE", help="the backup; one that exists is left alone")


def add_restore_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what ``restore`` takes."""
    verb.add_argument("file", metavar="FILE", help="a backup")
    verb.add_argument("folder", metavar="FOLDER", help="that is not there yet, or is empty")


def add_export_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what ``export`` takes."""
    verb.add_argument("folder", metavar="FOLDER", help=OF_THE_RECORDS)
    verb.add_argument("number", metavar="NUMBER", nargs="?", help="of a worksheet or a lot")
    verb.add_argument("--list", metavar="NAME", dest="named", help="a whole list in its place: lots, results, events …")
    verb.add_argument("--to", metavar="PLACE", required=True,
                      help="folder for worksheet or lot and all it rests on; with --list a FILE.csv, .xlsx or .json")


def add_import_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what ``import`` takes."""
    verb.add_argument("folder", metavar="FOLDER", help=OF_THE_RECORDS)
    verb.add_argument("files", metavar="FILE", nargs="+", help="worksheets or lots")
    verb.add_argument("--by", metavar="NAME", required=True, help="sign-in name of who imports and answers for it")


def add_import_history_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what ``import-history`` takes."""
    verb.add_argument("folder", metavar="FOLDER", help=OF_THE_RECORDS)
    verb.add_argument("file", metavar="FILE", help="the spreadsheet, .csv or .xlsx")
    verb.add_argument("--columns", metavar="FILE.toml", required=True, help="which column is what, and how numbers "
                      "and dates are written")
    verb.add_argument("--by", metavar="NAME", required=True, help="sign-in name of who imports and answers for it")
    verb.add_argument("--try", action="store_true", dest="tried", help="read it and say what is wrong; import nothing")
