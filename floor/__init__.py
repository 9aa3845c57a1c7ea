"""Floor: the tablet page beside the machine, and the supervisor's time log."""

from __future__ import annotations

from dataclasses import replace

from flask import Flask

from floor.config import Settings, settings_from


def create_app(config: Settings | None = None) -> Flask:
    """The web application, on the shop's folder that `config` names (default: the environment's).

    Opens the database, brings it up to date and makes its secret key at the first start.
    """
    from floor.places import page_folder
    from floor.services.demo import demo
    from floor.services.renewal import renew_projections
    from floor.store.database import open_database
    from floor.web import register

    settings = config or settings_from()
    app = Flask(
        "floor",
        static_folder=None,  # floor.web.static_files serves it
        template_folder=str(page_folder("templates")),
    )
    older = open_database(app, settings)
    with app.app_context():
        renew_projections(anyway=older)
        app.config["FLOOR"] = replace(settings, demo=demo() is not None)
    register(app)
    return app
