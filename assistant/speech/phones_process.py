"""The child process that asks the voice's library how words are said; run by ``assistant.speech.phones``.

It takes one word a line and answers with one line each, in the signs of the International Phonetic
Association. The library is free software under the GPL and stays in a process of its own.
"""

from __future__ import annotations

import ctypes
import sys

_RETRIEVAL, _DONT_EXIT = 1, 0x8000
_UTF8, _IPA = 1, 2
_VOICE = b"en-us"


def main() -> int:
    """Answer until standard input ends; exit with 1 where there is no such library."""
    library = _library()
    if library is None:
        return 1
    library.espeak_TextToPhonemes.restype = ctypes.c_char_p
    for line in sys.stdin:
        text = ctypes.c_char_p(line.strip().encode())
        said: list[bytes] = []
        while text:
            said.append(library.espeak_TextToPhonemes(ctypes.byref(text), _UTF8, _IPA) or b"")
        print(b"".join(said).decode("utf-8", "replace"), flush=True)
    return 0


def _library() -> ctypes.CDLL | None:
    """Return the library, begun: the one that was installed with the program, else the system's."""
    name, data = "libespeak-ng.so.1", None
    try:
        import espeakng_loader

        name, data = espeakng_loader.get_library_path(), espeakng_loader.get_data_path().encode()
    except ImportError:
        pass
    try:
        library = ctypes.CDLL(name)
    except OSError:
        return None
    begun = library.espeak_Initialize(_RETRIEVAL, 0, data, _DONT_EXIT) > 0
    return library if begun and library.espeak_SetVoiceByName(_VOICE) == 0 else None


if __name__ == "__main__":
    sys.stdout.reconfigure(encoding="utf-8")  # type: ignore[union-attr]
    sys.exit(main())
