"""An answer is found whichever is asked first, although its module is loaded only then."""

from __future__ import annotations

import subprocess
import sys

import pytest

from assistant.dialogue import answer, answers
from intents.catalogue import load_catalogue


def test_what_a_module_registers_it_names() -> None:
    """Else it would not be found: a module is loaded when the name of an intent stands in it."""
    answers.load_all()
    everything = "\n".join(answers._texts().values())
    assert [intent for intent in answer._FUNCTIONS if f'"{intent}"' not in everything] == []


@pytest.mark.parametrize("last", [False, True])
def test_each_is_found_on_its_own(last: bool) -> None:
    """Loaded one by one, from the first or the last on, each intent has the function that it has with all."""
    code = (
        "import sys\n"
        "from assistant.dialogue import answer, answers\n"
        "names = sys.argv[1:]\n"
        "found = {n: answer.answer_function(n) for n in names}\n"
        "answers.load_all()\n"
        "print([n for n in names if found[n] is not answer._FUNCTIONS.get(n)], len(answer._FUNCTIONS))"
    )
    names = sorted(load_catalogue("en").intents, reverse=last)
    done = subprocess.run([sys.executable, "-c", code, *names], capture_output=True, text=True, check=True)
    answers.load_all()
    assert done.stdout.strip() == f"[] {len(answer._FUNCTIONS)}"


def test_only_what_is_asked_is_loaded() -> None:
    code = (
        "import sys\n"
        "from assistant.dialogue.answer import answer_function\n"
        "assert answer_function('no_such_intent') is None\n"
        "assert answer_function('which_rules') is not None\n"
        "print(*(m for m in sys.modules if m.startswith('assistant.dialogue.answers.')))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["assistant.dialogue.answers.which_rules"]
