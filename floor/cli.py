"""The `floor` command: exit 0 done, 1 refused with one clear line on stderr, 2 usage."""

from __future__ import annotations

import errno
import io
import os
import socket
import sys
import time
import uuid
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from datetime import UTC, datetime
from pathlib import Path
from typing import TextIO

import click
from flask import Flask
from sqlalchemy.exc import OperationalError

from floor import create_app
from floor.config import SettingRefused, Settings, settings_from
from floor.store.database import DatabaseRefused

HTTPS_PORT = 8443
STOPPED_READING = (errno.EPIPE, errno.EINVAL)  # Windows says the second


def refuse(message: str) -> click.ClickException:
    """One clear line on stderr, exit code 1."""
    return click.ClickException(message)


def main() -> None:
    """The console command: runs `floor`, and prints a refusal as its one line."""
    try:
        floor(standalone_mode=False)
    except click.exceptions.Exit as end:
        sys.exit(end.exit_code)
    except click.UsageError as wrong:
        wrong.show()
        sys.exit(2)
    except click.ClickException as refused:
        click.echo(refused.format_message(), err=True)
        sys.exit(1)
    except click.Abort:
        sys.exit(1)


def now_ms() -> int:
    return time.time_ns() // 1_000_000


def new_id() -> str:
    return str(uuid.uuid4())


@contextmanager
def shop(settings: Settings | None = None) -> Iterator[Flask]:
    """The shop's folder, open."""
    try:
        app = create_app(settings or settings_from())
    except (SettingRefused, DatabaseRefused) as wrong:
        raise refuse(str(wrong)) from None
    with app.app_context():
        try:
            yield app
        except OperationalError as wrong:
            raise refuse(f"The shop's database did not answer ({wrong.orig}); nothing was changed.") from None


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
def floor() -> None:
    """Floor: walks a garment through its phases on a tablet beside the machine, and logs what it took.

    The shop's data lie in the folder that FLOOR_DATA names (default: floor-data in your home folder).
    """


@floor.command()
@click.option("--port", default=8000, show_default=True, type=click.IntRange(1, 65535))
@click.option("--data", type=click.Path(path_type=Path, file_okay=False), help="The demo's folder.")
@click.option("--fresh", is_flag=True, help="Begin with a new folder beside any earlier demo's.")
def demo(port: int, data: Path | None, fresh: bool) -> None:
    """Fill a folder of its own with a made-up shop, and serve it on this machine only."""
    from floor.services.demo import seed_demo
    from floor.serving import serve as serve_folder

    folder = data or Path.home() / "floor-demo"
    if fresh and folder.exists():
        folder = folder.with_name(f"{folder.name}-{datetime.now(UTC):%Y%m%d-%H%M%S}")
    _port_free("127.0.0.1", port)
    with shop(Settings(data=folder)):
        found = seed_demo(now_ms(), new_id)
    click.echo(f"The demo is at http://127.0.0.1:{port}/ (its data: {folder}).")
    click.echo("The first page offers both seats: the operator's tablet, and the supervisor with one tap.")
    click.echo(f"Where the tablet asks for a supervisor: {found.supervisor}, password {found.password}.")
    click.echo("Stop it with Ctrl+C.")
    serve_folder(folder, "127.0.0.1", port)


@floor.command()
@click.option("--port", default=8000, show_default=True, type=click.IntRange(1, 65535))
@click.option("--host", default="0.0.0.0", show_default=True, help="The address to listen at.")  # noqa: S104
@click.option("--https", is_flag=True, help="By https too, so that tablets work without the server.")
@click.option(
    "--https-port", type=click.IntRange(1, 65535), help=f"Where https is served.  [default: {HTTPS_PORT}]"
)
def serve(port: int, host: str, https: bool, https_port: int | None) -> None:
    """Serve the shop to its tablets.

    With --https it has its own authority and certificate, kept in the shop's folder and renewed by themselves. Its
    plain address goes on beside it; the page /secure there shows each tablet what to do.
    """
    from floor.serving import serve as serve_folder

    if https_port is not None and not https:
        raise click.UsageError("--https-port is of no use without --https.")
    if (secure := https_port or HTTPS_PORT) == port and https:
        raise click.UsageError("--port and --https-port must differ: plain http is served beside https.")
    settings = _settings()
    _port_free(host, port)
    if https:
        _port_free(host, secure, "--https-port")
    with shop(settings):
        pass  # so that a folder or database that cannot be used is said here, not in a worker's trace
    click.echo(f"Floor serves {settings.data} at http://{host}:{port}/. Stop it with Ctrl+C.")
    with _secure(settings, host, port, secure) if https else nullcontext():
        serve_folder(settings.data, host, port)


def _secure(settings: Settings, host: str, port: int, https_port: int) -> AbstractContextManager[None]:
    """https while it is entered; what somebody must know of it is said now."""
    from floor.certificates.authority import AuthorityRefused
    from floor.certificates.names import machine_names
    from floor.certificates.words import said_at_start
    from floor.serving_secure import Keeper, shop_certificates

    try:
        kept = shop_certificates(settings.data, settings.address)
    except AuthorityRefused as wrong:
        raise refuse(str(wrong)) from None
    except OSError as wrong:
        raise refuse(f"The certificates could not be written: {wrong.strerror} ({wrong.filename}).") from None
    for sentence in said_at_start(kept, machine_names(settings.address), host, port, https_port):
        click.echo(sentence)
    return Keeper(settings.data, host, https_port, settings.address)


def _port_free(host: str, port: int, option: str = "--port") -> None:
    with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as wrong:
            reason = wrong.strerror or str(wrong)
            raise refuse(f"Port {port} cannot be used ({reason}); say another with {option}.") from None


def _settings() -> Settings:
    try:
        return settings_from()
    except SettingRefused as wrong:
        raise refuse(str(wrong)) from None


@floor.group()
def user() -> None:
    """The people of the shop."""


@user.command("add")
@click.argument("name")
@click.option("--supervisor", is_flag=True, help="May sign in to the supervisor's pages.")
@click.option("--password-file", type=click.File("r"), help="Read the password from this file's first line.")
def user_add(name: str, supervisor: bool, password_file: TextIO | None) -> None:
    """Add NAME to the names that a tablet offers. A supervisor's password is asked for."""
    from floor.services.people import NameRefused, NameTaken, PasswordRefused, add_person

    password = None
    if supervisor:
        if password_file is not None:
            password = password_file.readline().rstrip("\r\n")
        else:
            password = click.prompt("Password", hide_input=True, confirmation_prompt="Once more", err=True)
    with shop():
        try:
            person = add_person(name, supervisor, password)
        except (NameRefused, NameTaken, PasswordRefused) as wrong:
            raise refuse(str(wrong)) from None
        role = "a supervisor" if person.supervisor else "an operator"
        click.echo(f"{person.name} is on the list as {role}.")


@floor.command("import")
@click.argument("files", nargs=-1, required=True, type=click.Path(path_type=Path))
def import_(files: tuple[Path, ...]) -> None:
    """Take in job files, each with its SVG beside it. A file that is refused does not keep the others out."""
    from floor.domain.ticket import show_code
    from floor.jobfile import JobFileErrors, read_job_folder
    from floor.queries.planned import NothingToSew
    from floor.queries.shop_routes import route_needs
    from floor.services.jobs import AlreadyImported, import_job

    settings, refused = _settings(), False
    with shop(settings):
        for path in files:
            try:
                source = read_job_folder(path, route_needs())
                row = import_job(source, "the command line", now_ms(), settings.house)
                click.echo(f'{show_code(row.code)} "{row.title}" from {path}')
            except JobFileErrors as wrong:
                refused = True
                for error in wrong.errors:
                    click.echo(f"{path}: {error}", err=True)
            except (AlreadyImported, NothingToSew, OSError) as wrong:
                refused = True
                click.echo(f"{path}: {wrong}", err=True)
    if refused:
        sys.exit(1)


@floor.command()
@click.argument("job", metavar="JOB.toml", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="As JSON, for a program.")
def plan(job: Path, as_json: bool) -> None:
    """Show what is sewn on each front of a job file, or of the folder it is in; no shop is needed.

    By size: window, seam, cloths and blanks; the machine's stops; what to pull; what to look at before sewing.
    """
    from floor.queries.planned import planned_file, planned_json, planned_text

    with _job_file(job):
        planned = planned_file(job)
    _print(planned_json(planned) if as_json else planned_text(planned, _settings().house))


@contextmanager
def _job_file(job: Path) -> Iterator[None]:
    """What is wrong with a job file, a line a fault."""
    from floor.jobfile import JobFileErrors
    from floor.queries.planned import NothingToSew

    try:
        yield
    except JobFileErrors as wrong:
        raise refuse("\n".join(f"{job}: {error}" for error in wrong.errors)) from None
    except NothingToSew as wrong:
        raise refuse(f"{job}: {wrong}") from None


def _four(context: click.Context, option: click.Parameter, takes: tuple[tuple[str, ...], ...]) -> object:
    """An option's name is no reading: one was left out before it."""
    for take in takes:
        for reading, text in zip("ULAB", take, strict=True):
            if text.startswith("--"):
                raise click.UsageError(
                    f"--{option.name} needs four readings, U L A B; {text} stands where {reading} should be.",
                    context,
                )
    return takes


@floor.command()
@click.argument("job", metavar="JOB.toml", type=click.Path(path_type=Path))
@click.option("--size", help="The garment's size; may be left out where the job has one.")
@click.option("--front", metavar="left|right", help="The front being placed; left out where nothing opens.")
@click.option(
    "--read",
    nargs=4,
    multiple=True,
    required=True,
    callback=_four,
    metavar="U L A B",
    help="The readings of that front. Once more for each further take of them.",
)
@click.option(
    "--against",
    nargs=4,
    multiple=True,
    callback=_four,
    metavar="U L A B",
    help="The other front as it was sewn, read at the same two lines; without it the drawing is what counts.",
)
@click.option("--json", "as_json", is_flag=True, help="As JSON, for a program.")
def place(
    job: Path,
    size: str | None,
    front: str | None,
    read: tuple[tuple[str, ...], ...],
    against: tuple[tuple[str, ...], ...],
    as_json: bool,
) -> None:
    """Judge how a front lies under the needle: sew it, nudge its start, or lay it again; no shop is needed.

    The needle is traced to the upper and the lower line of the window, and read there:

    \b
    U  from the upper button's centre, + above it (toward the collar)
    L  from the lower button's centre, + below it (toward the hem)
    A  from the folded edge at the upper line, + past the edge, - inside it
    B  the same at the lower line

    On a garment that does not open U and L are read from the drawn top and bottom line, A and B from the drawn
    centre line, + to the right of it. A number alone is mm; with a unit write it in quotes: "1 3/16 in", "-2 mm".
    """
    from floor.queries.place import PlaceRefused, judged_place
    from floor.queries.place_given import ReadingRefused
    from floor.queries.place_text import place_text

    house = _settings().house
    try:
        with _job_file(job):
            found = judged_place(job, size, front, read, against, house)
    except (PlaceRefused, ReadingRefused) as wrong:
        raise refuse(str(wrong)) from None
    _print(found.as_json if as_json else place_text(found))


def _print(text: str) -> None:
    """Write to standard output whatever its encoding. Whoever stopped reading has what was wanted of it."""
    if sys.stdout is None:
        return
    try:
        sys.stdout.buffer.write(text.encode(sys.stdout.encoding, "replace"))
        sys.stdout.flush()
    except OSError as wrong:
        # What could not be written must not be tried again, and complained of, when Python ends.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if wrong.errno not in STOPPED_READING:
            raise refuse(f"It could not be written: {wrong.strerror}.") from None


@floor.command()
@click.argument("code")
@click.option(
    "--out", required=True, type=click.Path(path_type=Path, dir_okay=False), help="The HTML file to write."
)
@click.option("--address", help="What the QR code begins with, such as http://192.168.1.20:8000.")
def ticket(code: str, out: Path, address: str | None) -> None:
    """Write a job's ticket as one HTML file to print."""
    from floor.domain.ticket import CodeMistyped, read_code
    from floor.queries.views import find_job, job_view
    from floor.ticket_page import ticket_html

    settings = _settings()
    base = (address or settings.address).rstrip("/")
    if not base:
        raise refuse("The ticket's QR code needs the server's address; say --address or set FLOOR_ADDRESS.")
    with shop(settings):
        try:
            row = find_job(read_code(code))
        except CodeMistyped as wrong:
            raise refuse(str(wrong)) from None
        if row is None:
            raise refuse(f"There is no job with the code {code} in {settings.data}.")
        html = ticket_html(job_view(row), base, standalone=True)
    _write(out, html)
    click.echo(f"The ticket is in {out}.")


def _write(out: Path, text: str) -> None:
    try:
        out.write_text(text, encoding="utf-8")
    except OSError as wrong:
        raise refuse(f"{out} could not be written: {wrong.strerror}.") from None


@floor.command()
@click.argument("what", type=click.Choice(["phases", "runs", "events", "problems"]))
@click.option("--format", "form", type=click.Choice(["csv", "jsonl"]), default="csv", show_default=True)
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), help="Leave out what is older than this day.")
def export(what: str, form: str, since: datetime | None) -> None:
    """Write the log to standard output."""
    from floor.queries.export import columns_of, export_rows, write_csv, write_jsonl

    # The writers end their own lines: a text stream of the system's would end them once more on Windows.
    out = io.TextIOWrapper(sys.stdout.buffer, encoding="utf-8", newline="")
    with shop():
        rows = export_rows(what, since)
        if form == "csv":
            write_csv(rows, columns_of(what), out)
        else:
            write_jsonl(rows, out)
    out.flush()


@floor.command()
def rebuild() -> None:
    """Make all that the pages read again from the events alone."""
    from floor.services.proof import rebuild as make_again

    with shop():
        click.echo(f"{make_again()} runs were made again from their events.")


@floor.command()
def check() -> None:
    """Prove the log whole: no event missing, and all that the pages read equal to the events' replay."""
    from floor.domain.english import plural
    from floor.services.proof import check as prove

    with shop():
        proof = prove()
    for fault in proof.faults:
        click.echo(fault, err=True)
    events, tablets = plural(proof.events, "event"), plural(proof.devices, "tablet")
    counted = f"{events} of {tablets} in {plural(proof.runs, 'run')}"
    if not proof.whole:
        raise refuse(f"The log is not whole: {plural(len(proof.faults), 'fault')} in {counted}.")
    click.echo(
        f"The log is whole: {counted}; no number is missing, and the tables equal the replay. "
        f"Set aside: {proof.aside}; refused: {proof.refusals}."
    )
