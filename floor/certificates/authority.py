"""The shop's own certificate authority: what its tablets are told to trust, once each.

It signs nothing but the certificate that this shop's server shows. X.509 (RFC 5280), EC on the curve P-256.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from cryptography import x509
from cryptography.exceptions import UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

AUTHORITY_DAYS = 3653  # ten years: each tablet is visited by hand when it ends
CLOCKS_MAY_DIFFER = timedelta(
    days=1
)  # a tablet whose clock is a little slow must not find a certificate too young
MOST_NAME = 64  # characters in a common name
PAIRS_A_LINE = 8
PEM = serialization.Encoding.PEM


class AuthorityRefused(Exception):
    """The authority's files cannot be used; the message is one sentence on what was found and what would do."""


@dataclass(frozen=True)
class Authority:
    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @property
    def certificate_pem(self) -> bytes:
        return self.certificate.public_bytes(PEM)

    @property
    def key_pem(self) -> bytes:
        return key_pem(self.key)


def key_pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())


def make_authority(host: str, now: datetime) -> Authority:
    """A new authority, named after the machine that it was made on and the day."""
    key = ec.generate_private_key(ec.SECP256R1())
    made = f", made {now:%Y-%m-%d}"
    name = common_name(f"Floor, {host}"[: MOST_NAME - len(made)] + made)
    identifier = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS_MAY_DIFFER)
        .not_valid_after(now + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(key_usage(signs_certificates=True), critical=True)
        .add_extension(identifier, critical=False)
        .sign(key, hashes.SHA256())
    )
    return Authority(certificate, key)


def read_authority(certificate: bytes, key: bytes, now: datetime) -> Authority:
    """The authority of two PEM files. Raises AuthorityRefused: a clause about what is wrong with them."""
    found = read_certificate(certificate)
    try:
        private = serialization.load_pem_private_key(key, password=None)
    except (ValueError, TypeError, UnsupportedAlgorithm):
        raise AuthorityRefused("its key cannot be read: it is cut short, changed or locked") from None
    if not isinstance(private, ec.EllipticCurvePrivateKey) or private.public_key() != found.public_key():
        raise AuthorityRefused("its key and its certificate do not belong together")
    if found.not_valid_after_utc <= now:
        raise AuthorityRefused(f"it ended on {found.not_valid_after_utc:%Y-%m-%d}")
    return Authority(found, private)


def read_certificate(pem: bytes) -> x509.Certificate:
    """An authority's certificate, without its key. Raises AuthorityRefused as `read_authority` does."""
    try:
        found = x509.load_pem_x509_certificate(pem)
        signs = found.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    except x509.ExtensionNotFound:
        signs = False
    except ValueError:
        raise AuthorityRefused("its certificate cannot be read: it is cut short or changed") from None
    if not signs:
        raise AuthorityRefused("its certificate is not an authority's")
    return found


def common_name(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text[:MOST_NAME])])


def name_of(certificate: x509.Certificate) -> str:
    """What a tablet lists the certificate as."""
    found = certificate.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return str(found[0].value) if found else certificate.subject.rfc4514_string()


def fingerprint(certificate: x509.Certificate) -> list[str]:
    """SHA-256 in pairs, as tablets show it, "3F:0A:…", in short lines for comparing by eye."""
    pairs = certificate.fingerprint(hashes.SHA256()).hex(":").upper().split(":")
    return [":".join(pairs[at : at + PAIRS_A_LINE]) for at in range(0, len(pairs), PAIRS_A_LINE)]


def key_usage(signs_certificates: bool) -> x509.KeyUsage:
    """What a certificate's key is for: an authority's signs certificates, a server's signs its greeting."""
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )
