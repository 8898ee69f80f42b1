"""Who is speaking: known names only, until signed out or the local day ends; and what is said with it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from assistant.dialogue import notes
from assistant.dialogue.answer import Answer, Request
from assistant.dialogue.conversation import Conversation
from assistant.dialogue.hearing import Heard
from assistant.dialogue.moments import shown_time
from assistant.dialogue.outcome import Outcome
from assistant.dialogue.record import withdrawn
from assistant.dialogue.slots import Slots
from assistant.dialogue.talking import talks
from assistant.logbook.entry import Draft
from assistant.logbook.query import Filter
from assistant.logbook.views import Views
from intents.lexicon import Lexicon
from intents.mentions import Understanding

OUT, ON = "signed out", "on"
SIGN_IN, UNSURE, ILL = "sign_in", "unsure", "ill_worker"
OFF_FOOD = "no work with food until cleared"
"""What is noted of a worker who was told to be ill: not what the illness is."""
_SURELY = 0.6
"""From this share on the rest of a breath that signs in is answered (judgement)."""


def person_now(talk: Conversation) -> str:
    """Return who is signed in: nobody once the local day of the sign-in is over."""
    state = talk.state
    if not state.person or state.signed_in_at is None:
        return state.person
    return state.person if state.signed_in_at.date() == talk.clock.now().date() else ""


def signed_in_before(views: Views, now: datetime) -> tuple[str, datetime | None]:
    """Return who was signed in last today and not out again, and when: for going on after a restart."""
    line = views.latest(replace(Filter.on(now.date()), kinds=("sign_in",), standing_only=True))
    if line is None or line.entry.note == OUT:
        return "", None
    return line.entry.subject, datetime.fromisoformat(line.entry.at_local)


@talks("who_am_i")
def who(talk: Conversation, request: Request) -> Outcome:
    """Tell whose name the entries get."""
    name = request.person
    today = replace(Filter.on(request.now.date()), kinds=("sign_in", "event"), standing_only=True)
    lines = [line for line in talk.log.views.each(today) if line.entry.person == line.entry.subject]
    others = {line.entry.subject: line.entry.note for line in lines if line.entry.note in ("", ON, OUT)}
    on = [other for other, note in others.items() if note == ON and other != name]
    reply = Answer("nobody_but" if on else "nobody", {"list": ", ".join(on)})
    if name:
        since = [line for line in lines if line.entry.kind == "sign_in" and line.entry.subject == name]
        at = datetime.fromisoformat(since[-1].entry.at_local) if since else request.now
        told = {"name": name, "time": shown_time(at), "list": ", ".join(on)}
        reply = Answer("name_and" if on else "name", told)
    return Outcome(reply, "who_am_i", keep_context=True)


@talks("sign_in")
def overheard(talk: Conversation, request: Request) -> Outcome | None:
    """Sign nobody in by overheard words of a third person: "her name's Imani, she starts Monday".

    Nor by the name of who the speaker is on with, which is noted.
    """
    read = request.slots.heard
    people = read.names.get("person", ()) if read is not None else ()
    if read is None or not people:
        return None
    if {*read.words[people[0].start - 1 : people[0].start]} & talk.interpreter.lexicon.list("deed_along"):
        beside = notes.alone(talk, notes.of(talk, " ".join(read.words))) if talk.addressed else None
        return beside or Outcome(None, SIGN_IN)
    if talk.addressed:
        return None
    before = {*read.words[: people[0].start]}
    return Outcome(None, SIGN_IN) if before & talk.interpreter.lexicon.list("third_person") else None


@talks("sign_out")
def sign_out(talk: Conversation, request: Request) -> Outcome:
    """Sign out; the entries that follow are unsigned."""
    name = request.person
    if not name:
        return Outcome(Answer("nobody"), "sign_out", keep_context=True)
    draft = Draft(kind="sign_in", subject=name, person=name, note=OUT)
    changes = {"person": "", "signed_in_at": None}
    return Outcome(Answer("out", {"name": name}), "sign_out", own_drafts=(draft,), changes=changes)


def coming_on(talk: Conversation, heard: Heard) -> Outcome | None:
    """Take "Rosa here, we start the opening": a sign-in, and what the same breath says else under that name.

    Of somebody else ("Rosa arrives", "put Amit and Teddy on") it is only noted that they are on.
    """
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    people, opened = read.names.get("person", ()), _greeted(read.words, lexicon)
    if not people:
        return _unknown(talk, heard, opened) if talk.addressed and not read.asks else None
    if talk.addressed and (anothers := _anothers_name(talk, heard)) is not None:
        return anothers
    if talk.addressed and (others := _others(read, opened, lexicon)):
        drafts = tuple(Draft(kind="event", subject=name, person=name, note=ON) for name in others)
        return Outcome(Answer("on", {"list": ", ".join(others)}), SIGN_IN, own_drafts=drafts)
    end, name = _introduced(read, opened, lexicon), people[0].value
    if not end:
        return None
    if end == len(read.words):
        return talk.ask(talk.request(SIGN_IN, Slots.of(read)))
    rest = replace(heard, interpretation=talk.interpreter.interpret(read.part(range(end, len(read.words)))))
    if not (talk.addressed or (read.measures and rest.interpretation.readings.options)):
        return None
    second = _said_too(talk, rest)
    sign_in = Draft(kind="sign_in", subject=name, person=name)
    drafts = tuple(draft.model_copy(update={"person": name}) for draft in second.drafts)
    answer = second.answer or Answer("hello", {"name": name})
    answer = replace(answer, drafts=())
    return replace(
        second, answer=answer, text=f"{name}. {talk.rendered(second)}", own_drafts=(sign_in, *drafts)
    )


def _anothers_name(talk: Conversation, heard: Heard) -> Outcome | None:
    """Take "his name's Curtis", which signs nobody in: of a sick worker spoken of just before, or a note."""
    read, lexicon = heard.interpretation.heard, talk.interpreter.lexicon
    last, denying = talk.state.last_request, lexicon.list("denying")
    of_ill = last is not None and last.intent == ILL and talk.state.recent(talk.clock.now())
    wrong = [line for line in talk.standing if line.entry.note == OFF_FOOD]
    denied = [p for p in read.names["person"] if {*read.words[max(0, p.start - 1) : p.start]} & denying]
    person = next((p for p in read.names["person"] if p not in denied), None)
    if person is None or read.asks:
        return None
    before = read.words[: person.start]
    opened = bool({*before} & lexicon.list("correction_openers")) or bool(denied)
    instead = of_ill and opened and any(line.entry.subject != person.value for line in wrong)
    if not (instead or lexicon.says(before, "name_told") or lexicon.says(before, "anothers_name")):
        return None
    if of_ill:
        gone = tuple(map(withdrawn, wrong if instead else ()))
        draft = Draft(kind="event", subject=person.value, note=OFF_FOOD)
        sources = talk.state.last_answer.sources if talk.state.last_answer is not None else ()
        other = ", ".join(draft.subject for draft in gone)
        reply = "named_instead" if gone else "named"
        named = Answer(reply, {"name": person.value, "other": other}, sources)
        return Outcome(named, ILL, last, own_drafts=(*gone, draft))
    theirs = lexicon.says(before, "anothers_name")
    return notes.alone(talk, notes.of(talk, " ".join(read.words))) if theirs else None


def _said_too(talk: Conversation, rest: Heard) -> Outcome:
    """Return what is done with the rest of the breath; who takes over hears what waits."""
    outcome, said = talk.again(rest), f" {' '.join(rest.interpretation.heard.words)} "
    sure = rest.interpretation.meaning.best.share >= _SURELY and outcome.intent != UNSURE
    if outcome.drafts or outcome.readings or (sure and outcome.answer is not None):
        return outcome
    if any(f" {phrase} " in said for phrase in talk.interpreter.lexicon.list("takes_over")):
        return talk.ask(talk.request("round_left", Slots()))
    return Outcome(None, SIGN_IN, text=talk.words("yours_now"))


def _introduced(read: Understanding, opened: int, lexicon: Lexicon) -> int:
    """Return where "this is Dev" or "Dev here" ends behind a greeting, 0 for anything else."""
    person = read.names["person"][0]
    told = (s for s in read.concepts if s.value == "this_is" and s.start == opened)
    if any(s.end == person.start for s in told):
        return person.end
    here = _begins(read.words[person.end :], lexicon.list("here"))
    return person.end + here if here and person.start == opened else 0


def _greeted(words: tuple[str, ...], lexicon: Lexicon) -> int:
    """Return how many words of greeting stand first ("okay good morning")."""
    at = 0
    small = lexicon.list("greetings") | lexicon.list("hesitating")
    while at < len(words) and (n := _begins(words[at:], small)):
        at += n
    return at


def _begins(words: tuple[str, ...], phrases: frozenset[str]) -> int:
    """Return how many words the longest of ``phrases`` takes with which ``words`` begin, 0 for none."""
    most = min(len(words), max((len(phrase.split()) for phrase in phrases), default=0))
    return next((n for n in range(most, 0, -1) if " ".join(words[:n]) in phrases), 0)


def _others(read: Understanding, opened: int, lexicon: Lexicon) -> tuple[str, ...]:
    """Return who is on by the words of somebody else: "rosa arrives", "put amit and teddy on"."""
    people = read.names["person"]
    alone = not read.free_measures and not read.names.get("equipment") and not read.names.get("food")
    who, behind = people[-1], read.words[people[-1].end :]
    comes = _begins(behind, lexicon.list("arrives"))
    joined = bool({*read.words[who.start - 1 : who.start]} & lexicon.list("list_joins"))
    first = who.start == opened or (alone and joined and len(people) == 1)  # "he's off, and rosa is on"
    if first and comes and {*behind[comes:]} <= lexicon.list("on_instead"):
        return (who.value,)
    at, found = opened + _begins(read.words[opened:], lexicon.list("puts_on")), list[str]()
    for person in people if at > opened else ():
        joined = read.words[at : at + 1] != () and read.words[at] in lexicon.list("list_joins")
        if person.start != at + joined or joined != bool(found):
            break  # "put amit and teddy, rosa she comes at two"
        found.append(person.value)
        at = person.end
    return tuple(found) if alone else ()  # "put Dev on, and the walk-in is thirty eight"


def _unknown(talk: Conversation, heard: Heard, opened: int) -> Outcome | None:
    """Tell "bob on nights" that the name is not known here, and do what else is said."""
    read = heard.interpretation.heard
    words = read.words[opened:]
    shift = _begins(words[1:], talk.interpreter.lexicon.list("on_shift"))
    if not shift:
        return None
    said = talk.ask(talk.request("sign_in_unknown", Slots()))
    rest = range(opened + 1 + shift, len(read.words))
    if not rest:
        return said
    second = talk.again(replace(heard, interpretation=talk.interpreter.interpret(read.part(rest))))
    text = f"{talk.rendered(said)} {talk.rendered(second)}"
    return replace(second, text=text) if second.drafts or second.readings else said
