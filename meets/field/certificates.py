"""A certificate authority of this laptop alone, and the server certificate that it signs at every start.

The authority may vouch for nothing but this laptop's names and addresses of local networks (name constraints,
RFC 5280 4.2.1.10): whoever stole its key could not pretend to be a bank.
"""

import ipaddress
import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from meets.field.addresses import LOCAL, is_local

AUTHORITY_DAYS, SERVER_DAYS = 730, 30
# Clocks of phones may be behind.
EARLIER = timedelta(days=2)
LEFT_AT_LEAST = timedelta(days=14)


@dataclass(frozen=True, slots=True)
class Kept:
    """Where certificates lie, and the authority's as it is handed to phones."""

    authority_der: bytes
    server_certificate: Path
    server_key: Path
    ends: datetime

    @property
    def fingerprint(self) -> str:
        """SHA-256 of the authority's certificate, in pairs, as phones show it."""
        digest = x509.load_der_x509_certificate(self.authority_der).fingerprint(hashes.SHA256())
        return digest.hex(":").upper()


def keep_certificates(folder: Path, names: Sequence[str], addresses: Sequence[str], now: datetime) -> Kept:
    """The authority of this laptop, made once, and a new server certificate for names and addresses."""
    folder.mkdir(parents=True, exist_ok=True)
    folder.chmod(0o700)
    authority, authority_key = _authority(folder, names, now)
    key = ec.generate_private_key(ec.SECP256R1())
    allowed = _permitted_names(authority)
    told = [x509.DNSName(name) for name in ["localhost", *names] if name in allowed]
    told += [x509.IPAddress(ipaddress.ip_address(text)) for text in ["127.0.0.1", *addresses] if is_local(text)]
    certificate = (
        _begun(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Nearest Break")]), authority.subject, key, now)
        .not_valid_after(min(now + timedelta(days=SERVER_DAYS), authority.not_valid_after_utc))
        .add_extension(x509.SubjectAlternativeName(list(dict.fromkeys(told))), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key()), critical=False)
        .sign(authority_key, hashes.SHA256())
    )
    server_key, server_certificate = folder / "server.key", folder / "server.crt"
    _write_secret(server_key, _key_text(key))
    server_certificate.write_bytes(certificate.public_bytes(serialization.Encoding.PEM))
    return Kept(
        authority.public_bytes(serialization.Encoding.DER),
        server_certificate,
        server_key,
        authority.not_valid_after_utc,
    )


def _authority(
    folder: Path, names: Sequence[str], now: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    certificate_file, key_file = folder / "authority.crt", folder / "authority.key"
    if certificate_file.exists() and key_file.exists():
        kept = x509.load_pem_x509_certificate(certificate_file.read_bytes())
        key = serialization.load_pem_private_key(key_file.read_bytes(), password=None)
        if kept.not_valid_after_utc > now + LEFT_AT_LEAST and kept.public_key() == key.public_key():
            return kept, key
    key = ec.generate_private_key(ec.SECP256R1())
    made = _new_authority(key, names, now)
    _write_secret(key_file, _key_text(key))
    certificate_file.write_bytes(made.public_bytes(serialization.Encoding.PEM))
    return made, key


def _new_authority(key: ec.EllipticCurvePrivateKey, names: Sequence[str], now: datetime) -> x509.Certificate:
    called = f"Nearest Break, field laptop {names[0]}" if names else "Nearest Break, field laptop"
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, called[:64])])
    permitted = [x509.DNSName(name) for name in ["localhost", *names]] + [x509.IPAddress(one) for one in LOCAL]
    return (
        _begun(subject, subject, key, now)
        .not_valid_after(now + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(key_cert_sign=True, crl_sign=True), critical=True)
        .add_extension(x509.NameConstraints(permitted, None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def _begun(subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, now: datetime):
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - EARLIER)
    )


def _usage(**allowed: bool) -> x509.KeyUsage:
    every = (
        "digital_signature", "content_commitment", "key_encipherment", "data_encipherment", "key_agreement",
        "key_cert_sign", "crl_sign", "encipher_only", "decipher_only",
    )  # fmt: skip
    return x509.KeyUsage(**{use: allowed.get(use, False) for use in every})


def _permitted_names(authority: x509.Certificate) -> set[str]:
    constraints = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    return {one.value for one in constraints.permitted_subtrees or () if isinstance(one, x509.DNSName)}


def _key_text(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write_secret(path: Path, text: bytes) -> None:
    """Written so that nobody else can read it, not even for a moment."""
    path.unlink(missing_ok=True)
    with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as opened:
        opened.write(text)
