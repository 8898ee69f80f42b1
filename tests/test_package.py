"""What is installed: small, whole, with every licence named, and quick to say what it can do."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import sysconfig
import time
import tomllib
import urllib.error
import urllib.request
import zipfile
from pathlib import Path

import pytest
from click.testing import CliRunner

from assistant.commands import COMMANDS
from assistant.commands.demo import YES
from assistant.door import kitchen

INSIDE = "kitchen_assistant/program"
ROOT = Path(__file__).resolve().parents[1]
LOCK = tomllib.loads((ROOT / "uv.lock").read_text("utf-8"))
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]


def needed() -> set[str]:
    """Return every package that the program and its extras bring, on any machine of the lock."""
    packages = {package["name"]: package for package in LOCK["package"]}
    seen: set[tuple[str, str]] = set()
    todo = [("kitchen-assistant", ""), ("kitchen-assistant", "office")]
    while todo:
        name, extra = key = todo.pop()
        if key in seen:
            continue
        seen.add(key)
        package = packages[name]
        lists = (
            package.get("optional-dependencies", {}).get(extra, [])
            if extra
            else package.get("dependencies", [])
        )
        todo += [(each["name"], more) for each in lists for more in ("", *each.get("extra", []))]
    return {name for name, _ in seen} - {"kitchen-assistant"}


def test_every_package_is_in_the_notice() -> None:
    """Each by its name at the beginning of a line, with a licence behind it; and none that is gone."""
    text = (ROOT / "NOTICE").read_text("utf-8")
    lines = text.split("\n--------------------", 1)[1].split("\n\n", 1)[0].splitlines()[1:]
    named = {line[:22].strip(): line[22:52].strip() for line in lines}
    assert set(named) == needed()
    assert all(named.values())


@pytest.mark.parametrize("python", ["3.11", "3.12", "3.13", "3.14"])
@pytest.mark.parametrize("machine", ["linux x86_64", "linux aarch64", "win amd64"])
def test_nothing_is_compiled(python: str, machine: str) -> None:
    """Each package of the lock has a wheel for every promised Python on each machine of the README's table.

    A package without one is built from source, and fails where there is no compiler. On 64-bit Intel and
    AMD Linux, where the tests run, this is so for the tests' packages, too.
    """
    tags = (f"-cp{python.replace('.', '')}-", "-py3-none-", "-py2.py3-none-", "-abi3-")
    system, _, processor = machine.partition(" ")
    looked_at = None if machine == "linux x86_64" else needed()
    wheels: dict[str, list[str]] = {}
    for package in LOCK["package"]:  # one that has dropped an old Python stands here in two versions
        found = [wheel["url"].rpartition("/")[2] for wheel in package.get("wheels", [])]
        if "registry" in package["source"] and (looked_at is None or package["name"] in looked_at):
            wheels.setdefault(package["name"], []).extend(found)
    for name, files in wheels.items():
        if name not in (*(WINDOWS_ONLY if system == "linux" else LINUX_ONLY), *PURE):
            fitting = [file for file in files if any(tag in file for tag in tags)]
            usable = [
                file for file in fitting if "-any.whl" in file or (system in file and processor in file)
            ]
            assert usable, f"{name} has no wheel for Python {python} on {machine}: {files}"


def test_why_there_is_no_musl() -> None:
    """The README names the packages without a wheel for Alpine: all of them, and none that has one."""
    wheels = {
        package["name"]: [wheel["url"] for wheel in package["wheels"]]
        for package in LOCK["package"]
        if package["name"] in needed() - set(WINDOWS_ONLY) and package.get("wheels")
    }
    lacking = {
        name
        for name, urls in wheels.items()
        if not any("-any.whl" in url or ("musllinux" in url and "x86_64" in url) for url in urls)
    }
    readme = (ROOT / "README.md").read_text("utf-8")
    (row,) = (line for line in readme.splitlines() if line.startswith("| Linux with musl"))
    assert lacking == {name for name in wheels if name in row.lower()}


PURE = ("docopt", "srt")
"""Published as source only, and pure Python: building them compiles nothing."""
WINDOWS_ONLY = ("pywin32", "comtypes", "pypiwin32", "colorama")
LINUX_ONLY = ("espeakng-loader",)


def test_the_list_of_commands_says_what_each_command_says() -> None:
    """The lines that stand there so that nothing is loaded are the first of each command's own help."""
    for name, entry in COMMANDS.items():
        said = (entry.load(name).help or "").split("\n\n")[0].replace("\n", " ")
        assert said.startswith(entry.about.rstrip(".")), name
    shown = CliRunner().invoke(kitchen, ["--help"]).output
    assert all(name in shown for name in COMMANDS)


def test_help_loads_nothing_heavy() -> None:
    """The list of commands costs no more than the command-line library."""
    code = (
        "import sys, assistant.door as d\n"
        "try: d.run(['--help'])\n"
        "except SystemExit: print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    heavy = {"numpy", "pydantic", "rich", "starlette", "ctranslate2", "sounddevice", "assistant.dialogue"}
    assert not heavy & set(done.stderr.split())


def test_the_version_comes_from_one_place() -> None:
    """``kitchen --version`` and the project's file agree."""
    assert PROJECT["version"] in CliRunner().invoke(kitchen, ["--version"]).output
    assert f"## {PROJECT['version']}" in (ROOT / "assistant/CHANGELOG.md").read_text("utf-8")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Build the wheel as ``uv build`` does; skips where the build tool cannot be had."""
    target = tmp_path_factory.mktemp("wheel")
    done = subprocess.run(
        ["uv", "build", "--wheel", "-q", "-o", str(target), str(ROOT)], capture_output=True, text=True
    )
    if done.returncode and "Failed to fetch" in done.stderr:
        pytest.skip("needs a package registry, for the tool that builds packages")
    assert done.returncode == 0, done.stderr
    return next(target.glob("*.whl"))


def test_the_wheel_is_whole(wheel: Path) -> None:
    """Types, the demo's clips, the models and the licences are in it; training scripts and tests are not."""
    names = set(zipfile.ZipFile(wheel).namelist())
    inside = {name.removeprefix(f"{INSIDE}/") for name in names}
    scenes = tomllib.loads((ROOT / "assistant" / "commands" / "demo.toml").read_text("utf-8"))["scene"]
    clips = {name for scene in scenes for name in scene["clips"]} | {YES}
    assert {f"assistant/commands/demo_clips/{clip}.flac" for clip in clips} <= inside
    assert {f"{top}/py.typed" for top in ("assistant", "intents", "models")} <= inside
    assert {"models/whisper_kitchen_en/model.bin", "models/kitchen_en/am/final.mdl"} <= inside
    assert any(name.endswith("licenses/NOTICE") for name in names)
    assert not any(name.startswith(("models/training", "tests", "audio_fixtures")) for name in inside)


def test_it_takes_one_name_only(wheel: Path) -> None:
    """Nothing else that is installed may have a folder ``models`` of ours in its way, or we one of its."""
    tops = {name.partition("/")[0] for name in zipfile.ZipFile(wheel).namelist()}
    assert {top for top in tops if not top.endswith(".dist-info")} == {"kitchen_assistant"}


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Install the wheel into an environment of its own beside what it needs; return the ``kitchen`` there.

    Packages with the names of our folders are installed there, too, and fail when they are loaded.
    """
    place = tmp_path_factory.mktemp("installed")
    environment = place / "environment"
    subprocess.run(["uv", "venv", "-q", "--python", sys.executable, str(environment)], check=True)
    folder = environment / ("Scripts" if sys.platform == "win32" else "bin")
    python = folder / "python"
    install = ["uv", "pip", "install", "-q", "--no-deps", "--offline", "--python", str(python), str(wheel)]
    subprocess.run(install, check=True)
    ask = [str(python), "-c", "import sysconfig; print(sysconfig.get_path('purelib'))"]
    packages = Path(subprocess.run(ask, capture_output=True, text=True, check=True).stdout.strip())
    (packages / "needs.pth").write_text(sysconfig.get_path("purelib"), encoding="utf-8")
    _trap(packages)
    return folder / "kitchen"


def _trap(folder: Path) -> None:
    for name in ("assistant", "intents", "models"):
        (folder / f"{name}.py").write_text(f"raise RuntimeError('a foreign {name} was loaded')", "utf-8")


def run(installed: Path, folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    """Run the installed program in a folder, with a home of its own."""
    return subprocess.run(
        [str(installed), *words],
        cwd=folder,
        env=_own_home(folder),
        capture_output=True,
        text=True,
        timeout=300,
    )


def _own_home(folder: Path) -> dict[str, str]:
    taken = ("XDG_", "KITCHEN_", "PYTHON")
    kept = {name: value for name, value in os.environ.items() if not name.startswith(taken)}
    return {**kept, "HOME": str(folder / "home"), "USERPROFILE": str(folder / "home")}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A working folder in which foreign modules lie, of ours and of the standard library."""
    (tmp_path / "home").mkdir()
    _trap(tmp_path)
    for name in ("platform", "queue", "json"):
        (tmp_path / f"{name}.py").write_text(f"raise RuntimeError('{name} of the working folder')", "utf-8")
    return tmp_path


def test_installed_it_hears_its_own_clips(installed: Path, folder: Path) -> None:
    """The demo runs from sound to the log, its children and its voice included."""
    done = run(installed, folder, "--json", "--state", "demo", "demo", "--no-play")
    assert done.returncode == 0, done.stderr
    assert "The log has" in done.stderr
    assert done.stdout.count('"verdict":"pass"') >= 2
    assert list((folder / "demo" / "answers").glob("*.wav")), "no voice spoke"


def test_installed_it_is_asked_and_reports(installed: Path, folder: Path) -> None:
    """A turn, the inspector's record, the card for the wall, and a log at the user's usual place."""
    asked = run(installed, folder, "ask", "walk-in thirty eight")
    assert "Logged: #1" in asked.stdout, asked.stderr
    assert run(installed, folder, "log", "verify").returncode == 0
    for words in (("report", "--pdf", "out.pdf"), ("card", "--pdf", "card.pdf")):
        done = run(installed, folder, *words)
        assert done.returncode == 0, done.stderr
        assert (folder / words[2]).read_bytes().startswith(b"%PDF")
    doctor = run(installed, folder, "doctor")
    assert "recogniser" in doctor.stdout
    assert "fault" not in doctor.stderr


def test_installed_it_shows_the_managers_page(installed: Path, folder: Path) -> None:
    """Until it is told to end."""
    assert run(installed, folder, "ask", "walk-in thirty eight").returncode == 0
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [str(installed), "manager", "--port", str(port)]
    process = subprocess.Popen(
        command,
        cwd=folder,
        env=_own_home(folder),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        end = time.monotonic() + 120
        while True:
            try:
                with urllib.request.urlopen(f"http://127.0.0.1:{port}/log", timeout=30) as page:
                    assert "walk-in" in page.read().decode().lower()
                break
            except (ConnectionError, urllib.error.URLError):
                assert time.monotonic() < end, "the page never came"
                assert process.poll() is None, process.communicate()[0]
                time.sleep(0.2)
    finally:
        process.terminate()
        process.communicate(timeout=60)
