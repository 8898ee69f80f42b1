"""The hands-free kitchen assistant: ask and report by voice, offline, with gloves on."""

__version__ = "0.1.0"
