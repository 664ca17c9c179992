"""Problems as SARIF 2.1.0, an open format that editors and code review read (OASIS standard, 27 March 2020).

Columns are counted in characters; a region's end is the place just after it, as in `Place`.
"""

from __future__ import annotations

import json
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from urllib.parse import quote

from trainer.procedure.explain import Page
from trainer.procedure.fixes import Fix
from trainer.procedure.fixing import fixes_of
from trainer.procedure.load import Loaded
from trainer.procedure.problems import Place, Problem
from trainer.procedure.reader import read_tree
from trainer.procedure.text import one_line

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
_LEVELS = {"problem": "error", "problem or warning": "error", "warning": "warning"}


def as_sarif(files: Sequence[Loaded], pages: Mapping[str, Page], version: str, exit_code: int) -> str:
    """A log of one run: a rule for each code that is told, a result for each problem, with what mends it."""
    codes = sorted({problem.code for file in files for problem in file.problems})
    results = [
        _result(problem, file, number, codes.index(problem.code), fixes.get(problem))
        for number, file in enumerate(files)
        for fixes in [_fixes(file)]
        for problem in file.problems
    ]
    driver = {
        "name": "sinkside check",
        "semanticVersion": version,
        "rules": [_rule(pages[code]) for code in codes],
    }
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "invocations": [{"executionSuccessful": exit_code < 2, "exitCode": exit_code}],
        "artifacts": [{"location": {"uri": uri(file.file)}, "encoding": "UTF-8"} for file in files],
        "results": results,
    }
    return json.dumps({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]}, indent=2, ensure_ascii=True)


def uri(file: str) -> str:
    """The name of a file as a URI; a relative one stays relative to where the command was called."""
    path = Path(file)
    start = "file://" if path.is_absolute() else ""
    return start + quote(os.fsencode(path.as_posix()))


def _fixes(file: Loaded) -> dict[Problem, Fix]:
    if not file.problems or not file.source_text:
        return {}
    tree = read_tree(file.source_text.encode(), file.file)
    return fixes_of(file.problems, tree) if tree.complete else {}


def _rule(page: Page) -> dict[str, object]:
    return {
        "id": page.code,
        "shortDescription": {"text": page.meaning},
        "fullDescription": {"text": page.words},
        "help": {"text": page.as_text(), "markdown": page.body},
        "defaultConfiguration": {"level": _LEVELS[page.severity]},
    }


def _result(problem: Problem, file: Loaded, number: int, rule: int, fix: Fix | None) -> dict[str, object]:
    result: dict[str, object] = {
        "ruleId": problem.code,
        "ruleIndex": rule,
        "level": problem.severity,
        "message": {"text": f"{one_line(problem.message)} {one_line(problem.help)}"},
        "locations": [_location(problem.place, file, number)],
    }
    if problem.related:
        result["relatedLocations"] = [
            {"id": count, **_location(one.place, file, number), "message": {"text": one_line(one.label)}}
            for count, one in enumerate(problem.related, start=1)
        ]
    if fix is not None:
        replacement = {"deletedRegion": _region(fix.place), "insertedContent": {"text": fix.written}}
        change = {"artifactLocation": _artifact(file, number), "replacements": [replacement]}
        result["fixes"] = [{"description": {"text": fix.said}, "artifactChanges": [change]}]
    return result


def _location(place: Place, file: Loaded, number: int) -> dict[str, object]:
    """Where it is; of a file that could not be read, only which file."""
    physical: dict[str, object] = {"artifactLocation": _artifact(file, number)}
    if file.source_text:
        physical["region"] = _region(place)
    return {"physicalLocation": physical}


def _artifact(file: Loaded, number: int) -> dict[str, object]:
    return {"uri": uri(file.file), "index": number}


def _region(place: Place) -> dict[str, int]:
    return {
        "startLine": place.line,
        "startColumn": place.column,
        "endLine": place.end_line,
        "endColumn": place.end_column,
    }
