"""The pages that set a kitchen up: a form, a look at what comes of it, then in force and in the log."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from tomlkit.toml_document import TOMLDocument

from assistant.errors import InputError
from assistant.logbook.facts import facts_draft
from assistant.manager import set_up, shown
from assistant.manager.in_force import InForce
from assistant.manager.render import Pages
from assistant.manager.reviews import signers
from assistant.manager.set_up import Section, Step
from assistant.manager.site_file import Change, SiteFile, put_row, put_table, take_row
from assistant.manager.writing_pages import ENGINE, Form, append, need, signature
from assistant.site import Equipment, Site, SiteFileError, load_site

NEW = "new"
USUAL = "usual"


@dataclass(frozen=True, slots=True)
class Wanted:
    """A change that a form asks for: in words, and as an edit of the file."""

    section: Section
    name: str
    how: str
    steps: list[Step]
    values: Mapping[str, Any]
    edit: Callable[[TOMLDocument], None]


def overview(request: Request) -> Response:
    """All that is set up, and what is still missing."""
    pages: Pages = request.app.state.pages
    need(request, "set up")
    file = _file(pages)
    site = file.site()
    return pages.show(
        request, "set_up", sections=set_up.sections(),
        rows={key: _rows(key, site) for key in set_up.sections()},
        made=site, file=file, begun=file.exists, shared=set_up.shared_names(site),
        usual=_usual(site), done=_done(request, "It is in force and in the log."),
    )  # fmt: skip


def _done(request: Request, sentence: str) -> str:
    done = request.query_params.get("done", "")
    return "A test message is sent." if done == "test" else sentence if done else ""


def form(request: Request) -> Response:
    """The form of one thing, filled with what is in force."""
    pages: Pages = request.app.state.pages
    need(request, "set up")
    file, section, number = _asked(request, pages)
    site = file.site()
    row = _row(section, site, number) if number is not None or section.table else {}
    like = request.query_params.get("like", "")
    if not row and section.key == "equipment" and (item := load_site().equipment_by_id(like)):
        row = item.model_dump()
    if section.key == "kitchen" and not file.exists:
        row = {**row, "name": ""}
    return _form_page(request, section, number, site, _fields(section, row), file.mark())


def _form_page(
    request: Request, section: Section, number: int | None, site: Site, filled: Mapping[str, str], mark: str,
    fault: str = "",
) -> Response:  # fmt: skip
    pages: Pages = request.app.state.pages
    return pages.show(
        request, "set_up_form", status=400 if fault else 200, section=section, number=number, filled=filled,
        mark=mark, fault=fault, spots=set_up.spots(site),
        choices={each.key: set_up.choices_of(each, site) for each in section.fields},
        removable=number is not None and not section.table, kitchen_site=site,
    )  # fmt: skip


def send(request: Request, form: Form) -> Response:
    """Show what a filled form would change, or put it in force."""
    pages: Pages = request.app.state.pages
    need(request, "set up")
    file, section, number = _asked(request, pages)
    site = file.site()
    try:
        if form.get("mark") != file.mark():
            raise InputError("The set-up was changed since you opened this form; look at it again.")
        wanted = _wanted(section, number, form, site)
        change = file.changed(wanted.edit)
    except SiteFileError as fault:
        return _form_page(request, section, number, site, form, file.mark(), _plain(fault, section))
    except InputError as fault:
        return _form_page(request, section, number, site, form, file.mark(), str(fault))
    return _look_or_take(request, form, file, wanted, change)


def usual(request: Request, form: Form) -> Response:
    """Add places that most kitchens have, as the example has them."""
    pages: Pages = request.app.state.pages
    need(request, "set up")
    file = _file(pages)
    chosen = [item for item in _usual(file.site()) if form.get(f"place:{item.id}")]
    if not chosen:
        raise InputError("No place was ticked.")
    section = set_up.sections()["equipment"]

    def edit(document: TOMLDocument) -> None:
        for item in chosen:
            put_row(document, "equipment", None, item.model_dump(exclude_defaults=True, mode="json"))

    names = ", ".join(item.name for item in chosen)
    wanted = Wanted(section, names, "added", [], {}, edit)
    return _look_or_take(request, form, file, wanted, file.changed(edit))


def try_alerts(request: Request, form: Form) -> Response:
    """Send a test message by every way that is set up."""
    pages: Pages = request.app.state.pages
    need(request, "set up")
    messenger = pages.night.messenger
    if messenger is None or not pages.desk.site.alerts.set_up:
        raise InputError("Nobody is told yet: set up to whom alerts go.")
    if fault := messenger.try_out(pages.desk.site, pages.desk.clock.now()):
        raise InputError(fault)
    return RedirectResponse("/set-up?done=test#alerts", status_code=303)


def _look_or_take(request: Request, form: Form, file: SiteFile, wanted: Wanted, change: Change) -> Response:
    pages: Pages = request.app.state.pages
    if change.after == change.before:
        raise InputError("Nothing was changed in the form.")
    if form.get("step") == "take":
        return _take(request, form, file, wanted, change)
    sentences = [] if wanted.how == "removed" else set_up.sayings(wanted.section, wanted.values, change.site)
    if wanted.how == "added" and not wanted.values:
        sentences = [
            said for item in change.site.equipment[-3:]
            for said in set_up.sayings(wanted.section, {"id": item.id}, change.site)[:1]
        ]  # fmt: skip
    tried = pages.talk.try_words(change.site, sentences) if pages.talk and sentences else []
    old = set_up.shared_names(file.site())
    return pages.show(
        request, "set_up_look", wanted=wanted, tried=tried, path=request.url.path,
        kept={key: value for key, value in form.items() if key not in ("token", "step", "person")},
        shared=[each for each in set_up.shared_names(change.site) if each not in old],
        signers=signers(change.site), removing=wanted.how == "removed",
    )  # fmt: skip


def _take(request: Request, form: Form, file: SiteFile, wanted: Wanted, change: Change) -> Response:
    """Log the change and put the file in its place: it is whole on the disk before the entry is made."""
    pages: Pages = request.app.state.pages
    person, how = signature(request, form)
    note = set_up.told(wanted.section, wanted.name, wanted.steps, wanted.how)
    note += f"; {how}" if how else ""
    with file.writing(change) as put_in_place:
        draft = facts_draft(change.site, note, person, ENGINE)
        append(request, draft, name=change.site.kitchen.name)
        put_in_place()
    pages.in_force.refresh()
    return RedirectResponse(f"/set-up?done={wanted.section.key}#{wanted.section.key}", status_code=303)


def _wanted(section: Section, number: int | None, form: Form, site: Site) -> Wanted:
    before = _row(section, site, number) if number is not None or section.table else None
    if form.get("step") == "remove" or form.get("remove"):
        return _removal(section, number, before or {}, site)
    after = set_up.read_form(section, form, site)
    if number is not None and section.id:
        after = {**after, "id": (before or {})["id"]}  # the log knows it by this
    name = "" if section.table else str(after.get(section.named) or after.get("id"))
    how = "changed" if before is not None else "added"
    steps = set_up.steps_of(section, before, after)

    def edit(document: TOMLDocument) -> None:
        if section.table:
            put_table(document, section.key, after)
        elif section.mapping:
            old = {str(before[section.named]): None} if before else {}
            put_table(document, section.key, {**old, str(after[section.named]): after[section.mapping]})
        else:
            put_row(document, section.key, number, after)

    return Wanted(section, name, how, steps, after, edit)


def _removal(section: Section, number: int | None, before: Mapping[str, Any], site: Site) -> Wanted:
    if number is None:
        raise InputError("That cannot be removed.")
    name = str(before.get(section.named) or before.get("id"))
    steps = set_up.steps_of(section, before, None)
    gone = {spot for spot, _ in set_up.spots(site)} if section.key == "equipment" else set()
    if section.key == "equipment":
        rest = site.model_copy(update={"equipment": _without(site.equipment, number)})
        gone -= {spot for spot, _ in set_up.spots(rest)}
    for plan in site.rounds:
        if lost := [place for place in plan.places if place in gone]:
            steps.append(Step(f"round {plan.name}, places left out", ", ".join(lost), "nothing"))

    def edit(document: TOMLDocument) -> None:
        if section.mapping:
            put_table(document, section.key, {str(before[section.named]): None})
            return
        take_row(document, section.key, number)
        for at, plan in enumerate(site.rounds):
            left = [place for place in plan.places if place not in gone]
            if len(left) < len(plan.places):
                put_row(document, "rounds", at, {"places": left})

    return Wanted(section, name, "removed", steps, before, edit)


def _without(items: tuple[Equipment, ...], number: int) -> tuple[Equipment, ...]:
    return (*items[:number], *items[number + 1 :])


def _file(pages: Pages) -> SiteFile:
    in_force: InForce = pages.in_force
    if not in_force.can_change or in_force.file is None:
        raise InputError("Kitchens are set up on their own page, not here.")
    return in_force.file


def _asked(request: Request, pages: Pages) -> tuple[SiteFile, Section, int | None]:
    """Return the file, and the section and row that an address names; raises ``InputError``."""
    section = set_up.sections().get(request.path_params["section"])
    which = request.path_params.get("which", NEW)
    if section is None or not (which == NEW or (which.isdecimal() and len(which) < 5)):
        raise InputError("There is nothing of that name to set up.")
    return _file(pages), section, None if which == NEW or section.table else int(which)


def _rows(key: str, site: Site) -> list[dict[str, Any]]:
    section = set_up.sections()[key]
    if section.table:
        return [getattr(site, key).model_dump()]
    if section.mapping:
        return [{section.named: dish, section.mapping: food} for dish, food in site.menu.items()]
    return [each.model_dump() for each in getattr(site, key)]


def _row(section: Section, site: Site, number: int | None) -> dict[str, Any]:
    rows = _rows(section.key, site)
    at = 0 if section.table else number
    if at is None or at >= len(rows):
        raise InputError("That is not in the site file any more; load the page again.")
    return rows[at]


def _fields(section: Section, row: Mapping[str, Any]) -> dict[str, str]:
    """Return what stands in the fields of a form for a row."""
    filled: dict[str, str] = {}
    for field in section.fields:
        value = row.get(field.key)
        if field.kind == "order":
            filled |= {f"{field.key}:{place}": str(turn) for turn, place in enumerate(value or (), 1)}
        elif field.kind == "days":
            filled |= {f"{field.key}:{day}": "1" for day in value or ()}
        else:
            filled[field.key] = set_up.shown_in(field, value)
    return filled


def _usual(site: Site) -> list[Equipment]:
    """Return the example's places that this kitchen lacks, each with its own sanitizer where it has one."""
    example, found = load_site(), []
    known = {item.id for item in site.equipment}
    for item in example.equipment:
        product = example.product_of(item.id)
        own = next((each.id for each in site.products if product and each.kind == product.kind), "")
        if item.id not in known and (own or not product):
            found.append(item.model_copy(update={"product": own}))
    return found


def _plain(fault: SiteFileError, section: Section) -> str:
    """Return a fault of the file as a sentence about the form's own field."""
    parts = [part for part in fault.key.split(".") if not part.isdecimal()]
    key = next((part for part in reversed(parts) if part in {each.key for each in section.fields}), "")
    says = fault.says.rpartition("does not fit; ")[2]
    for of_the_file in (" in quotation marks", ", without quotation marks or unit"):
        says = says.replace(of_the_file, "")
    for each in section.fields:
        says = says.replace(each.key, f"'{each.label}'") if "_" in each.key else says
    label = section.field(key).label if key else ""
    return f"'{label}' does not fit: {says[:1].lower()}{says[1:]}." if key else f"{shown.capital(says)}."
