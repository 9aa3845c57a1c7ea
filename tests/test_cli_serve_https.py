"""`floor serve --https` as a shop runs it: one server for this file, which the last test stops."""

from __future__ import annotations

import os
import re
import signal
import socket
import ssl
import time
import urllib.request
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from cryptography import x509

from floor.certificates import files
from floor.certificates.authority import fingerprint, read_authority
from floor.certificates.leaf import make_leaf
from floor.certificates.names import machine_names
from floor.cli import floor
from tests.services.served import free_port
from tests.services.served_secure import PATIENCE_S, Secure, served_secure


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Secure]:
    with served_secure(tmp_path_factory.mktemp("https")) as found:
        yield found


# ---- what tablets get


def test_whoever_trusts_the_authority_trusts_every_name_and_address_of_the_machine(server: Secure) -> None:
    names = machine_names("")
    for host in sorted({*names.hosts, *map(str, names.addresses)}):
        assert server.shown_to(host).not_valid_after_utc > datetime.now(UTC)
    with pytest.raises(ssl.SSLCertVerificationError, match="elsewhere"):
        server.shown_to("elsewhere.example")


def test_without_the_authority_nobody_trusts_it(server: Secure) -> None:
    with pytest.raises(OSError, match="CERTIFICATE_VERIFY_FAILED"):
        urllib.request.urlopen(f"https://localhost:{server.https_port}/help", timeout=PATIENCE_S)


def test_the_screen_and_the_page_show_the_fingerprint_of_what_a_tablet_downloads(server: Secure) -> None:
    with urllib.request.urlopen(f"http://localhost:{server.port}/secure/authority.crt") as given:
        lines = fingerprint(x509.load_der_x509_certificate(given.read()))
    said, page = server.said(), server.get("/secure")
    assert "\n".join(f"    {line}" for line in lines) in said
    assert "".join(re.findall(r"<span>([0-9A-F:]+)</span>", page)) == ":".join(lines)
    assert f"https://127.0.0.1:{server.https_port}/" in said
    assert f"http://127.0.0.1:{server.port}/secure" in said


def test_both_addresses_are_the_same_shop_and_lead_to_https(server: Secure) -> None:
    plain, secure = server.get("/secure"), server.get_secure("/secure")
    assert f'href="https://localhost:{server.https_port}/secure"' in plain
    assert '<dd id="came-by">plain http</dd>' in plain
    assert '<dd id="came-by">https</dd>' in secure


# ---- while it serves


def test_a_certificate_that_is_about_to_end_is_made_anew_while_plain_http_goes_on(server: Secure) -> None:
    folder = server.certificates
    now = datetime.now(UTC)
    authority = read_authority(
        (folder / files.AUTHORITY_CERTIFICATE).read_bytes(), (folder / files.AUTHORITY_KEY).read_bytes(), now
    )
    before = server.shown_to("localhost")
    old = make_leaf(authority, machine_names(f"http://localhost:{server.port}"), now - timedelta(days=380))
    files.write_server(server.shop, old.pem)
    until = time.monotonic() + PATIENCE_S
    while True:
        assert "Help" in server.get("/help")
        try:
            shown = server.shown_to("localhost")
        except OSError:  # a worker that ends may close a connection; the next one is another's
            shown = before
        if shown not in (before, old.certificate):
            break
        assert time.monotonic() < until, server.said()
        time.sleep(0.2)
    shown.verify_directly_issued_by(authority.certificate)
    assert "The server's certificate was made: the one before ends on" in server.said()


def test_an_authority_that_breaks_meanwhile_is_told_once_and_what_is_served_goes_on(server: Secure) -> None:
    key = server.certificates / files.AUTHORITY_KEY
    whole = key.read_bytes()
    key.write_bytes(b"")
    until = time.monotonic() + PATIENCE_S
    while "its key cannot be read" not in server.said():
        assert time.monotonic() < until, server.said()
        time.sleep(0.2)
    assert "Help" in server.get_secure("/help")
    assert key.read_bytes() == b""
    key.write_bytes(whole)
    assert server.said().count("could not be looked after") == 1


# ---- what is refused


def serve(shop: Path, *words: str) -> Result:
    runner = CliRunner(env={"FLOOR_DATA": str(shop), "FLOOR_ADDRESS": ""})
    return runner.invoke(floor, ["serve", "--host", "127.0.0.1", *words])


def test_a_port_that_is_taken_is_told_with_the_option_that_says_another(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        refused = serve(tmp_path, "--https", "--https-port", port, "--port", str(free_port()))
    assert refused.exit_code == 1
    assert f"Port {port} cannot be used" in refused.output
    assert "say another with --https-port" in refused.output
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--https-port", "8443"), "without --https"),
        (("--https", "--port", "8443"), "must differ"),
        (("--https", "--https-port", "0"), "--https-port"),
    ],
)
def test_ports_that_make_no_sense_are_a_matter_of_usage(
    tmp_path: Path, words: tuple[str, ...], says: str
) -> None:
    refused = serve(tmp_path, *words)
    assert refused.exit_code == 2
    assert says in refused.output


# ---- the end


@pytest.mark.skipif(os.name != "posix", reason="a terminal's Ctrl+C reaches a whole group of processes")
def test_ctrl_c_ends_both_ports_cleanly(server: Secure) -> None:
    os.killpg(server.process.pid, signal.SIGINT)
    assert server.process.wait(timeout=PATIENCE_S) == 0
    for port in (server.port, server.https_port):
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_S)
    assert "Traceback" not in server.said()
