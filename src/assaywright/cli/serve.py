"""The verb ``serve``: the records and pages of a laboratory, on a production server with TLS."""

import argparse
import os
import socket
from collections.abc import Callable
from ipaddress import ip_address
from pathlib import Path
from typing import TYPE_CHECKING

from assaywright.metrology.refusal import Refusal

if TYPE_CHECKING:
    from assaywright.web.tls import OwnPair

USUAL, DEMONSTRATION = "assaywright-records", "tarn-hollow-records"
HERE = ["localhost", "127.0.0.1", "[::1]"]
EVERY = ("0.0.0.0", "::")  # noqa: S104 - asked for by name
THREADS = 8  # a request mostly waits for the database
LEAVE_S = 10  # that what is being answered has to end when the server is stopped; what was acknowledged is on record


def run(parsed: argparse.Namespace) -> int:
    """Make the folder ready, say where it is served, and serve until interrupted."""
    folder = Path(parsed.folder or (DEMONSTRATION if parsed.demonstration else USUAL))
    names = _names(parsed.host, parsed.names)
    _check(parsed)
    os.environ["ASSAYWRIGHT_HOSTS"] = ",".join(names)
    os.environ["ASSAYWRIGHT_PLAIN_HTTP"] = "1" if parsed.plain_http else ""
    os.environ["ASSAYWRIGHT_OWN_AUTHORITY"] = "" if parsed.plain_http or parsed.certificate else "1"
    left = _make_ready(folder, parsed)
    pair = None if parsed.plain_http else _pair(folder, names, parsed)
    _tell(folder, parsed, pair)
    left()
    _serve(parsed.host, parsed.port, pair)
    return 0


def _names(host: str, names: list[str]) -> list[str]:
    """Return the names and addresses under which a browser may ask for the pages."""
    found = [*HERE, *names]
    if host in EVERY:
        found += [socket.gethostname(), *_addresses()]
    else:
        found.append(f"[{host}]" if ":" in host else host)
    return list(dict.fromkeys(name.lower() for name in found))


def _addresses() -> list[str]:
    """Return this machine's own addresses, as far as its name tells them."""
    try:
        return sorted({str(one[4][0]) for one in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)})
    except OSError:
        return []


def _check(parsed: argparse.Namespace) -> None:
    """Refuse arguments that do not go together, and a port that is taken."""
    if parsed.plain_http and not _is_loopback(parsed.host):
        raise Refusal("without TLS passwords would cross the network in the clear", where=f"--host {parsed.host}",
                      remedy="leave --plain-http out, or listen on 127.0.0.1")
    if bool(parsed.certificate) != bool(parsed.key):
        raise Refusal("a certificate and its key go together", where="--certificate", remedy="name both, or neither")
    if parsed.certificate and parsed.plain_http:
        raise Refusal("a certificate is for TLS", where="--plain-http", remedy="leave one of the two out")
    family = socket.AF_INET6 if ":" in parsed.host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as tried:
        tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            tried.bind((parsed.host, parsed.port))
        except OSError as problem:
            raise Refusal(f"port {parsed.port} of {parsed.host} cannot be used "
                          f"({(problem.strerror or str(problem)).lower()})", where="--port",
                          remedy="give another with --port, or stop what uses it") from problem


def _is_loopback(host: str) -> bool:
    try:
        return ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _make_ready(folder: Path, parsed: argparse.Namespace) -> Callable[[], None]:
    """Bring the folder to this version, compare its tables with its events; return what is left of that."""
    from django.db import connections

    from assaywright.cli.serve_check import compare
    from assaywright.web.folder import mark_demonstration
    from assaywright.web.lock import only_one
    from assaywright.web.start import make_ready, set_up

    if parsed.demonstration:
        mark_demonstration(folder)
    set_up(folder)
    make_ready(restore_guards=parsed.restore_guards, serving=True)
    with only_one(folder):
        left = compare(folder)
    if parsed.demonstration:
        from assaywright.records.by_command import by_command
        from assaywright.web import demonstration, demonstration_titrant

        with only_one(folder), by_command():
            demonstration.people_make()
            demonstration.accreditation_make()
            _bring_laboratory()
            demonstration.label_make()
            demonstration_titrant.drifting_make()
            demonstration.enquiries_make()
    connections.close_all()
    return left


def _bring_laboratory() -> None:
    """Bring the lots of the invented laboratory into the records, each once, with all that they rest on."""
    import tomllib

    from assaywright.actions.characteristics import characteristic_check
    from assaywright.actions.worksheets import WorksheetImport
    from assaywright.cli.demo_story import laboratory
    from assaywright.records.investigated import unchecked
    from assaywright.records.models import Lot
    from assaywright.web.demonstration import CHECKER, IMPORTER

    files = laboratory()
    bring = WorksheetImport(lambda path: _of(files, path), IMPORTER)
    lots = {name: str(tomllib.loads(data.decode())["id"]) for name, data in files.items() if name.startswith("lots/")}
    missing = [name for name, number in sorted(lots.items()) if not Lot.objects.filter(pk=number).exists()]
    for number, name in enumerate(missing, start=1):
        print(f"Bringing in the invented laboratory: lot {number} of {len(missing)} ...", flush=True)
        bring.lot(name)
        if unchecked(lots[name]):
            characteristic_check(identity=lots[name], by=CHECKER)


def _of(files: dict[str, bytes], path: str) -> bytes:
    if path not in files:
        raise FileNotFoundError(2, "no such file", path)
    return files[path]


def _pair(folder: Path, names: list[str], parsed: argparse.Namespace) -> tuple[Path, Path]:
    """Return the files of the certificate and the key: those given, or those that the folder's authority has signed."""
    from assaywright.records.clock import now
    from assaywright.web import tls
    from assaywright.web.lock import only_one

    if parsed.certificate:
        pair = Path(parsed.certificate), Path(parsed.key)
        tls.check_pair(*pair)
        return pair
    with only_one(folder):
        own = tls.own_certificate(folder, names, now())
    _tell_of_trust(own)
    return own.certificate, own.key


def _tell_of_trust(own: "OwnPair") -> None:
    """Say which file lets a device trust the server, and how to know it again."""
    from assaywright.web.tls import fingerprint

    if own.made:
        print("A new authority was made for this folder: devices that trusted an earlier one must be told anew.")
    print("The server's certificate is signed by the folder's own authority, which no browser knows. So the browser\n"
          "warns: what is sent is encrypted, but nobody has vouched for whose server this is. On this machine go on\n"
          "past the warning; on another compare the fingerprint first. Until a device trusts the authority, its\n"
          "browser opens no page while the server does not answer. The authority's file, also on the page /trust:\n"
          f"  {own.authority}\nSHA-256 fingerprint of the authority:\n  {fingerprint(own.authority)}\n"
          f"SHA-256 fingerprint of the server's certificate:\n  {fingerprint(own.certificate)}")


def _tell(folder: Path, parsed: argparse.Namespace, pair: tuple[Path, Path] | None) -> None:
    from django.conf import settings
    from django.db import connections

    from assaywright.records.models import Person

    shown = next(iter(parsed.names), "localhost") if parsed.host in (*EVERY, "127.0.0.1") else parsed.host
    address = f"{'http' if pair is None else 'https'}://{f'[{shown}]' if ':' in shown else shown}:{parsed.port}/"
    print(f"Assaywright serves {folder} at {address}")
    if settings.DEMONSTRATION:
        _tell_of_people()
    elif not Person.objects.filter(present=True).exists():
        print("Nobody can sign in yet. Make an administrator, in another window:\n"
              f'  assaywright people {folder} --add-administrator SIGN-IN-NAME --name "FIRST LAST"')
    print("Stop with Ctrl-C.", flush=True)
    connections.close_all()


def _tell_of_people() -> None:
    from assaywright.web.demonstration import PASSWORD, PEOPLE

    print(f"Demonstration with invented people; the password of each is {PASSWORD}. Sign in as")
    for identity, name, roles in PEOPLE:
        print(f"  {identity:<6} {name}, {roles}")


def _serve(host: str, port: int, pair: tuple[Path, Path] | None) -> None:
    """Serve until interrupted. One process, since log files are turned by one; threads answer side by side."""
    from granian.constants import Interfaces
    from granian.log import LogLevels
    from granian.server import Server

    certificate, key = pair or (None, None)
    Server("assaywright.web.wsgi:application", address=host, port=port, interface=Interfaces.WSGI, workers=1,
           blocking_threads=THREADS, ssl_cert=certificate, ssl_key=key, websockets=False, log_level=LogLevels.error,
           workers_kill_timeout=LEAVE_S).serve()
