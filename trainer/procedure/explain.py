"""The page of a code: what it means, an example that gives it, and the same mended.

The pages are text files, `guide/codes/*.md`, one for each letter; a section begins with
`## CODE problem: MEANING`. Nothing else is loaded to show one.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from trainer.procedure.problems import nearest
from trainer.procedure.text import one_line

_HEADING = re.compile(r"^## ([A-Z]\d\d) (problem or warning|problem|warning): (.+)$", re.MULTILINE)
_LETTERS = "FYSCGW"
_BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True, slots=True)
class Example:
    """`kind`: `yaml` for a part of a file that can be tried, `text` for words about one."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Page:
    """`severity`: `problem`, `warning` or both. `body`: what the author reads, in Markdown."""

    code: str
    severity: str
    meaning: str
    body: str

    @property
    def examples(self) -> tuple[Example, ...]:
        """What gives the code, then the same mended."""
        return tuple(Example(*found) for found in _BLOCK.findall(self.body))

    @property
    def words(self) -> str:
        """What stands before the first example."""
        return " ".join(self.body.split("```", 1)[0].split())

    def as_text(self) -> str:
        """The page for a terminal: examples are indented, their fences left out."""

        def indented(block: re.Match[str]) -> str:
            return re.sub("^(?=.)", "    ", block[2].rstrip(), flags=re.MULTILINE)

        shown = _BLOCK.sub(indented, self.body)
        return f"{self.code} ({self.severity})  {self.meaning}\n\n{shown.strip()}"


def pages(folder: Path) -> dict[str, Page]:
    """Every page in the files of a folder, by code."""
    found: dict[str, Page] = {}
    for file in sorted(folder.glob("*.md")):
        parts = _HEADING.split(file.read_text(encoding="utf-8"))[1:]
        for code, severity, meaning, body in zip(*(parts[start::4] for start in range(4)), strict=True):
            found[code] = Page(code, severity, meaning, body.strip() + "\n")
    return dict(sorted(found.items(), key=lambda one: (_LETTERS.find(one[0][0]), one[0])))


def told(said: str, folder: Path) -> str:
    """What is printed for a code: its page; for a letter, its codes, a line each. Raises LookupError."""
    letter = said.strip().upper()
    if len(letter) != 1 or letter not in _LETTERS:
        return explained(said, folder).as_text()
    listed = (page for page in pages(folder).values() if page.code[0] == letter)
    return "\n".join(f"{page.code} ({page.severity})  {page.meaning}" for page in listed)


def explained(said: str, folder: Path) -> Page:
    """The page of a code, in capitals or not. Raises LookupError with a sentence where there is none."""
    known = pages(folder)
    code = said.strip().upper()
    if code in known:
        return known[code]
    family = [one for one in known if one[0] == code[:1]]
    alike = nearest(code, known)
    near = [f"`{one}`" for one in dict.fromkeys([*([alike] if alike else []), *_around(code, family)])][:3]
    if near:
        listed = " or ".join([", ".join(near[:-1]), near[-1]] if len(near) > 1 else near)
        help_ = f"Near to it are {listed}." if len(near) > 1 else f"Near to it is {listed}."
    else:
        help_ = "A code is a letter (F, Y, S, C, G or W) and two digits, as `S01`."
    raise LookupError(f"There is no code `{one_line(said.strip())[:20]}`. {help_}")


def _around(code: str, family: list[str]) -> list[str]:
    """Those of a letter that stand next to a number that is not there."""
    digits = re.fullmatch(r"[A-Z](\d{1,3})", code)
    if not digits:
        return []
    return sorted(family, key=lambda one: abs(int(one[1:]) - int(digits[1])))[:2]
