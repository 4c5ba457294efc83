"""The authority of a folder: a certificate of ten years that signs the server's own, so that devices trust it once.

A browser opens pages without the server (service workers) only where it trusts the server's certificate outright. A
device that was told to trust the authority trusts every certificate that the authority signs later on. Its key can
vouch for the names of this server and for addresses of private networks, and for nothing else (RFC 5280, 4.2.1.10).
"""

import os
from datetime import datetime, timedelta
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

FOLDER, AUTHORITY, KEY = "tls", "authority.pem", "authority-key.pem"
VALID = timedelta(days=3652)
PRIVATE = (  # loopback, private and link-local networks: RFC 1122, RFC 1918, RFC 3927, RFC 4193, RFC 4291
    "127.0.0.0/8", "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "::1/128", "fc00::/7",
    "fe80::/10",
)
CALLED = "Assaywright, authority of this laboratory"


def alternatives(names: list[str]) -> list["x509.GeneralName"]:
    """Return names and addresses as a certificate states them."""
    from cryptography import x509

    return [x509.DNSName(one) if isinstance(one, str) else x509.IPAddress(one) for one in map(_read, names)]


def _read(name: str) -> str | IPv4Address | IPv6Address:
    try:
        return ip_address(name.strip("[]"))
    except ValueError:
        return name


def authority(folder: Path, names: list[str], now: datetime, outlives: timedelta,
              ) -> tuple["x509.Certificate", "EllipticCurvePrivateKey", bool]:
    """Return the authority's certificate and key, and whether they were made anew just now.

    They are kept as long as they may vouch for the names, and last longer than what they are to sign.

    Arguments:
        folder: of the records.
        names: by which browsers call the server, addresses among them.
        now: the time.
        outlives: how long a certificate signed now is valid.
    """
    place = folder / FOLDER
    kept = _kept(place, names, now + outlives)
    if kept is not None:
        return *kept, False
    certificate, key = _made(names, now)
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    write_secretly(place / KEY, secret_pem(key))
    write_secretly(place / AUTHORITY, pem(certificate))
    return certificate, key, True


def _kept(place: Path, names: list[str], until: datetime,
          ) -> tuple["x509.Certificate", "EllipticCurvePrivateKey"] | None:
    """Return what the folder holds, where it serves still."""
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    try:
        found = x509.load_pem_x509_certificate((place / AUTHORITY).read_bytes())
        key = load_pem_private_key((place / KEY).read_bytes(), None)
    except (OSError, ValueError, TypeError):
        return None
    if not isinstance(key, EllipticCurvePrivateKey) or key.public_key() != found.public_key():
        return None
    return (found, key) if found.not_valid_after_utc > until and _may_vouch(found, names) else None


def _may_vouch(found: "x509.Certificate", names: list[str]) -> bool:
    from cryptography import x509

    allowed = found.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    named = {one.value for one in allowed if isinstance(one, x509.DNSName)}
    networks = [ip_network(str(one.value)) for one in allowed if isinstance(one, x509.IPAddress)]
    return all(one in named if isinstance(one, str) else any(one in network for network in networks)
               for one in map(_read, names))


def _permitted(names: list[str]) -> list["x509.GeneralName"]:
    """Return what the authority may vouch for: each name, addresses of private networks, other addresses one by one."""
    from cryptography import x509

    networks, read = [ip_network(one) for one in PRIVATE], list(map(_read, names))
    alone = [ip_network(one) for one in read if not isinstance(one, str) and not any(one in net for net in networks)]
    return [*(x509.DNSName(one) for one in read if isinstance(one, str)),
            *(x509.IPAddress(one) for one in (*networks, *alone))]


def _made(names: list[str], now: datetime) -> tuple["x509.Certificate", "EllipticCurvePrivateKey"]:
    """Return a new authority."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec

    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, CALLED)])
    begun = now - timedelta(days=1)
    certificate = (
        x509.CertificateBuilder().subject_name(subject).issuer_name(subject).public_key(key.public_key())
        .serial_number(x509.random_serial_number()).not_valid_before(begun).not_valid_after(begun + VALID)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.NameConstraints(_permitted(names), None), critical=True)
        .sign(key, hashes.SHA256()))
    return certificate, key


def signed(names: list[str], now: datetime, valid: timedelta, issuer: "x509.Certificate",
           issuer_key: "EllipticCurvePrivateKey") -> tuple["x509.Certificate", "EllipticCurvePrivateKey"]:
    """Return a new certificate of the server, signed by the authority, and its key.

    Arguments:
        names: by which browsers call the server.
        now: the time.
        valid: how long.
        issuer, issuer_key: the authority.
    """
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.x509.oid import ExtendedKeyUsageOID

    key = ec.generate_private_key(ec.SECP256R1())
    begun = now - timedelta(days=1)
    certificate = (
        x509.CertificateBuilder().issuer_name(issuer.subject).public_key(key.public_key())
        .subject_name(x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "Assaywright, server")]))
        .serial_number(x509.random_serial_number()).not_valid_before(begun).not_valid_after(begun + valid)
        .add_extension(x509.SubjectAlternativeName(alternatives(names)), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(issuer_key.public_key()), critical=False)
        .sign(issuer_key, hashes.SHA256()))
    return certificate, key


def _usage(*, signs: bool) -> "x509.KeyUsage":
    from cryptography import x509

    return x509.KeyUsage(
        digital_signature=not signs, key_cert_sign=signs, crl_sign=signs, content_commitment=False,
        key_encipherment=False, data_encipherment=False, key_agreement=False, encipher_only=False, decipher_only=False)


def pem(certificate: "x509.Certificate") -> bytes:
    """Return a certificate as PEM."""
    from cryptography.hazmat.primitives.serialization import Encoding

    return certificate.public_bytes(Encoding.PEM)


def secret_pem(key: "EllipticCurvePrivateKey") -> bytes:
    """Return a key as PEM, in PKCS #8 form."""
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


def write_secretly(file: Path, content: bytes) -> None:
    """Write a file whole, readable by its owner only."""
    beside = file.with_suffix(".new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o600), "wb") as opened:
        opened.write(content)
    beside.replace(file)


def der(file: Path) -> bytes:
    """Return the certificate of a file in the binary form that devices install."""
    from cryptography import x509
    from cryptography.hazmat.primitives.serialization import Encoding

    return x509.load_pem_x509_certificate(file.read_bytes()).public_bytes(Encoding.DER)


def names_of(file: Path) -> tuple[str, ...]:
    """Return the names that the authority of a file may vouch for, and addresses outside of private networks."""
    from cryptography import x509

    found = x509.load_pem_x509_certificate(file.read_bytes())
    allowed = found.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    return tuple(str(one.value) for one in allowed if str(one.value) not in PRIVATE)
