"""Prints what an environment takes on disk, and what its packages were to download, by the lock file's sizes.

    python .ci/bare_sizes.py ENVIRONMENT UV_LOCK

Knows nothing but the standard library: it runs on a bare machine.
"""

import sys
import tomllib
from pathlib import Path


def tags(metadata: Path) -> set[str]:
    """Return the wheel tags of an installed package."""
    lines = (metadata / "WHEEL").read_text(encoding="utf-8").splitlines()
    return {line.removeprefix("Tag: ").strip() for line in lines if line.startswith("Tag: ")}


def wheel_tags(url: str) -> set[str]:
    """Return every tag that a wheel's file name stands for."""
    python, abi, platform = url.rsplit("/", 1)[-1].removesuffix(".whl").split("-")[-3:]
    return {f"{p}-{a}-{m}" for p in python.split(".") for a in abi.split(".") for m in platform.split(".")}


def main() -> None:
    """Print one line."""
    environment, lock = Path(sys.argv[1]), Path(sys.argv[2])
    locked = {
        (package["name"].replace("-", "_").lower(), package["version"]): package.get("wheels", [])
        for package in tomllib.loads(lock.read_text(encoding="utf-8"))["package"]
    }
    count = download = 0
    for metadata in environment.glob("lib/python*/site-packages/*.dist-info"):
        name, version = metadata.name.removesuffix(".dist-info").rsplit("-", 1)
        wheels = locked.get((name.replace(".", "_").lower(), version), [])
        sizes = [wheel["size"] for wheel in wheels if tags(metadata) & wheel_tags(wheel["url"])]
        count += bool(sizes)
        download += min(sizes, default=0)
    files = {
        (f.stat().st_dev, f.stat().st_ino): f.stat().st_blocks for f in environment.rglob("*") if f.is_file()
    }
    installed = sum(files.values()) * 512
    print(f"{count} packages, download {download / 1e6:.0f} MB, installed {installed / 1e6:.0f} MB,", end=" ")


if __name__ == "__main__":
    main()
