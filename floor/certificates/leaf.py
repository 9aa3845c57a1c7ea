"""The certificate that the server shows, signed by the shop's authority, and when it must be made anew."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from cryptography import x509
from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID

from floor.certificates.authority import (
    CLOCKS_MAY_DIFFER,
    PEM,
    Authority,
    common_name,
    key_pem,
    key_usage,
)
from floor.certificates.names import Names

LEAF_LIFE = timedelta(days=397, seconds=-1)  # tablets refuse a server's certificate that lives much longer
RENEW_BEFORE = timedelta(days=30)


class LeafBroken(Exception):
    """A server certificate's file holds none that can be used."""


@dataclass(frozen=True)
class Leaf:
    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey

    @property
    def pem(self) -> bytes:
        """Certificate and key in one file, so that a file is never of two makings."""
        return self.certificate.public_bytes(PEM) + key_pem(self.key)

    @property
    def names(self) -> Names:
        try:
            held = self.certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
        except x509.ExtensionNotFound:
            return Names(frozenset(), frozenset(), "")
        addresses = held.get_values_for_type(x509.IPAddress)
        single = (a for a in addresses if not hasattr(a, "prefixlen"))
        return Names(frozenset(held.get_values_for_type(x509.DNSName)), frozenset(single), "")


def make_leaf(authority: Authority, names: Names, now: datetime) -> Leaf:
    """A new certificate for these names. It never outlives its authority."""
    key = ec.generate_private_key(ec.SECP256R1())
    begins = now - CLOCKS_MAY_DIFFER
    issuer, public = authority.certificate, authority.key.public_key()
    held: list[x509.GeneralName] = [x509.DNSName(host) for host in sorted(names.hosts)]
    held += [
        x509.IPAddress(address) for address in sorted(names.addresses, key=lambda a: (a.version, int(a)))
    ]
    certificate = (
        x509.CertificateBuilder()
        .subject_name(common_name(names.first))
        .issuer_name(issuer.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(min(begins + LEAF_LIFE, issuer.not_valid_after_utc))
        .add_extension(x509.SubjectAlternativeName(held), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(key_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(public), critical=False)
        .sign(authority.key, hashes.SHA256())
    )
    return Leaf(certificate, key)


def read_leaf(pem: bytes) -> Leaf:
    """Raises LeafBroken."""
    try:
        certificate = x509.load_pem_x509_certificate(pem)
        key = serialization.load_pem_private_key(pem, password=None)
    except (ValueError, TypeError, UnsupportedAlgorithm):
        raise LeafBroken from None
    if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != certificate.public_key():
        raise LeafBroken
    return Leaf(certificate, key)


def why_renew(leaf: Leaf, authority: Authority, names: Names, now: datetime) -> str | None:
    """Why the certificate must be made anew, as a clause; None while it is good.

    Names that the machine has no more do no harm, so they alone are no reason: a laptop that leaves one network
    and comes back would else get a new one each time.
    """
    certificate, last = leaf.certificate, authority.certificate.not_valid_after_utc
    try:
        certificate.verify_directly_issued_by(authority.certificate)
    except (ValueError, TypeError, InvalidSignature):
        return "the one before was not signed by this shop's authority"
    if certificate.not_valid_before_utc > now:
        return f"the one before would begin only on {certificate.not_valid_before_utc:%Y-%m-%d}"
    ends = certificate.not_valid_after_utc
    if ends < min(now + RENEW_BEFORE, last):
        return f"the one before ends on {ends:%Y-%m-%d}"
    missing = names.without(leaf.names)
    return f"this machine is now reached as {', '.join(missing)} too" if missing else None
