"""A certificate of this computer's own, so that what displays and server say to each other cannot be read on its way.

Nobody vouches for it: a browser asks once, and the person compares its fingerprint with the one that is printed here.
"""

from __future__ import annotations

import datetime as dt
import ipaddress
import socket
from pathlib import Path
from typing import NamedTuple

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from waytell.access.whole_file import write_whole

# Browsers take no server's certificate that is good for longer than 398 days (CA/Browser Forum baseline, from memory).
GOOD_FOR = dt.timedelta(days=397)
RENEWED_BEFORE = dt.timedelta(days=30)


class Certificate(NamedTuple):
    file: Path
    key: Path
    fingerprint: str
    """SHA-256 of the certificate, as browsers show it."""


def own_certificate(folder: Path, addresses: tuple[str, ...], now: dt.datetime) -> Certificate:
    """The one in the folder; a new one where there is none, it ends soon, or it lacks one of the addresses.

    Raises:
        OSError: the folder cannot be written to.
    """
    file, key_file = folder / "certificate.pem", folder / "certificate-key.pem"
    names = _names(addresses)
    kept = _read(file) if key_file.exists() else None
    if kept is None or kept.not_valid_after_utc - now < RENEWED_BEFORE or not set(names) <= set(_named(kept)):
        key = ec.generate_private_key(ec.SECP256R1())
        kept = _made(key, names, now)
        write_whole(key_file, key.private_bytes(
            serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
        ), 0o600)  # fmt: skip
        write_whole(file, kept.public_bytes(serialization.Encoding.PEM), 0o644)
    return Certificate(file, key_file, kept.fingerprint(hashes.SHA256()).hex(":").upper())


def _names(addresses: tuple[str, ...]) -> list[x509.GeneralName]:
    own = socket.gethostname()
    hosts = dict.fromkeys(name for name in ("localhost", own, f"{own.partition('.')[0]}.local") if name)
    numbers = dict.fromkeys(("127.0.0.1", "::1", *addresses))
    return [*map(x509.DNSName, hosts), *(x509.IPAddress(ipaddress.ip_address(one)) for one in numbers)]


def _made(key: ec.EllipticCurvePrivateKey, names: list[x509.GeneralName], now: dt.datetime) -> x509.Certificate:
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Waytell at {socket.gethostname()}"[:64])])
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - dt.timedelta(days=1))
        .not_valid_after(now + GOOD_FOR)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )


def _read(file: Path) -> x509.Certificate | None:
    try:
        return x509.load_pem_x509_certificate(file.read_bytes())
    except (OSError, ValueError):
        return None


def _named(certificate: x509.Certificate) -> list[x509.GeneralName]:
    return list(certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value)
