"""The house rules that a machine can see: imports go down only, files stay short, the core stays light."""

from __future__ import annotations

import ast
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SOURCES = sorted(path for top in ("assistant", "intents", "models") for path in (ROOT / top).rglob("*.py"))
LAYERS = {
    "rules": 0,
    "intents": 1,
    "logbook": 2,
    "audio": 2,
    "speech": 2,
    "models": 2,
    "dialogue": 3,
    "manager": 3,
}
"""Imports may go to the same or a lower layer of another part; the doors above may import everything."""


TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "LICENSE", "NOTICE", "pyproject.toml", "uv.lock",
    "assistant", "intents", "models", "tests", "audio_fixtures",
}  # fmt: skip
"""What lies at the top, beside what begins with a dot."""


def test_nothing_else_lies_at_the_top() -> None:
    """A new thing finds its home in one of the folders."""
    if shutil.which("git") is None:
        pytest.skip("git is not installed: what was made there cannot be told from what belongs there")
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False).stdout
    top = {line.partition("/")[0] for line in listed.splitlines()} or {path.name for path in ROOT.iterdir()}
    assert {name for name in top if not name.startswith(".")} <= TOP_LEVEL


def part_of(module: str) -> str:
    """Return the part of the house that a module belongs to, or an empty string for the doors."""
    words = module.split(".")
    name = words[1] if words[0] == "assistant" and len(words) > 1 else words[0]
    return name if name in LAYERS else ""


def imports_of(path: Path) -> list[str]:
    """Return the full names of all modules that a file imports, those for type checks included."""
    found: list[str] = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found += [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            found += [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
    return found


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_imports_go_down_only(path: Path) -> None:
    """No part imports a part above it, and nothing imports the command line."""
    part = part_of(".".join(path.relative_to(ROOT).with_suffix("").parts))
    for name in imports_of(path):
        if path.name != "cli.py" and "installed" not in path.parts:  # what is installed starts it
            assert not name.startswith(("assistant.cli", "assistant.door")), f"{path} imports the door {name}"
        other = part_of(name)
        if part and other and other != part:
            assert LAYERS[other] < LAYERS[part] or {part, other} <= {"audio", "speech", "models"}, (
                f"{path.relative_to(ROOT)} ({part}) imports {name} ({other})"
            )
        if part and name.startswith("assistant.") and not other:
            assert name.split(".")[1] in ("errors", "site"), (
                f"{path.relative_to(ROOT)} imports the door {name}"
            )


@pytest.mark.parametrize(
    "path", sorted((ROOT / "assistant" / "rules").rglob("*.py")), ids=lambda path: path.name
)
def test_rules_import_only_the_standard_library(path: Path) -> None:
    """The rules core imports nothing but the standard library, pydantic and itself."""
    for name in imports_of(path):
        top = name.split(".")[0]
        assert top in sys.stdlib_module_names or top == "pydantic" or name.startswith("assistant.rules"), name


def names_in(node: ast.AST) -> set[str]:
    """Return every name, attribute and import that is written in ``node``."""
    found: set[str] = set()
    for each in ast.walk(node):
        if isinstance(each, ast.Name):
            found.add(each.id)
        elif isinstance(each, ast.Attribute):
            found.add(each.attr)
        elif isinstance(each, ast.alias):
            found.add(each.name)
    return found


def test_every_rule_is_reached_from_outside() -> None:
    """No public function of the rules is there for its tests only: the program calls it or its caller."""
    rules = ROOT / "assistant" / "rules"
    trees = {path: ast.parse(path.read_text(encoding="utf-8")) for path in SOURCES}
    functions: dict[str, list[ast.AST]] = {}
    reached: set[str] = set()
    for path, tree in trees.items():
        if rules not in path.parents:
            reached |= names_in(tree)
            continue
        for node in tree.body:
            if isinstance(node, ast.FunctionDef):
                functions.setdefault(node.name, []).append(node)
            elif not isinstance(node, ast.Import | ast.ImportFrom):
                reached |= names_in(node)  # what a table or a class of the rules uses
    waiting = [name for name in functions if name in reached]
    while waiting:
        for node in functions[waiting.pop()]:
            new = {name for name in names_in(node) if name in functions} - reached
            reached |= new
            waiting += new
    unreached = sorted(name for name in functions if name not in reached and not name.startswith("_"))
    assert not unreached, f"no answer calls {unreached}"


@pytest.mark.parametrize(
    "path", [*SOURCES, *sorted((ROOT / "tests").rglob("*.py"))], ids=lambda path: str(path.relative_to(ROOT))
)
def test_files_stay_short(path: Path) -> None:
    """No file passes 400 lines."""
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400


def test_a_typed_question_loads_no_sound_library() -> None:
    """Asking by text pays for no recogniser, no sound library and no database server client."""
    code = "import sys, assistant.door, assistant.dialogue.deciding; print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT
    ).stdout
    heavy = {
        "vosk",
        "sounddevice",
        "pyttsx3",
        "psycopg",
        "fpdf",
        "starlette",
    }
    assert not heavy & set(loaded.split())


def test_the_program_starts_before_it_loads_anything() -> None:
    """Ctrl-C has its handler before any library is loaded: only the standard library is needed."""
    code = "import sys, assistant.cli; print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-I", "-c", f"import sys; sys.path.insert(0, {str(ROOT)!r}); {code}"],
        capture_output=True, text=True, check=True,
    ).stdout.split()  # fmt: skip
    ours = {name for name in loaded if name.startswith(("assistant", "intents", "models"))}
    assert ours == {"assistant", "assistant.cli", "assistant.errors"}
    assert not {"click", "pydantic", "numpy", "platformdirs"} & set(loaded)
