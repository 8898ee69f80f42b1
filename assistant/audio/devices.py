"""The one gate to the PortAudio library: load it, list devices, find one by name."""

from __future__ import annotations

import platform
from dataclasses import dataclass
from types import ModuleType
from typing import Any, Literal

from assistant.audio.quiet_library import keep_quiet
from assistant.errors import InputError, MissingError

CHECK_DEVICE = "close what else uses it, and check its plug and its settings"
"""What to do where a device that is there cannot be opened."""
Direction = Literal["input", "output"]


@dataclass(frozen=True)
class Device:
    """A sound device as the system names it; ``rate`` is its own number of samples a second."""

    index: int
    name: str
    inputs: int
    outputs: int
    rate: int
    default_input: bool = False
    default_output: bool = False


def portaudio() -> ModuleType:
    """Return the sounddevice module. Raises ``MissingError`` where its library is absent."""
    keep_quiet()  # before: loading the library already looks at every device, and has its say
    try:
        import sounddevice
    except (OSError, ImportError):
        fix = "install the package libportaudio2" if platform.system() == "Linux" else "install it again"
        raise MissingError(f"the PortAudio library is not on this machine; {fix}") from None
    return sounddevice  # type: ignore[no-any-return]


def list_devices() -> tuple[Device, ...]:
    """Return all sound devices. Raises ``MissingError`` without the library; none is an empty tuple."""
    module = portaudio()
    try:
        listed = list(module.query_devices())
        default_input, default_output = (int(number) for number in module.default.device)
    except module.PortAudioError:
        return ()
    return tuple(_device(number, facts, default_input, default_output) for number, facts in enumerate(listed))


def find_device(name: str, direction: Direction) -> Device:
    """Return the device with exactly this name, or the default one for an empty name.

    Raises ``InputError`` that lists the names that exist, ``MissingError`` where there is no device.
    """
    usable = [d for d in list_devices() if (d.inputs if direction == "input" else d.outputs) > 0]
    if not usable:
        kind = "microphone" if direction == "input" else "speaker"
        raise MissingError(f"this machine has no {kind}; plug one in")
    if not name:
        default = [d for d in usable if (d.default_input if direction == "input" else d.default_output)]
        return default[0] if default else usable[0]
    for device in usable:
        if device.name == name:
            return device
    names = "; ".join(dict.fromkeys(device.name for device in usable))
    raise InputError(f"no {direction} device is called '{name}'; choose one of: {names}")


def _device(number: int, facts: Any, default_input: int, default_output: int) -> Device:
    return Device(
        number,
        str(facts["name"]),
        int(facts["max_input_channels"]),
        int(facts["max_output_channels"]),
        round(float(facts["default_samplerate"])),
        number == default_input,
        number == default_output,
    )
