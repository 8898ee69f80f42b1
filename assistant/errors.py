"""Errors that know how to speak to a person and which exit code they end with."""

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
