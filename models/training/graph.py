"""Write the decoding graph: python graph.py MODEL_FOLDER --words words.txt --text sentences.txt

graph/HCLr.fst (all words in a loop, each a chain of phones with optional blanks; [unk] is any phone string), graph/Gr.fst
(back-off bigram over the sentences), graph/words.txt and an empty disambig_tid.int. With these the library takes phrases
at run time: KaldiRecognizer(model, 16000, '["walk in", "[unk]"]'). Plain OpenFst `vector` files, written directly.
"""

from __future__ import annotations

import argparse
import collections
import math
import pathlib
import struct

from phones import PHONES, pronunciations

Arc = tuple[int, int, float, int]  # input label, output label, cost, next state
BLANK = 1  # as a phone number; phone k of PHONES is k + 2


class Fst:
    def __init__(self) -> None:
        self.arcs: list[list[Arc]] = []
        self.final: dict[int, float] = {}

    def state(self) -> int:
        self.arcs.append([])
        return len(self.arcs) - 1

    def arc(self, source: int, label: int, out: int, cost: float, target: int) -> None:
        self.arcs[source].append((label, out, cost, target))

    def write(self, path: pathlib.Path, by_output: bool) -> None:
        """OpenFst's binary `vector` format over the tropical semiring, arcs sorted by output or input label."""
        name = lambda s: struct.pack("<i", len(s)) + s  # noqa: E731
        head = struct.pack("<i", 2125659606) + name(b"vector") + name(b"standard")
        parts = [head + struct.pack("<iiQqqq", 2, 0, 3, 0, len(self.arcs), sum(map(len, self.arcs)))]
        for s, arcs in enumerate(self.arcs):
            parts.append(struct.pack("<fq", self.final.get(s, math.inf), len(arcs)))
            parts += [
                struct.pack("<iifi", *a) for a in sorted(arcs, key=lambda a: (a[1], a[0]) if by_output else a)
            ]
        path.write_bytes(b"".join(parts))


def leave(phone: int) -> int:
    return 2 * phone


def stay(phone: int) -> int:
    return 2 * phone - 1


def spelled(ids: dict[str, int], unk_phone: float) -> Fst:
    """Words in a loop. Words share nothing: each word label must sit on its first phone for run-time composition."""
    h = Fst()
    start, loop, gap = h.state(), h.state(), h.state()
    h.final[start] = h.final[loop] = 0.0
    h.arc(start, 0, 0, 0.0, loop)
    h.arc(start, leave(BLANK), 0, 0.0, gap)
    h.arc(gap, stay(BLANK), 0, 0.0, gap)
    h.arc(gap, 0, 0, 0.0, loop)

    def phone(source: int, p: int, out: int, cost: float, target: int) -> None:
        x = h.state()
        h.arc(source, leave(p), out, cost, x)
        h.arc(x, stay(p), 0, 0.0, x)
        h.arc(x, 0, 0, 0.0, target)
        blank = gap if target == loop else h.state()
        if blank != gap:
            h.arc(blank, stay(BLANK), 0, 0.0, blank)
            h.arc(blank, 0, 0, 0.0, target)
        h.arc(x, leave(BLANK), 0, 0.0, blank)

    for word, number in ids.items():
        if word in ("<eps>", "[unk]"):
            continue
        for spoken in pronunciations(word):
            chain, at = [PHONES.index(p) + 2 for p in spoken.split()], loop
            for k, p in enumerate(chain):
                to = loop if k == len(chain) - 1 else h.state()
                phone(at, p, number if k == 0 else 0, 0.0, to)
                at = to
    inside, end = h.state(), h.state()
    for p in range(2, len(PHONES) + 2):
        phone(loop, p, ids["[unk]"], unk_phone, end)
        phone(inside, p, 0, unk_phone, end)
    h.arc(end, 0, 0, 0.0, inside)
    h.arc(end, 0, 0, 0.0, loop)
    return h


def bigram(sentences: list[list[str]], ids: dict[str, int], unk: float) -> Fst:
    """Back-off bigram with absolute discounting (0.5); every word may also be followed by [unk] at cost `unk`."""
    after: dict[str, collections.Counter[str]] = collections.defaultdict(collections.Counter)
    alone: collections.Counter[str] = collections.Counter()
    for sentence in sentences:
        for here, then in zip(["<s>", *sentence], [*sentence, "</s>"], strict=True):
            after[here][then] += 1
            alone[then] += 1
    total, g = sum(alone.values()), Fst()
    state = {"<s>": g.state(), "": g.state()}
    for word in alone:
        if word != "</s>":
            state[word] = g.state()

    def follow(source: int, then: str, p: float) -> None:
        if then == "</s>":
            g.final[source] = -math.log(p)
        else:
            g.arc(source, ids[then], ids[then], -math.log(p), state[then])

    for here, counts in after.items():
        n = sum(counts.values())
        share = 0.5 * len(counts) / n
        for then, k in counts.items():
            follow(state[here], then, (k - 0.5) / n + share * alone[then] / total)
        g.arc(state[here], 0, 0, -math.log(share), state[""])
    for then, k in alone.items():
        follow(state[""], then, k / total)
    g.arc(state[""], ids["[unk]"], ids["[unk]"], unk, state[""])
    return g


def main() -> None:
    p = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    p.add_argument("folder", type=pathlib.Path)
    p.add_argument(
        "--words", type=pathlib.Path, required=True, help="one word a line: all that may ever be listened for"
    )
    p.add_argument("--text", type=pathlib.Path, required=True, help="sentences for the default bigram")
    p.add_argument("--unk", type=float, default=6.0, help="cost of [unk] in the default bigram")
    p.add_argument("--unk-phone", type=float, default=1.0, help="cost of each phone of [unk]")
    a = p.parse_args()
    listed = sorted(set(a.words.read_text(encoding="utf-8").split()))
    ids = {w: i for i, w in enumerate(["<eps>", *listed, "[unk]"])}
    sentences = [
        s.split() for s in a.text.read_text(encoding="utf-8").splitlines() if all(w in ids for w in s.split())
    ]
    graph = a.folder / "graph"
    graph.mkdir(parents=True, exist_ok=True)
    spelled(ids, a.unk_phone).write(graph / "HCLr.fst", by_output=True)
    bigram(sentences, ids, a.unk).write(graph / "Gr.fst", by_output=False)
    (graph / "disambig_tid.int").write_text("")
    (graph / "words.txt").write_text("".join(f"{w} {i}\n" for w, i in ids.items()), encoding="utf-8")
    print(len(listed), "words,", sum(f.stat().st_size for f in graph.iterdir()) // 1024, "KiB")


if __name__ == "__main__":
    main()
