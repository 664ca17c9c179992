"""What stops a walk."""

from __future__ import annotations


class Stumble(Exception):  # noqa: N818 - the walk stumbles, nothing is broken
    """An act that cannot be done, or an expectation that is not met. `inside`: where in the file."""

    def __init__(
        self, code: str, message: str, help_: str, inside: tuple[str | int, ...] | None = None
    ) -> None:
        super().__init__(message)
        self.code = code
        self.message = message
        self.help = help_
        self.inside = inside
