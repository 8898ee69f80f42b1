"""What is carried away from the page: the report on paper, the log for a spreadsheet, a backup made now."""

from __future__ import annotations

import tempfile
from datetime import date
from pathlib import Path

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from assistant.errors import InputError, KitchenError
from assistant.logbook.care import load_care, save_care
from assistant.logbook.export import export
from assistant.logbook.nightly import nightly
from assistant.logbook.query import Filter
from assistant.manager import words
from assistant.manager.desk import LocalDesk
from assistant.manager.render import Pages
from assistant.manager.report import gather
from assistant.manager.report_pdf import write_report
from assistant.manager.writing_pages import MOST_CHECKED, Form, need

DAYS = 7


def copies(request: Request) -> Response:
    """The forms for all three."""
    pages: Pages = request.app.state.pages
    desk = pages.desk
    first, last = words.span_of(request.query_params, desk.clock.now().date(), DAYS)
    done = {"backup": "The backup is made and checked.", "where": "Backups go there from now on."}
    care = load_care(desk.folder) if isinstance(desk, LocalDesk) else None
    return pages.show(
        request, "copies", first=first, last=last, care=care,
        kitchens=desk.kitchens() if desk.office else (),
        done=done.get(request.query_params.get("done", ""), ""),
    )  # fmt: skip


def report(request: Request) -> Response:
    """The report of a span as a PDF."""
    pages: Pages = request.app.state.pages
    desk, asked = pages.desk, request.query_params
    first, last, kitchen = _span(request)
    with desk.views(kitchen) as views:
        short = views.head(kitchen).count <= MOST_CHECKED
    check = desk.check(kitchen, clips=False) if short else None
    site = desk.site_of(kitchen)
    with desk.views(kitchen) as views:
        found = gather(views, site, first, last, desk.clock.now(), kitchen=kitchen, check=check)
    paper = "letter" if site.kitchen.units == "F" else "a4"
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "report.pdf"
        write_report(found, site, path, paper=paper, readings=asked.get("readings") == "1")
        return _attached(path.read_bytes(), "application/pdf", first, last, "pdf")


def spreadsheet(request: Request) -> Response:
    """The entries of a span as CSV, as they stand."""
    pages: Pages = request.app.state.pages
    first, last, kitchen = _span(request)
    with pages.desk.views(kitchen) as views, tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        wanted = Filter(first_day=first, last_day=last, site=kitchen, amendments=True)
        export(views, path, "csv", pages.desk.clock.now(), wanted)
        return _attached(path.read_bytes(), "text/csv; charset=utf-8", first, last, "csv")


def back_up(request: Request, form: Form) -> Response:
    """Make a backup at once, or say where backups go."""
    pages: Pages = request.app.state.pages
    need(request, "set up")
    desk = pages.desk
    if not isinstance(desk, LocalDesk):
        raise InputError("Backups of a kitchen are made in the kitchen.")
    care = load_care(desk.folder)
    if folder := form.get("folder", "").strip():
        where = Path(folder)
        if not where.is_absolute() or not where.is_dir():
            raise InputError(
                f"There is no folder '{folder[:200]}'; write one from the root on, such as /media/stick."
            )
        save_care(desk.folder, care.model_copy(update={"backup_to": str(where)}))
        return RedirectResponse("/copies?done=where", status_code=303)
    if not care.backup_to:
        raise InputError("Say first to which folder backups go.")
    file = pages.in_force.file
    night = nightly(
        desk.folder, desk.clock.now(), site_file=file.path if file and file.exists else None, force=True
    )
    if night.fault:
        raise KitchenError(night.fault)
    pages.night.fault = ""
    return RedirectResponse("/copies?done=backup", status_code=303)


def _span(request: Request) -> tuple[date, date, str]:
    desk = request.app.state.pages.desk
    kitchen = request.query_params.get("kitchen", "") if desk.office else ""
    if desk.office and not kitchen:
        raise InputError("Name the kitchen first.")
    first, last = words.span_of(request.query_params, desk.clock.now().date(), DAYS)
    return first, last, kitchen


def _attached(content: bytes, kind: str, first: date, last: date, ending: str) -> Response:
    name = f"record-{first}-{last}.{ending}"
    return Response(
        content, media_type=kind, headers={"Content-Disposition": f'attachment; filename="{name}"'}
    )
