"""The heads of procedure files: what the start screen shows. Reads no further than it must, checks no more.

Nothing heavy is imported: the whole file is read and checked when a run is opened.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

from trainer.procedure.building import Builder, Node
from trainer.procedure.files import FileTrouble, read_bytes, yaml_files
from trainer.procedure.names import IDENT
from trainer.procedure.problems import first_sentence
from trainer.procedure.source import read_source
from trainer.procedure.text import Text, one_line

_KEYS = frozenset({"id", "title", "summary", "revision"})
_WORDS = ("bench", "new_plate_from", "offer_setting")
_AS_KEY = {word: re.compile(rf"""\b{word}["']?\s*:""") for word in _WORDS}


@dataclass(frozen=True, slots=True)
class Head:
    """The head of a file. `title` and `summary` may be in several languages (`text.in_language`).

    `problem` is a sentence where the file is broken; `id` is then the file's name.

    `has_bench`: the word that names controls of the bench stands in it, so that it may be rehearsed.
    `has_plates`: a plate can be spoiled in it, so that it makes one. `is_test`: it offers the shop a value.
    """

    id: str
    title: Text
    summary: Text
    revision: int
    path: Path
    problem: str | None = None
    has_bench: bool = False
    has_plates: bool = False
    is_test: bool = False


def read_heads(folder: Path) -> list[Head]:
    """The heads of the procedure files of a folder, by file name; none where there is no such folder."""
    try:
        paths = [path for path in yaml_files(folder) if path.parent == folder]
    except FileTrouble:
        return []
    return [read_head(path) for path in paths]


def read_head(path: Path) -> Head:
    """The head of one file. Never raises."""
    try:
        source = read_source(read_bytes(path))
    except FileTrouble as trouble:
        return _broken(path, str(trouble))
    if source.text is None:
        return _broken(path, first_sentence(source.problems, path.name))
    builder = Builder(source.text, until=_KEYS)
    complete = builder.build()
    if not complete or source.problems or builder.problems:
        errors = [*source.problems, *builder.problems]
        if any(problem.severity == "error" for problem in errors):
            return _broken(path, first_sentence(errors, path.name), builder.root)
    head = _head(path, builder.root)
    if head.problem is not None:
        return head
    has_bench, has_plates, is_test = (_has_key(source.text, word) for word in _WORDS)
    return replace(head, has_bench=has_bench, has_plates=has_plates, is_test=is_test)


def _has_key(text: str, word: str) -> bool:
    """Whether a word stands in a file as a key. Looked up as a word first: a long file costs little so."""
    return word in text and bool(_AS_KEY[word].search(text))


def read_keys(source: bytes, keys: frozenset[str]) -> dict[str, Node]:
    """These keys of a file's outermost part, as far as there are such; the rest is not read. Never raises."""
    text = read_source(source).text
    builder = Builder(text or "", until=keys)
    builder.build()
    return builder.root if isinstance(builder.root, dict) else {}


def _head(path: Path, root: Node) -> Head:
    if not isinstance(root, dict):
        return _broken(path, f"{one_line(path.name)} is no procedure: begin it with `format: 1`.")
    own, revision = root.get("id"), root.get("revision")
    title, summary = _text(root.get("title")), _text(root.get("summary"))
    if not isinstance(own, str) or not IDENT.fullmatch(own):
        wrong = "id"
    elif not title:
        wrong = "title"
    elif not summary:
        wrong = "summary"
    elif not isinstance(revision, int) or isinstance(revision, bool):
        wrong = "revision"
    else:
        return Head(own, title, summary, revision, path)
    named = one_line(path.name)
    return _broken(path, f"{named} has no `{wrong}` that can be used. Run `sinkside check {named}`.", root)


def _broken(path: Path, problem: str, root: Node = None) -> Head:
    found = root if isinstance(root, dict) else {}
    stem = one_line(path.stem)
    title = _text(found.get("title")) or stem
    revision = found.get("revision")
    known = revision if isinstance(revision, int) else 0
    return Head(stem, title, _text(found.get("summary")), known, path, problem)


def _text(node: Node) -> Text:
    """A text in one or several languages; empty where it is neither."""
    if isinstance(node, str):
        return node
    if isinstance(node, dict) and node:
        texts = {code: text for code, text in node.items() if isinstance(text, str)}
        return texts if len(texts) == len(node) else ""
    return ""
