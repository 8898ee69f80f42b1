"""Errors that know how to speak to a person and which exit code they end with."""

from __future__ import annotations

import errno

STOPPED = 130
"""The exit code of a program that Ctrl-C ended: 128 and the signal's number, as shells have it."""


class KitchenError(Exception):
    """A fault with one clear sentence: what is wrong and what to do.

    ``exit_code`` follows the usual command-line sense: 1 a job that failed, 2 wrong input,
    3 something is missing on this machine, 4 the log cannot be written.
    """

    exit_code = 1


class InputError(KitchenError, ValueError):
    """The person gave something that cannot be used (a file, a word, an option)."""

    exit_code = 2


class MissingError(KitchenError, LookupError):
    """Something the job needs is not on this machine (a model, a device, a library)."""

    exit_code = 3


class LogWriteError(KitchenError, OSError):
    """The log cannot be written; nothing that was accepted before is lost."""

    exit_code = 4


class DamagedLogError(InputError):
    """The log was altered, cut or damaged; the message names the first fault."""

    exit_code = 1


_WORDS = {
    errno.ENOENT: "there is no such file or folder",
    errno.ENOTDIR: "part of its path is a file, not a folder",
    errno.EISDIR: "that is a folder",
    errno.EACCES: "this user has no right to",
    errno.EPERM: "this user has no right to",
    errno.EROFS: "what it lies on is read-only",
    errno.ENOSPC: "the disk is full",
    errno.EDQUOT: "this user's share of the disk is full",
    errno.EFBIG: "it would be too large for the disk",
    errno.EIO: "the disk gives errors",
    errno.ENAMETOOLONG: "the name is too long",
    errno.EADDRINUSE: "another program has it",
    errno.EADDRNOTAVAIL: "this machine has no such address",
    errno.ECONNREFUSED: "nobody answers at that address",
    errno.ENETUNREACH: "this machine is not online",
    errno.EHOSTUNREACH: "that machine is out of reach",
    errno.ECONNRESET: "the other side ended it",
    errno.ETIMEDOUT: "no answer came in time",
}


def in_words(fault: BaseException) -> str:
    """Return why the system refused, in plain words, with nothing of its own wording or numbers."""
    if isinstance(fault, TimeoutError):
        return _WORDS[errno.ETIMEDOUT]
    return _WORDS.get(getattr(fault, "errno", None) or 0, "the system refuses")
