"""The arguments of the verbs that open a folder of records: serve and people."""

import argparse


def add_serve_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what ``serve`` takes."""
    verb.add_argument("folder", metavar="FOLDER", nargs="?",
                      help="of the records; ./assaywright-records when not given, ./tarn-hollow-records with "
                           "--demonstration")
    verb.add_argument("--demonstration", action="store_true",
                      help="open the invented laboratory of Tarn Hollow Reagents, with its invented people")
    verb.add_argument("--host", metavar="ADDRESS", default="127.0.0.1",
                      help="address of this machine to listen on; 127.0.0.1 (for this machine only) when not given, "
                           "0.0.0.0 for every one")
    verb.add_argument("--port", metavar="N", type=_port, default=8443, help="8443 when not given")
    verb.add_argument("--name", metavar="NAME", action="append", dest="names", default=[],
                      help="a name by which browsers call this machine; may be given several times")
    verb.add_argument("--certificate", metavar="FILE",
                      help="the server's TLS certificate, PEM; signed by the folder's own authority when not given")
    verb.add_argument("--key", metavar="FILE", help="its key, PEM")
    verb.add_argument("--plain-http", action="store_true", dest="plain_http",
                      help="without TLS, for this machine alone: only with a loopback address")
    verb.add_argument("--restore-guards", action="store_true", dest="restore_guards",
                      help="put back guards of the events that are missing")


def add_people_arguments(verb: argparse.ArgumentParser) -> None:
    """Add what ``people`` takes."""
    verb.add_argument("folder", metavar="FOLDER", nargs="?",
                      help="of the records; ./assaywright-records when not given")
    what = verb.add_mutually_exclusive_group()
    what.add_argument("--add-administrator", metavar="SIGN-IN-NAME", dest="add",
                      help="add somebody who may add the others; asks for a password")
    what.add_argument("--reset", metavar="SIGN-IN-NAME", help="give somebody a new password; asks for it")
    what.add_argument("--give-roles", metavar="SIGN-IN-NAME", dest="give",
                      help="give somebody other roles, with --role and --reason; nobody widens their own otherwise")
    verb.add_argument("--role", metavar="ROLE", dest="roles", action="append", default=[],
                      help="with --give-roles: one of all that they then hold; may be given several times")
    verb.add_argument("--reason", metavar="TEXT", help="with --give-roles: why")
    verb.add_argument("--name", metavar="NAME", help="with --add-administrator: as it stands on certificates")


def _port(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 5 and 0 < int(text) < 65536):
        raise argparse.ArgumentTypeError(f"'{text[:20]}' is no port from 1 to 65535")
    return int(text)
