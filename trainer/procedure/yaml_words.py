"""What the YAML parser says, in words that help an author. Its own wording never shows."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from trainer.procedure import keyless
from trainer.procedure.problems import Place, Problem, Related

_QUOTES = "Put the whole text in quotes"


@dataclass(frozen=True, slots=True)
class Trouble:
    """What the parser reports: its words and places, lines and columns counted from 0."""

    problem: str
    context: str
    line: int
    column: int
    context_line: int
    context_column: int
    lines: Sequence[str]

    @property
    def row(self) -> str:
        """The line of the file that it stopped at."""
        return self.lines[self.line] if self.line < len(self.lines) else ""

    @property
    def character(self) -> str:
        """The character that it stopped at; empty at the end of a line."""
        return self.row[self.column : self.column + 1]

    def here(self) -> Place:
        """Where it stopped."""
        return _place(self.line, self.column)

    def begun(self) -> Place:
        """Where the part that it was reading begins."""
        return _place(self.context_line, self.context_column)


def explain(trouble: Trouble) -> Problem:
    """A problem with its code, words and place for whatever the parser reports."""
    for line in (_line_above(trouble), trouble.line):
        if line is not None and line < len(trouble.lines) and keyless.begins_oddly(trouble.lines[line]):
            return _no_colon(trouble, line)
    for words, explanation in _EXPLANATIONS:
        if words in trouble.problem or words in trouble.context:
            return explanation(trouble)
    return _problem(
        "Y01",
        "This line cannot be read.",
        "Compare it with the lines above: each key needs `: ` after it, each entry of a list `- ` before it, "
        "and a text with special characters needs quotes.",
        trouble.here(),
    )


def _problem(code: str, message: str, help_: str, place: Place, related: Sequence[Related] = ()) -> Problem:
    return Problem(code, "error", message, help_, place, (), tuple(related))


def _place(line: int, column: int) -> Place:
    return Place(line + 1, column + 1, line + 1, column + 2)


def _start(trouble: Trouble) -> Problem:
    """A character that cannot begin anything: a tab, `%`, `@` or a backquote."""
    if trouble.character == "\t":
        return _tab(trouble)
    mark = trouble.character
    text = trouble.row[trouble.column :].strip()
    return _problem(
        "Y05",
        f"A text cannot begin with `{mark}` unless it is in quotes.",
        f"{_QUOTES}: `{_quoted(text)}`.",
        trouble.here(),
    )


def _tab(trouble: Trouble) -> Problem:
    return _problem(
        "Y02",
        "Here is a tab. Lines are lined up by spaces only.",
        "Write two spaces for each level instead of the tab (most editors can turn tabs into spaces).",
        trouble.here(),
    )


def _colon(trouble: Trouble) -> Problem:
    """A colon where none can be: in a text, under a value, or after a line that has none."""
    before = trouble.row[: trouble.column]
    first = re.match(r"\s*(?:- +)*(?:\"[^\"]*\"|'[^']*'|[^\s:#][^:]*?) *:\s+(\S.*)", before)
    if first:
        text = trouble.row[first.start(1) :].strip()
        return _problem(
            "Y04",
            "Here is a colon and a space inside a text, so it looks like another key.",
            f"{_QUOTES}: `{_quoted(text)}`.",
            trouble.here(),
        )
    above = _line_above(trouble)
    if above is not None and not re.search(r":(\s|$)", trouble.lines[above]):
        return _no_colon(trouble, above)
    return _problem(
        "Y03",
        "This line stands deeper than the one above, which has its value already.",
        "Line it up with the key above, or, if it belongs to that key, write nothing after that key's colon.",
        trouble.here(),
    )


def _no_colon(trouble: Trouble, line: int) -> Problem:
    row = trouble.lines[line]
    column = len(row) - len(row.lstrip())
    return _problem(
        "Y21",
        *keyless.said(row, first=line == 0),
        Place(line + 1, column + 1, line + 1, len(row.rstrip()) + 1),
    )


def _simple_key(trouble: Trouble) -> Problem:
    return _no_colon(trouble, min(trouble.context_line, len(trouble.lines) - 1))


def _key(trouble: Trouble) -> Problem:
    """The parser wanted a key: after a closed quote or bracket, or on a line that does not line up."""
    before = trouble.row[: trouble.column].rstrip()
    if before and before[-1] in "'\"]}":
        return _after_close(trouble, before[-1])
    if trouble.character == ":":
        return _problem(
            "Y21",
            "Here is a colon without a key before it.",
            "Write the key before the colon: `title: A plate`.",
            trouble.here(),
        )
    return _indent(trouble)


def _after_close(trouble: Trouble, close: str) -> Problem:
    if close in "]}":
        return _problem(
            "Y10",
            f"Something stands after the closing `{close}`.",
            "Delete it, or put it inside the brackets. A text that begins with a bracket needs quotes round "
            "all of it.",
            trouble.here(),
        )
    found = re.match(r"\s*(?:- +)*(?:[\w-]+ *: +)?(.*)", trouble.row)
    text = found[1].strip() if found else trouble.row.strip()
    if text.count(close) > 2 and text.endswith(close):
        text = text[1:-1]  # quotes all round, and one of them inside as well
    other = '"' if close == "'" else "'"
    whole = f"{other}{_short(text)}{other}" if other not in text else f"{other}...{other}"
    return _problem(
        "Y09",
        f"Something stands after the closing {close} of a text.",
        f"Put all of it, a text or a formula, between quotes that it does not have inside: `{whole}`.",
        trouble.here(),
    )


def _indent(trouble: Trouble) -> Problem:
    entry = trouble.row[trouble.column :].startswith("- ")
    message = "This entry of a list" if entry else "This line"
    return _problem(
        "Y03",
        f"{message} does not line up with the lines above that it belongs to.",
        "Write as many spaces before it as before the others of its level: two more for each level down.",
        trouble.here(),
        [Related(trouble.begun(), "what it would belong to begins here")],
    )


def _quote_open(trouble: Trouble) -> Problem:
    mark = trouble.lines[trouble.context_line][trouble.context_column : trouble.context_column + 1]
    return _problem(
        "Y09",
        f"The quote that opens here is never closed; the file ends before another {mark}.",
        f"Write {mark} at the end of the text as well.",
        trouble.begun(),
    )


def _bracket(trouble: Trouble) -> Problem:
    """A list or keys in brackets that do not end as they should."""
    square = "sequence" in trouble.context
    opening, closing = ("[", "]") if square else ("{", "}")
    same_line = trouble.line == trouble.context_line
    if same_line and trouble.character == ":":
        return _problem(
            "Y04",
            "Here is a second colon in one entry.",
            "Put the text of the entry in quotes, or write the entries on lines of their own.",
            trouble.here(),
        )
    before = trouble.row[: trouble.column].rstrip()
    if same_line and before[-1:] in {"'", '"'} and trouble.character not in ",]}":
        return _after_close(trouble, before[-1])
    message = f"The bracket `{opening}` that opens here is not closed by `{closing}`."
    stopped = "reading it stopped here" if trouble.line < len(trouble.lines) else "the file ends here"
    return _problem(
        "Y10",
        message,
        f"Write `{closing}` after its last entry, and a comma between two entries. "
        f"A text that begins with `{opening}` needs quotes.",
        trouble.begun(),
        [Related(trouble.here(), stopped)],
    )


def _alias(trouble: Trouble) -> Problem:
    return star(trouble.begun(), trouble.lines[trouble.context_line][trouble.context_column :])


def _anchor(trouble: Trouble) -> Problem:
    return ampersand(trouble.begun(), trouble.lines[trouble.context_line][trouble.context_column :])


def _tag(trouble: Trouble) -> Problem:
    return exclamation(trouble.begun(), trouble.lines[trouble.context_line][trouble.context_column :])


def star(place: Place, text: str) -> Problem:
    """A text that begins with `*`, or a reference."""
    return _problem(
        "Y06",
        "YAML takes a `*` at the beginning for a reference, and procedure files have none.",
        f"If it is a text, put it in quotes: `{_quoted(text.strip())}`. "
        "If it stands for something written elsewhere, write that out here.",
        place,
    )


def ampersand(place: Place, text: str) -> Problem:
    """A text that begins with `&`, or a mark for references."""
    return _problem(
        "Y07",
        "YAML takes an `&` at the beginning for a mark of its own, and procedure files have none.",
        f"If it is a text, put it in quotes: `{_quoted(text.strip())}`. Else delete the `&` and its word.",
        place,
    )


def exclamation(place: Place, text: str) -> Problem:
    """A text that begins with `!`, or a type mark."""
    return _problem(
        "Y08",
        "YAML takes a `!` at the beginning for a mark of its own, and procedure files have none.",
        f"If it is a text or a formula, put it in quotes: `{_quoted(text.strip())}`. Else delete the mark.",
        place,
    )


def _escape(trouble: Trouble) -> Problem:
    at = trouble.row.find("\\", max(0, trouble.column - 2))
    return _problem(
        "Y18",
        "A backslash in double quotes begins a code, and this is none that YAML knows.",
        "Use single quotes ('like this') where a backslash is meant, or write it twice.",
        _place(trouble.line, at if at >= 0 else trouble.column),
    )


def _document(trouble: Trouble) -> Problem:
    if trouble.column > 0:
        return _indent(trouble)
    return _problem(
        "Y13",
        "Something stands after the line `...`, which ends a file.",
        "Delete the line `...`.",
        trouble.here(),
    )


def _directive(trouble: Trouble) -> Problem:
    return directive(trouble.begun())


def directive(place: Place) -> Problem:
    """A line that begins with `%`."""
    return _problem(
        "Y05",
        "A line that begins with `%` is an instruction to YAML, and procedure files have none.",
        "Delete the line; begin the file with `format: 1`.",
        place,
    )


def _entry(trouble: Trouble) -> Problem:
    text = trouble.row[trouble.column :].strip()
    return _problem(
        "Y22",
        "A list cannot begin on the same line as its key.",
        f"Begin each entry on a line of its own, two spaces deeper than the key, or write `[first, second]`. "
        f"If it is a text, put it in quotes: `{_quoted(text)}`.",
        trouble.here(),
    )


def _keeps(trouble: Trouble) -> Problem:
    """`?`, `,`, a closing bracket, `|` or `>` where a text begins."""
    line, column = trouble.line, trouble.column
    if trouble.context.startswith("while scanning a block scalar"):
        line, column = trouble.context_line, trouble.context_column
    text = trouble.lines[line][column:].strip() if line < len(trouble.lines) else ""
    if not text:
        return _open_end(trouble)
    return _problem(
        "Y05",
        f"A text cannot begin with `{text[:1]}` unless it is in quotes.",
        f"{_QUOTES}: `{_quoted(text)}`.",
        _place(line, column),
    )


def _open_end(trouble: Trouble) -> Problem:
    """The file ends where a bracket wants another entry."""
    above = _line_above(trouble)
    line = trouble.line if above is None else above
    row = trouble.lines[line].rstrip() if line < len(trouble.lines) else ""
    return _problem(
        "Y10",
        "The file ends before a bracket is closed.",
        "Write `]` or `}` after the last entry. A text that begins with a bracket needs quotes.",
        _place(line, max(0, len(row) - 1)),
    )


def _depth(trouble: Trouble) -> Problem:
    return too_deep(trouble.here())


def too_deep(place: Place) -> Problem:
    """Parts inside parts without end."""
    return _problem(
        "Y14",
        "Parts stand inside parts here, more than 20 deep.",
        "Write it flatter: a procedure needs eight levels or fewer. A text full of brackets needs quotes.",
        place,
    )


def _line_above(trouble: Trouble) -> int | None:
    """The last line before the place that says something."""
    for line in range(trouble.line - 1, -1, -1):
        row = trouble.lines[line].strip()
        if row and not row.startswith("#"):
            return line
    return None


def _short(text: str) -> str:
    return text if len(text) <= 50 else text[:49] + "…"


def _quoted(text: str) -> str:
    """`text` in the quotes that need no further care, shortened."""
    short = _short(text.strip("\"'") if text[:1] in "\"'" else text)
    if '"' not in short and "\\" not in short:
        return f'"{short}"'
    return "'" + short.replace("'", "''") + "'"


_EXPLANATIONS = (
    ("maximum nesting depth", _depth),
    ("tab character", _tab),
    ("cannot start any token", _start),
    ("while scanning an alias", _alias),
    ("while scanning an anchor", _anchor),
    ("while scanning a tag", _tag),
    ("while parsing a tag", _tag),
    ("while scanning a directive", _directive),
    ("while scanning a %", _directive),
    ("while scanning a block scalar", _keeps),
    ("mapping values are not allowed", _colon),
    ("block sequence entries are not allowed", _entry),
    ("mapping keys are not allowed", _keeps),
    ("did not find expected node content", _keeps),
    ("while parsing a flow", _bracket),
    ("while scanning a quoted scalar", _quote_open),
    ("while parsing a quoted scalar", _escape),
    ("could not find expected ':'", _simple_key),
    ("did not find expected <document start>", _document),
    ("did not find expected key", _key),
    ("did not find expected '-'", _key),
)
"""What the parser says, or what it was doing, and the explanation of it; the first that fits."""
