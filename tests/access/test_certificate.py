"""The certificate that is made: taken by a client that checks all of it, and made anew in time."""

from __future__ import annotations

import datetime as dt
import shutil
import subprocess
from pathlib import Path

import pytest

from waytell.access.certificate import GOOD_FOR, own_certificate

NOW = dt.datetime(2026, 11, 26, 12, tzinfo=dt.UTC)


def test_it_stays_as_long_as_it_is_good(tmp_path: Path) -> None:
    first = own_certificate(tmp_path, ("192.0.2.2",), NOW)
    again = own_certificate(tmp_path, ("192.0.2.2",), NOW + dt.timedelta(days=300))
    assert again.fingerprint == first.fingerprint
    assert first.key.stat().st_mode & 0o777 == 0o600


def test_it_is_made_anew_before_it_ends_for_a_new_address_and_when_it_is_damaged(tmp_path: Path) -> None:
    seen = {own_certificate(tmp_path, (), NOW).fingerprint}
    seen.add(own_certificate(tmp_path, (), NOW + GOOD_FOR - dt.timedelta(days=10)).fingerprint)
    later = own_certificate(tmp_path, ("198.51.100.7",), NOW + GOOD_FOR)
    seen.add(later.fingerprint)
    later.file.write_text("damaged")
    seen.add(own_certificate(tmp_path, ("198.51.100.7",), NOW + GOOD_FOR).fingerprint)
    assert len(seen) == 4


@pytest.mark.skipif(shutil.which("openssl") is None, reason="openssl is not installed")
def test_openssl_finds_in_it_what_was_asked_for(tmp_path: Path) -> None:
    """Against a program that knows nothing of ours."""
    made = own_certificate(tmp_path, ("192.0.2.2",), NOW)
    said = subprocess.run(
        ["openssl", "x509", "-in", made.file, "-noout", "-fingerprint", "-sha256", "-text"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert made.fingerprint in said
    assert "IP Address:192.0.2.2" in said
    assert "IP Address:127.0.0.1" in said
    assert "DNS:localhost" in said
    assert "CA:FALSE" in said
    assert "TLS Web Server Authentication" in said
