"""Floor served by plain http and by https, as `floor serve --https` does it, in a process of its own."""

from __future__ import annotations

import os
import signal
import socket
import ssl
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509

from floor.certificates import files
from tests.services.served import free_port

PATIENCE_S = 60.0
# As the command, but it looks after the certificate often enough for a test to see it.
SERVE = "import floor.serving_secure as s; s.CHECK_EVERY_S = 0.3; from floor.cli import main; main()"


@dataclass
class Secure:
    process: subprocess.Popen[str]
    shop: Path
    port: int
    https_port: int
    output: Path

    @property
    def certificates(self) -> Path:
        return files.https_folder(self.shop)

    def get(self, address: str) -> str:
        with urllib.request.urlopen(f"http://localhost:{self.port}{address}", timeout=PATIENCE_S) as answer:
            text: str = answer.read().decode()
            return text

    def get_secure(self, address: str) -> str:
        trust = ssl.create_default_context(cafile=self.certificates / files.AUTHORITY_CERTIFICATE)
        url = f"https://localhost:{self.https_port}{address}"
        with urllib.request.urlopen(url, timeout=PATIENCE_S, context=trust) as answer:
            text: str = answer.read().decode()
            return text

    def shown_to(self, host: str) -> x509.Certificate:
        """The certificate that a client gets who knows the authority and asks for `host`. Raises as ssl does."""
        trust = ssl.create_default_context(cafile=self.certificates / files.AUTHORITY_CERTIFICATE)
        trust.verify_flags |= ssl.VERIFY_X509_STRICT
        with (
            socket.create_connection(("127.0.0.1", self.https_port), timeout=PATIENCE_S) as plain,
            trust.wrap_socket(plain, server_hostname=host) as secure,
        ):
            shown = secure.getpeercert(binary_form=True)
            assert shown is not None
            return x509.load_der_x509_certificate(shown)

    def said(self) -> str:
        return self.output.read_text()


@contextmanager
def served_secure(folder: Path) -> Iterator[Secure]:
    """A shop in `folder`, once both of its ports answer."""
    shop, output, port, https_port = folder / "shop", folder / "said", free_port(), free_port()
    environment = {
        **os.environ, "FLOOR_DATA": str(shop), "FLOOR_ADDRESS": f"http://localhost:{port}",
        "PYTHONPATH": os.getcwd(), "PYTHONUNBUFFERED": "1",
    }  # fmt: skip
    words = ["serve", "--host", "127.0.0.1", "--port", str(port), "--https", "--https-port", str(https_port)]
    with output.open("w") as said:
        process = subprocess.Popen(
            [sys.executable, "-c", SERVE, *words],
            env=environment, stdout=said, stderr=subprocess.STDOUT, text=True, start_new_session=True,
        )  # fmt: skip
    found = Secure(process, shop, port, https_port, output)
    try:
        wait_until_both_answer(found)
        yield found
    finally:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()


def wait_until_both_answer(server: Secure) -> None:
    until = time.monotonic() + PATIENCE_S
    while True:
        assert server.process.poll() is None, server.said()
        try:
            server.get("/help")
            server.get_secure("/help")
            return
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)
