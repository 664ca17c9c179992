"""Broken files, first part: bytes and YAML. Each with the codes expected and their places."""

from __future__ import annotations

from typing import NamedTuple

MARK = "\u2316"
"""Stands in a source just before the place that a problem must be told at; it is taken out before reading."""


class Raw(NamedTuple):
    """A file as bytes. `found`: code, line and column of the problems expected first, keys apart."""

    name: str
    source: bytes
    found: tuple[tuple[str, int, int], ...]


class Marked(NamedTuple):
    """A file as text with MARK before the place of the one problem expected."""

    name: str
    text: str
    code: str


def marked(text: str) -> tuple[bytes, int, int]:
    """The bytes of a text with one MARK in it, and the line and column of the MARK."""
    before = text[: text.index(MARK)]
    line = before.count("\n") + 1
    column = len(before) - (before.rfind("\n") + 1) + 1
    return text.replace(MARK, "").encode(), line, column


_HEAD = "format: 1\nid: x\ntitle: "
_MIB = 1024 * 1024


def _merge_bomb() -> bytes:
    """Merge keys that double at every level (10^8 keys if they were followed)."""
    lines = ["a: &a {k: 1}"]
    lines += [f"{chr(98 + n)}: &{chr(98 + n)} {{<<: [*{chr(97 + n)}, *{chr(97 + n)}]}}" for n in range(8)]
    return "\n".join(lines).encode()


def _alias_bomb() -> bytes:
    """References to references: 9^10 leaves if they were written out."""
    rows = ["a: &a [lol, lol, lol, lol, lol, lol, lol, lol, lol]"]
    for one, before in zip("bcdefghij", "abcdefghi", strict=True):
        rows.append(f"{one}: &{one} [{', '.join([f'*{before}'] * 9)}]")
    return "\n".join(rows).encode()


RAW = (
    Raw("empty", b"", (("F09", 1, 1),)),
    Raw("blanks-only", b"  \n\n \n", (("F09", 1, 1),)),
    Raw("mebibyte-and-one", b"# " + b"x" * (_MIB - 1), (("F06", 1, 1),)),
    Raw("utf-16", "format: 1\n".encode("utf-16"), (("F07", 1, 1),)),
    Raw("utf-16-unmarked", "format: 1\n".encode("utf-16-le"), (("F07", 1, 1),)),
    Raw("utf-16-big-unmarked", "format: 1\n".encode("utf-16-be"), (("F07", 1, 1),)),
    Raw("utf-32", "format: 1\n".encode("utf-32"), (("F07", 1, 1),)),
    Raw("latin-1", "format: 1\ntitle: Vac\u00edo\n".encode("latin-1"), (("F07", 2, 11),)),
    Raw("cut-in-a-character", "title: \u00e9".encode()[:-1], (("F07", 1, 8),)),
    Raw("a-picture", b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", (("F08", 3, 1),)),
    Raw("nul-in-a-text", b"format: 1\ntitle: a\x00b\n", (("F08", 2, 9),)),
    Raw("escape-raw", b"title: a\x1b[31mb\n", (("Y16", 1, 9),)),
    Raw("c1-raw", "title: a\x9bb\n".encode(), (("Y16", 1, 9),)),
    Raw("bell-raw", b"format: 1\nid: x\a\n", (("S12", 2, 5), ("Y16", 2, 6))),
    Raw("direction-turned", "title: a\u202eb\n".encode(), (("Y16", 1, 9),)),
    Raw("direction-isolated", "title: a\u2067b\n".encode(), (("Y16", 1, 9),)),
    Raw("line-separator", "title: a\u2028b\n".encode(), (("Y16", 1, 9),)),
    Raw("bom-inside", "title: a\ufeffb\n".encode(), (("Y16", 1, 9),)),
    Raw("brackets-deep", b"a: " + b"[" * 30_000, (("Y14", 1, 1003),)),
    Raw("braces-deep", b"a: " + b"{a: " * 500, (("Y14", 1, 80),)),
    Raw("lines-deep", b"".join(b" " * n + b"a:\n" for n in range(25)), (("Y14", 21, 21),)),
    Raw("nodes-without-end", b"- a\n" * 50_001, (("Y15", 50_000, 3),)),
    Raw("merge-bomb", _merge_bomb(), (("Y07", 1, 4),)),
    Raw("alias-bomb", _alias_bomb(), (("Y07", 1, 4),)),
    Raw("not-keys-but-a-list", b"- format: 1\n", (("S08", 1, 1),)),
    Raw("one-word", b"procedure\n", (("S08", 1, 1),)),
    Raw("a-walk", b"walk: 1\nprocedure: small\n", (("S31", 1, 1),)),
    Raw("a-shop-file", b"format: 1\nprocedures: {}\n", (("S31", 1, 1),)),
)

YAML = (
    Marked("colon-in-a-text", _HEAD + f"Warning{MARK}: hot lamp\n", "Y04"),
    Marked("colon-in-an-entry", f"avoid: [Both hands, Never: force{MARK}: it]\n", "Y04"),
    Marked("percent-first", _HEAD + f"{MARK}%100\n", "Y05"),
    Marked("at-first", _HEAD + f"{MARK}@home\n", "Y05"),
    Marked("backquote-first", _HEAD + f"{MARK}`x`\n", "Y05"),
    Marked("bold", _HEAD + f"{MARK}*bold*\n", "Y06"),
    Marked("reference", _HEAD + f"{MARK}*other\n", "Y06"),
    Marked("ampersand-first", _HEAD + f"{MARK}&c and so on\n", "Y07"),
    Marked("exclamation-first", f"when: {MARK}!taken('x')\n", "Y08"),
    Marked("type-mark", f"a: {MARK}!!python/object:os.system x\n", "Y08"),
    Marked("binary-mark", f"a: {MARK}!!binary aGVsbG8=\n", "Y08"),
    Marked("type-mark-open", f"a: {MARK}!<x y\n", "Y08"),
    Marked("instruction", f"{MARK}%YAML 1.1\n---\nformat: 1\n", "Y05"),
    Marked("unknown-instruction", f"{MARK}%x\nformat: 1\n", "Y05"),
    Marked("tab-before-a-key", f"a:\n{MARK}\tb: 1\n", "Y02"),
    Marked("tab-in-a-long-text", f"a: x\n b\n{MARK}\tc\n", "Y02"),
    Marked("dedented-between", f"a:\n  b: 1\n {MARK}c: 2\n", "Y03"),
    Marked("entry-dedented", f"a:\n  - b\n {MARK}- c\n", "Y03"),
    Marked("entry-indented", f"steps:\n  - id: a\n    do: x\n   {MARK}- id: b\n", "Y03"),
    Marked("key-after-a-list", f"- a\n{MARK}b: 1\n", "Y03"),
    Marked("keys-under-a-value", f"a: b\n  c{MARK}: d\n", "Y03"),
    Marked("first-line-indented", f"  a: 1\n {MARK}b: 2\n", "Y03"),
    Marked("no-space-after-colon", f"a: 1\n{MARK}b:2\nc: 3\n", "Y21"),
    Marked("no-colon", f"a: 1\n{MARK}title A plate\n", "Y21"),
    Marked("first-line-without-colon", f"{MARK}format 1\nid: x\n", "Y21"),
    Marked("colon-without-key", f"{MARK}: a\n", "Y21"),
    Marked("quote-open", f'a: {MARK}"It is hot\nb: 1\n', "Y09"),
    Marked("single-quote-open", f"a: {MARK}'It is hot\nb: 1\n", "Y09"),
    Marked("apostrophe", f"a: 'it'{MARK}s hot'\n", "Y09"),
    Marked("after-a-quote", f"ok: 'a' {MARK}in answers.x\n", "Y09"),
    Marked("bracket-open", f"a: {MARK}[1, 2\nb: 3\n", "Y10"),
    Marked("bracket-open-to-the-end", "a: [1,\n  2" + f"{MARK},\n", "Y10"),
    Marked("brace-open", f"a: {MARK}{{x: 1\nb: 3\n", "Y10"),
    Marked("wrong-bracket", f"a: {MARK}[x}}\n", "Y10"),
    Marked("after-a-bracket", f"a: [x] {MARK}y\n", "Y10"),
    Marked("merge-key", f"{MARK}<<: {{a: 1}}\n", "Y11"),
    Marked("key-twice", f"title: a\n{MARK}title: b\n", "Y12"),
    Marked("key-twice-deep", f"settings:\n  a: {{value: 1, {MARK}value: 2}}\n", "Y12"),
    Marked("key-twice-quoted", f'title: a\n{MARK}"title": b\n', "Y12"),
    Marked("two-documents", f"format: 1\n{MARK}---\nformat: 1\n", "Y13"),
    Marked("after-the-end", f"format: 1\n...\n{MARK}id: x\n", "Y13"),
    Marked("escape-in-quotes", f'title: {MARK}"\\e]0;x\\a"\n', "Y16"),
    Marked("c1-in-quotes", f'title: {MARK}"\\x9b31m"\n', "Y16"),
    Marked("direction-in-quotes", f'title: {MARK}"a\\u202eb"\n', "Y16"),
    Marked("number-as-key", f"choice:\n  {MARK}1: Yes\n", "Y17"),
    Marked("truth-as-key", f"answers: {{{MARK}true: Yes}}\n", "Y17"),
    Marked("list-as-key", f"? {MARK}[a]\n: 1\n", "Y17"),
    Marked("braces-in-braces", f"title: {{{MARK}{{name}}}}\n", "Y17"),
    Marked("reference-as-key", f"{MARK}*a : 1\n", "Y06"),
    Marked("windows-path", f'a: "C:{MARK}\\plates"\n', "Y18"),
    Marked("short-code", f'a: "{MARK}\\x"\n', "Y18"),
    Marked("surrogate-code", f'a: "{MARK}\\ud800"\n', "Y18"),
    Marked("list-on-the-key-line", f"covers: {MARK}- draw-down\n", "Y22"),
    Marked("dash-first", f"do: {MARK}- then wait\n", "Y22"),
    Marked("question-mark-first", f"ask: {MARK}? Which\n", "Y05"),
    Marked("comma-first", f"do: {MARK}, then wait\n", "Y05"),
    Marked("angle-first", f"do: {MARK}>wait\n", "Y05"),
    Marked("bar-first", f"do: {MARK}|wait\n", "Y05"),
)
