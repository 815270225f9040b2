"""An option that holds one value may be given once: the last of two would win without a word."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from typer._click.exceptions import UsageError
from typer.core import TyperCommand, TyperOption

if TYPE_CHECKING:
    from typer._click import Context


class OnceCommand(TyperCommand):
    """A command that refuses an option with a value that is given twice."""

    def parse_args(self, ctx: Context, args: list[str]) -> list[str]:
        """Read the arguments of a call.

        Raises UsageError if an option of which one value counts is given more than once.
        """
        _, _, given = self.make_parser(ctx).parse_args(args=list(args))
        for option, n_times in Counter(given).items():
            if n_times > 1 and isinstance(option, TyperOption) and not option.multiple:
                _refuse_if_valued(option, ctx)
        return super().parse_args(ctx, args)


def _refuse_if_valued(option: TyperOption, ctx: Context) -> None:
    if option.is_flag or option.count:
        return
    name = option.opts[0]
    lists = option.metavar == "LIST"
    hint = f"write all of them once, for example {name} a,b" if lists else "leave one of them out"
    message = f"‘{name}’ is given more than once, and only the last would count: {hint}."
    raise UsageError(message, ctx)
