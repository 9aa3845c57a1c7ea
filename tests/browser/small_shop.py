"""A shop with one job, served from within the test: it stops, starts again and changes its files in a moment."""

from __future__ import annotations

import shutil
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from unittest.mock import patch

from flask import Flask, Response, request
from werkzeug.serving import BaseWSGIServer, WSGIRequestHandler, make_server

from floor import create_app
from floor.config import Settings
from floor.domain.job import HouseRules
from floor.jobfile import read_job_folder
from floor.places import page_folder
from floor.queries.shop_routes import route_needs
from floor.queries.views import find_job, job_view
from floor.services.jobs import import_job
from floor.services.people import add_person
from floor.store.models import db
from floor.ticket_page import ticket_html

START = 1_796_000_000_000


class _Quiet(WSGIRequestHandler):
    protocol_version = "HTTP/1.1"

    def log(self, type: str, message: str, *args: object) -> None:
        pass


@dataclass
class SmallShop:
    """`files`: its own copy of static/. `mischief` may answer in place of the server; `asked`: every path so far."""

    app: Flask
    code: str
    files: Path
    port: int = 0
    mischief: Callable[[str], Response | None] = lambda path: None
    asked: list[str] = field(default_factory=list)
    _server: BaseWSGIServer | None = None

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def start(self) -> None:
        self._server = make_server("127.0.0.1", self.port, self.app, threaded=True, request_handler=_Quiet)
        self.port = self._server.server_port
        threading.Thread(target=self._server.serve_forever, daemon=True).start()

    def stop(self) -> None:
        """The server is gone: nothing listens there any more."""
        if self._server is not None:
            self._server.shutdown()
            self._server.server_close()
            self._server = None

    def as_it_was(self) -> None:
        """Served, by the files that Floor has now, with nothing in the way."""
        self.mischief = lambda path: None
        self.asked.clear()
        shutil.copytree(page_folder("static"), self.files, dirs_exist_ok=True)
        if self._server is None:
            self.start()

    def ticket(self) -> str:
        """The printed ticket as one file."""
        row = find_job(self.code)
        assert row is not None
        return ticket_html(job_view(row), self.address, standalone=True)

    def before(self) -> Response | None:
        self.asked.append(request.path)
        return self.mischief(request.path)


@contextmanager
def small_shop(folder: Path) -> Iterator[SmallShop]:
    files = folder / "static"
    shutil.copytree(page_folder("static"), files)
    app = create_app(Settings(data=folder / "shop"))
    with app.app_context():
        add_person("Ines", False, None)
        source = read_job_folder(page_folder("demo_jobs") / "larkspur-jackets", route_needs())
        code = import_job(source, "Maren", START, HouseRules()).code
        shop = SmallShop(app, code, files)
        app.before_request(shop.before)
        with patch("floor.web.static_files.page_folder", lambda name: files):
            shop.start()
            yield shop
            shop.stop()
        db.session.remove()
        db.engine.dispose()
