"""What the intents' tables teach the net, as plain words to be spoken: python kitchen_talk.py ../../intents/en OUT.txt"""

from __future__ import annotations

import pathlib
import re
import sys
import tomllib

KINDS = ("said", "said_unsafe")
LETTERS = "a-záéíóúüñ"


def plain(text: str) -> str:
    """Words only, lower case: roles ("[at: ten to two]") and marks gone; nothing where a figure stands."""
    text = re.sub(r"\[\w+: ([^\[\]]*)\]", r"\1", text)
    if re.search(r"[\d\[\]]", text):
        return ""
    return " ".join(re.findall(rf"[{LETTERS}']+", text.lower().replace("’", "'").replace("-", " ")))


def taught(folder: pathlib.Path) -> list[str]:
    """Examples and all sentences under the kinds of saying, each once, in the order of the files."""
    found: dict[str, None] = {}
    for path in sorted(folder.rglob("*.toml")):
        table = tomllib.loads(path.read_text(encoding="utf-8"))
        rows = [row.get("say", "") if isinstance(row, dict) else row for row in table.get("examples", [])]
        for kind in KINDS:
            for lines in table.get(kind, {}).values():
                rows += lines
        found |= {said: None for row in rows if (said := plain(str(row))) and 1 <= said.count(" ") + 1 <= 24}
    return list(found)


if __name__ == "__main__":
    rows = taught(pathlib.Path(sys.argv[1]))
    pathlib.Path(sys.argv[2]).write_text("\n".join(rows) + "\n", encoding="utf-8")
    print(len(rows), "sentences")
