"""The certificates of a laptop, looked at with OpenSSL's own verification through a real TLS connection."""

import socket
import ssl
import stat
import threading
from datetime import UTC, datetime, timedelta

import pytest
from cryptography import x509
from cryptography.hazmat.primitives.serialization import Encoding

from meets.field.certificates import Kept, keep_certificates

NOW = datetime.now(UTC).replace(microsecond=0)
NAMES, ADDRESSES = ["laptop", "laptop.local"], ["192.168.4.7"]


@pytest.fixture
def kept(tmp_path) -> Kept:
    return keep_certificates(tmp_path / "certificates", NAMES, ADDRESSES, NOW)


def reached_as(kept: Kept, name: str, authority: bytes | None = None) -> str:
    """What a phone that trusts the authority finds under a name: '' or why it refuses."""
    inside = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    inside.load_cert_chain(kept.server_certificate, kept.server_key)
    trusting = ssl.create_default_context(cadata=authority or kept.authority_der)
    here, there = socket.socketpair()

    def serve() -> None:
        try:
            with inside.wrap_socket(there, server_side=True):
                pass
        except (ssl.SSLError, OSError):
            there.close()

    server = threading.Thread(target=serve)
    server.start()
    try:
        with trusting.wrap_socket(here, server_hostname=name):
            return ""
    except ssl.SSLCertVerificationError as problem:
        return problem.verify_message
    finally:
        here.close()
        server.join(5)


@pytest.mark.parametrize("name", ["laptop", "laptop.local", "localhost", "192.168.4.7", "127.0.0.1"])
def test_a_phone_that_trusts_it_sees_no_warning(kept, name):
    assert reached_as(kept, name) == ""


@pytest.mark.parametrize("name", ["192.168.4.8", "other.local"])
def test_under_another_name_it_warns(kept, name):
    assert "mismatch" in reached_as(kept, name)


def test_the_authority_of_another_laptop_counts_for_nothing(kept, tmp_path):
    other = keep_certificates(tmp_path / "other", NAMES, ADDRESSES, NOW)
    assert reached_as(kept, "laptop", other.authority_der) != ""


def test_the_authority_may_vouch_for_nothing_on_the_internet(tmp_path, kept):
    """A thief of its key makes a certificate for a public name and a public address: phones refuse both."""
    from cryptography.hazmat.primitives import hashes
    from cryptography.hazmat.primitives.asymmetric import ec
    from cryptography.hazmat.primitives.serialization import NoEncryption, PrivateFormat, load_pem_private_key

    folder = tmp_path / "certificates"
    authority = x509.load_der_x509_certificate(kept.authority_der)
    stolen = load_pem_private_key((folder / "authority.key").read_bytes(), None)
    key = ec.generate_private_key(ec.SECP256R1())
    forged = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName("bank.example")]), critical=True)
        .sign(stolen, hashes.SHA256())
    )
    (folder / "forged.crt").write_bytes(forged.public_bytes(Encoding.PEM))
    (folder / "forged.key").write_bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption()))
    thief = Kept(kept.authority_der, folder / "forged.crt", folder / "forged.key", kept.ends)
    assert reached_as(thief, "bank.example") == "permitted subtree violation"


def test_keys_can_be_read_by_nobody_else(kept, tmp_path):
    folder = tmp_path / "certificates"
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in folder.glob("*.key")}
    assert modes == {"authority.key": 0o600, "server.key": 0o600}
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_the_authority_is_made_once_and_the_server_certificate_follows_the_addresses(kept, tmp_path):
    later = keep_certificates(tmp_path / "certificates", NAMES, ["10.0.0.3"], NOW + timedelta(days=1))
    assert later.fingerprint == kept.fingerprint
    assert reached_as(later, "10.0.0.3") == ""
    assert "mismatch" in reached_as(later, "192.168.4.7")


def test_it_lasts_two_years_and_is_made_again_before_it_ends(kept, tmp_path):
    assert kept.ends == NOW + timedelta(days=730)
    soon = keep_certificates(tmp_path / "certificates", NAMES, ADDRESSES, kept.ends - timedelta(days=10))
    assert soon.fingerprint != kept.fingerprint


def test_public_addresses_and_later_names_are_left_out(tmp_path, kept):
    later = keep_certificates(tmp_path / "certificates", ["renamed"], ["203.0.113.9", "172.16.0.1"], NOW)
    said = x509.load_pem_x509_certificate(later.server_certificate.read_bytes())
    names = said.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert [str(one.value) for one in names] == ["localhost", "127.0.0.1", "172.16.0.1"]


def test_the_fingerprint_is_written_as_phones_write_it(kept):
    assert len(kept.fingerprint) == 32 * 3 - 1
    assert set(kept.fingerprint) <= set("0123456789ABCDEF:")
