"""``kitchen completion``: what makes a shell complete the program's commands and options."""

from __future__ import annotations

import click
from click.shell_completion import get_completion_class

from assistant.errors import MissingError

SHELLS = {
    "bash": 'eval "$(kitchen completion bash)"    # a line for ~/.bashrc',
    "zsh": 'eval "$(kitchen completion zsh)"    # a line for ~/.zshrc',
    "fish": "kitchen completion fish | source    # a line for ~/.config/fish/config.fish",
}


@click.command(
    epilog="\b\n" + "\n".join(SHELLS.values()),
)
@click.argument("shell", type=click.Choice(tuple(SHELLS)))
@click.pass_context
def completion(context: click.Context, shell: str) -> None:
    """Print the lines with which a SHELL completes commands and options."""
    made = get_completion_class(shell)
    if made is None:
        raise MissingError(f"The command-line library on this machine knows no completion for {shell}.")
    click.echo(made(context.find_root().command, {}, "kitchen", "_KITCHEN_COMPLETE").source())
