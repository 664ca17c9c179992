"""Wires across every way by which a text could become something that is called."""

from __future__ import annotations

import builtins
import importlib
import os
import subprocess
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from unittest.mock import patch

import tripwire_target

WIRES: tuple[tuple[object, str], ...] = (
    (os, "system"),
    (os, "popen"),
    (os, "abort"),
    (os, "_exit"),
    (os, "execv"),
    (os, "getcwd"),
    (subprocess, "Popen"),
    (subprocess, "run"),
    (importlib, "import_module"),
    (builtins, "eval"),
    (builtins, "exec"),
    (builtins, "compile"),
    (tripwire_target, "fire"),
)
"""What is called by nothing that runs a procedure."""


def _wire(name: str, touched: list[str]) -> Callable[..., None]:
    def touch(*given: object, **named: object) -> None:
        del given, named
        touched.append(name)

    return touch


def _import_wire(touched: list[str]) -> Callable[..., object]:
    """An `import` in a source says from where; a call with a name, as one made of a text, does not."""
    real = builtins.__import__

    def touch(name: str, globals: object = None, *rest: object) -> object:  # noqa: A002 - the builtin's own word
        if globals is None:
            touched.append(f"__import__ {name}")
        return real(name, globals, *rest)  # type: ignore[arg-type] # handed on as it came

    return touch


@contextmanager
def armed() -> Iterator[list[str]]:
    """Inside, what is touched is noted and not done; the list is filled to the end."""
    touched: list[str] = []
    with ExitStack() as stack:
        for holder, name in WIRES:
            stack.enter_context(patch.object(holder, name, _wire(name, touched)))
        stack.enter_context(patch.object(builtins, "__import__", _import_wire(touched)))
        yield touched
