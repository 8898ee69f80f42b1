"""Makes pages from templates: what every page shows, and pages for faults."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.requests import Request
from starlette.responses import HTMLResponse

from assistant.errors import KitchenError
from assistant.logbook.views import Head
from assistant.manager import shown, texts
from assistant.manager.desk import Desk
from assistant.manager.in_force import InForce
from assistant.manager.night_shift import NightShift
from assistant.manager.proof import TITLE, WHAT_TO_DO, Proof
from assistant.manager.sessions import Sessions
from assistant.manager.talk import Talk

NAV = (
    ("/", "Today"),
    ("/log", "Log"),
    ("/week", "Week"),
    ("/places", "Places"),
    ("/cooling", "Cooling"),
    ("/actions", "Open actions"),
    ("/review", "Review"),
    ("/kitchen", "Kitchen"),
    ("/phrases", "What to say"),
    ("/worth", "Worth a look"),
    ("/record", "Record"),
    ("/copies", "Report"),
    ("/say", "Type"),
)
LANGUAGE_COOKIE = "kitchen_language"
LIVE = ("/", "/log", "/week", "/place", "/places", "/cooling", "/actions")
"""Pages that notice new entries by themselves."""
LOOK_EVERY_SECONDS = 10
TITLES = {
    400: "That does not fit",
    403: "Not allowed",
    404: "Not here",
    413: "Too long",
    500: "Something broke",
}


def _templates(language: str) -> Environment:
    """Return the templates in a language; everything is escaped, an unknown name is an error."""
    made = Environment(
        loader=PackageLoader("assistant.manager"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    made.globals["language"] = language
    made.filters["t"] = lambda text: texts.translate(str(text), language)
    made.add_extension(texts.InLanguage)
    return made


class Pages:
    """Renders the templates for one desk."""

    def __init__(self, desk: Desk, sessions: Sessions) -> None:
        """Load templates from the package; everything is escaped, an unknown name is an error."""
        self.desk = desk
        self.sessions = sessions
        self.proof = Proof(desk)
        self.night = NightShift(desk, self.proof)
        self.refused_write = ""
        self.in_force = InForce(desk)
        self.talk: Talk | None = None
        self._templates = {language: _templates(language) for language in texts.LANGUAGES}

    def show(self, request: Request, name: str, /, *, status: int = 200, **values: Any) -> HTMLResponse:
        """Return the page ``name`` (a template without its ending) with ``values``."""
        self.in_force.refresh()
        kitchen = request.query_params.get("kitchen", "") if self.desk.office else ""
        keep = f"?{urlencode({'kitchen': kitchen})}" if kitchen else ""
        locked = request.state.pin_set and not request.state.signed_in
        site, who = self.desk.site, request.state.who
        language = self.language(request)
        common: dict[str, Any] = {
            "shown": texts.Shown(language), "language": language,
            "site": site, "office": self.desk.office, "kitchen": kitchen, "keep": keep,
            "and_keep": keep.replace("?", "&"), "nav": () if locked else self._menu(request),
            "live": self.state_now() if self.live(request) and not locked else "",
            "every": LOOK_EVERY_SECONDS,
            "here": request.url.path,
            "kitchen_name": kitchen or ("All kitchens" if self.desk.office else site.kitchen.name),
            "token": self.sessions.form_token(request.state.form_cookie, request.state.session), "done": "",
            "head": None if locked else self.head(),
            "signed_in": request.state.signed_in, "pin_set": request.state.pin_set, "who": who,
            "may": (lambda right: who.may(right)) if who else (lambda right: True), "kitchens": (),
            "trouble": "" if locked else self.trouble(), "alarm_title": TITLE,
            "night": None if locked else self.night, "what_to_do": WHAT_TO_DO,
            "in_force": self.in_force, "can_say": self.talk is not None,
            "proof": None if locked or (self.desk.office and not kitchen) else self.proof.look(kitchen),
        }  # fmt: skip
        text = self._templates[language].get_template(f"{name}.html").render({**common, **values})
        return HTMLResponse(text, status_code=status)

    def language(self, request: Request) -> str:
        """Return the language of a page: what this browser chose, else the kitchen's own."""
        chosen = request.cookies.get(LANGUAGE_COOKIE, "")
        return chosen if chosen in texts.LANGUAGES else self.desk.site.kitchen.language

    def _menu(self, request: Request) -> tuple[tuple[str, str], ...]:
        who = request.state.who
        return tuple(
            each for each in NAV if each[0] != "/say" or (self.talk and (who is None or who.may("tell")))
        )

    def live(self, request: Request) -> bool:
        """Whether a page notices new entries by itself."""
        return not self.desk.office and request.method == "GET" and request.url.path in LIVE

    def state_now(self) -> str:
        """Return what is another once a page would show something new."""
        now = self.desk.clock.now()
        return f"{self.head()} {now:%Y-%m-%d %H}:{now.minute // 5}"

    def head(self) -> Head | None:
        """Return the chain head for the foot of every page; none for many kitchens or an unreadable log."""
        if self.desk.office:
            return None
        try:
            with self.desk.views() as views:
                return views.head()
        except KitchenError:
            return None

    def trouble(self) -> str:
        """Say what keeps the log from being written: as it is now, or as the last form found it."""
        now = self.desk.trouble()
        if not now:
            self.refused_write = ""
        return now or self.refused_write

    def refuse(self, request: Request, status: int, sentence: str) -> HTMLResponse:
        """Return a page with one clear sentence."""
        title = TITLES.get(status, TITLES[400])
        return self.show(request, "fault", status=status, title=title, sentence=shown.capital(sentence))

    def fault(self, request: Request, error: KitchenError) -> HTMLResponse:
        """Return the page for an error that knows how to speak."""
        sentence = str(error) if str(error).endswith((".", "?")) else f"{error}."
        return self.refuse(request, 400 if error.exit_code == 2 else 500, sentence)
