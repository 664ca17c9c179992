"""The pages a browser gets: the screen, the question for the token. Nothing in them comes from outside."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cache
from html import escape
from importlib.resources import files
from pathlib import Path

import textual_serve

from trainer.tongue import language as spoken_language
from trainer.tongue import spoken

FRONT = Path(str(files("trainer.serving"))) / "front"
"""Our own style and scripts."""

TERMINAL = Path(textual_serve.__file__).parent / "static"
"""The library's terminal for a browser: script, style and letters, all served from here."""

SERVED = {
    "page.css": FRONT / "page.css",
    "enter.js": FRONT / "enter.js",
    "screen.js": FRONT / "screen.js",
    "textual.js": TERMINAL / "js" / "textual.js",
    "xterm.css": TERMINAL / "css" / "xterm.css",
    "letters.ttf": TERMINAL / "fonts" / "RobotoMono-VariableFont_wght.ttf",
    "letters-italic.ttf": TERMINAL / "fonts" / "RobotoMono-Italic-VariableFont_wght.ttf",
}
"""Every file that is served, by its name under /front/. There are no others."""


@dataclass(frozen=True, slots=True)
class File:
    """A file that is served. kind: its media type. digest: tells one version from another."""

    content: bytes
    kind: str
    digest: str


@cache
def served(name: str) -> File:
    """One of `SERVED`, read once: a megabyte in all."""
    content = SERVED[name].read_bytes()
    return File(content, _KINDS[SERVED[name].suffix], hashlib.sha256(content).hexdigest()[:32])


_KINDS = {".css": "text/css", ".js": "text/javascript", ".ttf": "font/ttf"}

SMALLEST, LARGEST = 8, 48
"""Sizes of letters, in CSS pixels."""

_HEAD = """<!DOCTYPE html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Sinkside</title>
<link rel="icon" href="data:,">
<link rel="stylesheet" href="/front/page.css">
{more}</head>
"""


def screen(websocket: str, language: str, letters: int) -> str:
    """The page with the screen. websocket: its address. letters: their size in CSS pixels."""
    more = (
        '<link rel="stylesheet" href="/front/xterm.css">\n'
        '<script src="/front/textual.js"></script>\n<script src="/front/screen.js" defer></script>\n'
    )
    size = max(SMALLEST, min(LARGEST, letters))
    opening = escape(spoken("Opening the screen ..."))
    ended = escape(spoken("This screen is closed. What was shown as done is kept."))
    again = escape(spoken("Open it again"))
    keyboard = escape(spoken("Keyboard"))
    return f"""{_HEAD.format(language=escape(language), more=more)}<body>
<p class="opening">{opening}</p>
<div id="terminal" class="textual-terminal" data-session-websocket-url="{escape(websocket)}"
 data-font-size="{size}"></div>
<button id="keyboard" type="button" aria-pressed="false" hidden>{keyboard}</button>
<p class="ended" role="status">{ended}
<a href="/">{again}</a></p>
</body>
</html>
"""


def asking(why: str) -> str:
    """The page that asks for the token, in the language spoken. why: what it says first."""
    head = _HEAD.format(
        language=escape(spoken_language()), more='<script src="/front/enter.js" defer></script>\n'
    )
    token, opens = escape(spoken("Token")), escape(spoken("Open"))
    return f"""{head}<body class="plain">
<main>
<h1>Sinkside</h1>
<p>{escape(why)}</p>
<form method="post" action="/enter" autocomplete="off">
<label for="token">{token}</label>
<input id="token" name="token" type="password" autocomplete="off" required maxlength="200" autofocus>
<button>{opens}</button>
</form>
</main>
</body>
</html>
"""


def saying(sentence: str) -> str:
    """A page with one sentence, in the language spoken."""
    head = _HEAD.format(language=escape(spoken_language()), more="")
    again = escape(spoken("Try again"))
    return f"""{head}<body class="plain">
<main>
<h1>Sinkside</h1>
<p>{escape(sentence)}</p>
<p><a href="/">{again}</a></p>
</main>
</body>
</html>
"""
