"""The shop's own authority and the server's certificate: what they hold, how long, and what happens to broken ones."""

from __future__ import annotations

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from cryptography import x509
from flask import Flask
from flask.testing import FlaskClient

from floor.certificates import files
from floor.certificates.authority import AuthorityRefused, fingerprint, make_authority, name_of
from floor.certificates.leaf import make_leaf, read_leaf, why_renew
from floor.certificates.names import Names, machine_names, names_of
from floor.certificates.upkeep import Kept, keep_certificates, public_certificate
from floor.certificates.words import said_at_start

NOW = datetime(2026, 11, 30, 9, 0, tzinfo=UTC)
NAMES = names_of("Table-7", ["192.168.1.20", "fd00::20", "fe80::1"])


def kept(shop: Path, names: Names = NAMES, days_later: int = 0) -> Kept:
    return keep_certificates(shop, "table-7", names, NOW + timedelta(days=days_later))


def served(kept: Kept) -> x509.Certificate:
    return read_leaf(kept.server_file.read_bytes()).certificate


# ---- names


def test_a_machine_is_named_by_name_on_this_network_by_address_and_as_itself() -> None:
    assert NAMES.hosts == {"table-7", "table-7.local", "localhost"}
    assert set(map(str, NAMES.addresses)) == {"192.168.1.20", "fd00::20", "127.0.0.1", "::1"}
    assert NAMES.first == "192.168.1.20"


def test_a_name_that_no_certificate_can_hold_is_left_out_and_others_travel_as_browsers_send_them() -> None:
    assert names_of("Nähstube.", []).hosts == {"xn--nhstube-5wa", "xn--nhstube-5wa.local", "localhost"}
    assert names_of("two words", ["no address"]).hosts == {"localhost"}
    assert names_of("table.lan", []).hosts == {"table.lan", "table", "table.local", "localhost"}


def test_the_shops_own_address_is_named_and_told_first() -> None:
    named = names_of("table-7", ["192.168.1.20"], "http://Floor.shop.example:8000")
    assert named.first == "floor.shop.example"
    assert named.covers("FLOOR.shop.example")
    assert names_of("table-7", [], "https://[fd00::9]:8443").covers("[fd00::9]")
    assert not named.covers("elsewhere.example")


def test_this_machines_own_names_can_be_told() -> None:
    assert machine_names("").covers("localhost")
    assert machine_names("").first


# ---- what is made


def test_an_authority_signs_certificates_for_ten_years_and_says_where_and_when_it_was_made() -> None:
    made = make_authority("a-very-long-host-name" * 3, NOW).certificate
    assert name_of(made).startswith("Floor, a-very-long")
    assert name_of(made).endswith(", made 2026-11-30")
    assert made.not_valid_after_utc.year == 2036
    assert made.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    usage = made.extensions.get_extension_for_class(x509.KeyUsage)
    assert usage.critical
    assert usage.value.key_cert_sign
    assert len(":".join(fingerprint(made)).split(":")) == 32


def test_a_servers_certificate_lives_no_longer_than_tablets_bear_and_never_outlives_its_authority() -> None:
    authority = make_authority("table-7", NOW)
    leaf = make_leaf(authority, NAMES, NOW).certificate
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc < timedelta(days=397)
    assert leaf.not_valid_before_utc < NOW  # a tablet's clock may be slow
    late = authority.certificate.not_valid_after_utc - timedelta(days=100)
    last = make_leaf(authority, NAMES, late)
    assert last.certificate.not_valid_after_utc == authority.certificate.not_valid_after_utc
    assert (
        why_renew(last, authority, NAMES, late + timedelta(days=90)) is None
    )  # another would last no longer


def test_only_the_owner_reads_the_keys(tmp_path: Path) -> None:
    folder = kept(tmp_path).server_file.parent
    if os.name == "posix":
        assert {path.name: path.stat().st_mode & 0o777 for path in folder.iterdir()} == {
            "authority.key": 0o600, "authority.crt": 0o644, "server.pem": 0o600,
        }  # fmt: skip
        (folder / files.AUTHORITY_KEY).chmod(0o644)
        assert "only its owner" in " ".join(kept(tmp_path).said)
        assert (folder / files.AUTHORITY_KEY).stat().st_mode & 0o777 == 0o600


# ---- when it is made anew


def test_certificates_that_are_good_are_left_as_they_are(tmp_path: Path) -> None:
    first = kept(tmp_path)
    again = kept(tmp_path, days_later=300)
    assert first.renewed
    assert not again.renewed
    assert again.said == ()
    assert served(again) == served(first)


@pytest.mark.parametrize(
    ("names", "days", "why"),
    [
        (NAMES, 370, "ends on 2027-12-31"),
        (NAMES, -3, "would begin only on"),  # made while the clock was wrong
        (names_of("table-7", ["192.168.1.21"]), 1, "reached as 192.168.1.21 too"),
        (names_of("bench", ["192.168.1.20"]), 1, "reached as bench, bench.local too"),
    ],
)
def test_a_servers_certificate_is_made_anew_and_the_authority_stays(
    tmp_path: Path, names: Names, days: int, why: str
) -> None:
    first = kept(tmp_path)
    before = served(first)
    later = kept(tmp_path, names, days)
    assert why in later.said[0]
    assert served(later) != before
    assert later.authority.certificate == first.authority.certificate
    served(later).verify_directly_issued_by(first.authority.certificate)
    held = served(later).extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert set(held.get_values_for_type(x509.IPAddress)) == names.addresses


def test_a_machine_that_has_fewer_addresses_for_a_while_keeps_its_certificate(tmp_path: Path) -> None:
    kept(tmp_path)
    assert not kept(tmp_path, names_of("table-7", [])).renewed


@pytest.mark.parametrize("pem", [b"", b"-----BEGIN CERTIFICATE-----\nMIIB", b"\x00\xff"])
def test_a_broken_servers_certificate_is_made_anew(tmp_path: Path, pem: bytes) -> None:
    kept(tmp_path).server_file.write_bytes(pem)
    assert "could not be read" in kept(tmp_path).said[0]


def test_a_certificate_of_another_shop_is_made_anew(tmp_path: Path) -> None:
    other = kept(tmp_path / "other")
    kept(tmp_path / "own").server_file.write_bytes(other.server_file.read_bytes())
    assert "not signed by this shop's authority" in kept(tmp_path / "own").said[0]


# ---- an authority is never replaced


@pytest.mark.parametrize(
    ("name", "data", "says"),
    [
        ("authority.key", b"", "its key cannot be read"),
        ("authority.crt", b"-----BEGIN CERTIFICATE-----\nMIIB", "its certificate cannot be read"),
        ("authority.key", None, "authority.key cannot be read"),
        ("authority.crt", None, "authority.crt cannot be read"),
        ("authority.key", make_authority("other", NOW).key_pem, "do not belong together"),
        ("authority.crt", make_leaf(make_authority("other", NOW), NAMES, NOW).pem, "not an authority's"),
    ],
)
def test_a_broken_authority_is_told_in_one_sentence_and_left_as_it_is(
    tmp_path: Path, name: str, data: bytes | None, says: str
) -> None:
    folder = kept(tmp_path).server_file.parent
    (folder / name).unlink() if data is None else (folder / name).write_bytes(data)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    with pytest.raises(AuthorityRefused, match=says) as refused:
        kept(tmp_path)
    assert "from a backup" in str(refused.value)
    assert "\n" not in str(refused.value)
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_an_authority_that_has_ended_is_told_and_before_that_it_is_foretold(tmp_path: Path) -> None:
    kept(tmp_path)
    with pytest.raises(AuthorityRefused, match="it ended on 2036-11-30"):
        kept(tmp_path, days_later=3700)
    said = said_at_start(kept(tmp_path, days_later=3600), NAMES, "0.0.0.0", 8000, 8443)
    assert "The authority ends on 2036-11-30" in said[-1]


def test_what_is_half_written_stands_nowhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        kept(tmp_path / "new")
    assert list((tmp_path / "new").iterdir()) == []
    monkeypatch.undo()
    first = kept(tmp_path / "old")
    before = served(first)
    monkeypatch.setattr(files.os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        kept(tmp_path / "old", days_later=380)
    assert served(first) == before
    assert len(list(first.server_file.parent.iterdir())) == 3


def test_of_two_that_start_at_once_the_first_ones_authority_stands(tmp_path: Path) -> None:
    first = kept(tmp_path).authority
    files.write_authority(tmp_path, make_authority("second", NOW))
    assert kept(tmp_path).authority.certificate == first.certificate
    assert [path.name for path in tmp_path.iterdir()] == [files.FOLDER]


# ---- what is given away


def test_no_page_gives_the_key_away(app: Flask, supervisor: FlaskClient) -> None:
    shop = app.config["FLOOR"].data
    secrets = [
        b"".join(pem.split(b"PRIVATE KEY-----")[1].splitlines()[1:-1])
        for pem in (kept(shop).authority.key_pem, kept(shop).server_file.read_bytes())
    ]
    assert all(len(secret) > 100 for secret in secrets)
    pages = [r.rule for r in app.url_map.iter_rules() if "GET" in (r.methods or ()) and not r.arguments]
    guessed = [
        f"/{start}{name}"
        for start in ("https/", "secure/", "static/https/", "static/../https/", "static/..%2fhttps%2f")
        for name in (files.AUTHORITY_KEY, files.SERVER)
    ]
    assert "/secure" in pages
    for address in pages + guessed:
        body = b"".join(supervisor.get(address).data.split())
        assert not any(secret in body for secret in secrets), address
    assert {supervisor.get(address).status_code for address in guessed} == {404}


def test_the_certificate_to_install_is_the_authoritys(app: Flask, client: FlaskClient) -> None:
    assert client.get("/secure/authority.crt").status_code == 404
    authority = kept(app.config["FLOOR"].data).authority.certificate
    given = client.get("/secure/authority.crt")
    assert given.mimetype == "application/x-x509-ca-cert"
    assert x509.load_der_x509_certificate(given.data) == authority
    assert public_certificate(app.config["FLOOR"].data) == authority


def test_the_page_tells_an_outsider_how_to_start_https_and_nothing_of_jobs(
    client: FlaskClient, larkspur: str
) -> None:
    page = client.get("/secure")
    assert page.status_code == 200
    assert "floor serve --https" in page.text
    assert "authority.crt" not in page.text
    assert larkspur not in page.text
    assert "arkspur" not in page.text
