"""The folder's authority: devices told of it once trust the server's certificates from then on, and no others."""

import socket
import ssl
import threading
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.oid import ExtendedKeyUsageOID
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from assaywright.metrology.refusal import Refusal
from assaywright.web import tls
from assaywright.web.authority import VALID, authority, signed

NOW = datetime.now(UTC).replace(microsecond=0)
NAMES = ["localhost", "127.0.0.1", "[::1]", "bench.example"]


def chain(own):
    return x509.load_pem_x509_certificates(own.certificate.read_bytes())


def verified(own, name, at=NOW):
    """Verify as a browser does that trusts the authority alone (RFC 5280, section 6, by a general-purpose library)."""
    leaf, *_ = chain(own)
    trusted = Store([x509.load_pem_x509_certificate(own.authority.read_bytes())])
    return PolicyBuilder().store(trusted).time(at).build_server_verifier(name).verify(leaf, [])


def greeted(own, trusted, name="localhost"):
    """Shake hands over TLS with a client that trusts one file; return nothing, or raise as the client does."""
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(own.certificate, own.key)
    ours, theirs = socket.socketpair()

    def serve():
        try:
            server.wrap_socket(ours, server_side=True).close()
        except OSError:
            ours.close()

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        client = ssl.create_default_context(cafile=trusted)
        client.verify_flags |= ssl.VERIFY_X509_STRICT
        client.wrap_socket(theirs, server_hostname=name).close()
    finally:
        theirs.close()
        thread.join()


def test_a_client_that_trusts_the_authority_alone_trusts_the_server(tmp_path):
    own = tls.own_certificate(tmp_path, NAMES, NOW)
    tls.check_pair(own.certificate, own.key)
    for name in (x509.DNSName("localhost"), x509.DNSName("bench.example"), x509.IPAddress(ip_address("127.0.0.1"))):
        verified(own, name)
    for name in ("localhost", "bench.example", "127.0.0.1", "::1"):
        greeted(own, own.authority, name)
    other = tls.own_certificate(tmp_path / "other", NAMES, NOW)
    with pytest.raises(ssl.SSLCertVerificationError):
        greeted(own, other.authority)
    with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
        greeted(own, own.authority, "other.example")


def test_a_renewal_needs_no_new_trust_and_comes_long_before_the_end(tmp_path):
    own = tls.own_certificate(tmp_path, NAMES, NOW)
    trusted, first = own.authority.read_bytes(), tls.fingerprint(own.certificate)
    assert own.made
    later = tls.own_certificate(tmp_path, NAMES, NOW + timedelta(days=300))
    assert (later.made, tls.fingerprint(later.certificate)) == (False, first)
    renewed = tls.own_certificate(tmp_path, NAMES, NOW + timedelta(days=310))
    assert tls.fingerprint(renewed.certificate) != first
    assert renewed.authority.read_bytes() == trusted
    verified(renewed, x509.DNSName("localhost"), NOW + timedelta(days=700))
    fewer = tls.own_certificate(tmp_path, ["localhost", "[::1]", "192.168.4.7"], NOW)
    assert fewer.authority.read_bytes() == trusted, "a network gives out other addresses every week"
    verified(fewer, x509.IPAddress(ip_address("192.168.4.7")))


def test_a_pair_that_signed_itself_is_replaced(tmp_path):
    own = tls.own_certificate(tmp_path, NAMES, NOW)
    leaf, root = chain(own)
    assert leaf.issuer == root.subject
    own.certificate.write_bytes(leaf.public_bytes(Encoding.PEM))  # as earlier versions left it: alone
    own.authority.unlink()
    again = tls.own_certificate(tmp_path, NAMES, NOW)
    assert again.made
    tls.check_pair(again.certificate, again.key)
    verified(again, x509.DNSName("localhost"))


def test_the_authority_is_made_anew_only_when_it_cannot_serve(tmp_path):
    own = tls.own_certificate(tmp_path, NAMES, NOW)
    first = tls.fingerprint(own.authority)
    assert not tls.own_certificate(tmp_path, NAMES, NOW + VALID - timedelta(days=400)).made
    assert tls.own_certificate(tmp_path, NAMES, NOW + VALID - timedelta(days=390)).made, "it would not outlive the next"
    assert tls.fingerprint(own.authority) != first
    assert tls.own_certificate(tmp_path, [*NAMES, "new.example"], NOW).made, "a name that it may not vouch for"
    own.authority.write_text("nonsense", encoding="ascii")
    assert tls.own_certificate(tmp_path, NAMES, NOW).made


def test_its_key_can_pretend_to_be_nothing_but_these_names(tmp_path):
    """RFC 5280, 4.2.1.10: name constraints bind every certificate below, and are critical."""
    own = tls.own_certificate(tmp_path, NAMES, NOW)
    issuer, key, _ = authority(tmp_path, NAMES, NOW, tls.VALID)
    for name, wanted in (("bank.example", x509.DNSName("bank.example")),
                         ("203.0.113.9", x509.IPAddress(ip_address("203.0.113.9")))):
        forged, _ = signed([name], NOW, tls.VALID, issuer, key)
        with pytest.raises(VerificationError):
            PolicyBuilder().store(Store([issuer])).time(NOW).build_server_verifier(wanted).verify(forged, [])
    assert issuer.extensions.get_extension_for_class(x509.NameConstraints).critical
    basic = issuer.extensions.get_extension_for_class(x509.BasicConstraints)
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, 0)
    assert (issuer.not_valid_after_utc - issuer.not_valid_before_utc).days in (3652, 3653)
    leaf = chain(own)[0]
    assert not leaf.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    assert list(leaf.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value) == [
        ExtendedKeyUsageOID.SERVER_AUTH]
    assert (leaf.not_valid_after_utc - leaf.not_valid_before_utc).days == 397
    for file in (own.key, tmp_path / "tls" / "authority-key.pem"):
        assert file.stat().st_mode & 0o777 == 0o600


def test_a_key_of_another_certificate_is_refused(tmp_path):
    own, other = (tls.own_certificate(tmp_path / name, ["localhost"], NOW) for name in ("one", "two"))
    with pytest.raises(Refusal, match="does not belong"):
        tls.check_pair(own.certificate, other.key)


def test_the_page_offers_the_authority_and_says_what_it_means(records, browser, tmp_path):
    from django.test import override_settings

    own = tls.own_certificate(tmp_path, NAMES, NOW)
    with override_settings(AUTHORITY=own.authority):
        page = browser("ines").get("/trust")
        said = " ".join(page.content.decode().split())
        assert tls.fingerprint(own.authority) in said
        assert "can pretend to be" in said
        assert "bench.example" in said
        file = browser("ines").get("/trust/authority")
        assert file.headers["Content-Type"] == "application/x-x509-ca-cert"
        assert 'filename="assaywright-authority.crt"' in file.headers["Content-Disposition"]
        assert x509.load_der_x509_certificate(file.content) == chain(own)[1]
        for address in ("/trust", "/trust/authority"):
            assert browser().get(address).status_code == 302, "signed-in people only"
    with override_settings(AUTHORITY=None):
        assert "nothing to install" in browser("ines").get("/trust").content.decode()
        assert browser("ines").get("/trust/authority").status_code == 404
