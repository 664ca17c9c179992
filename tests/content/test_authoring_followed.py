"""The page for a first file, followed section by section: each time its reader has a file that passes."""

from __future__ import annotations

import re
import textwrap

from test_authoring import LOAF, NAME, PAGE, WHOLE

from trainer.procedure.load import load_bytes

FIRST = WHOLE[0]
MISSING_MEANWHILE = {"4.", "5."}
"""After these sections two acts are to come that a safety prompt names already: the page says so."""


def steps_of(text: str) -> dict[str, str]:
    """The steps of a file, by id, as they are written."""
    pieces = re.split(r"(?m)^(?= *- id:)", text)
    return {
        found[1]: piece.rstrip() + "\n" for piece in pieces if (found := re.match(r" {6}- id: (\S+)", piece))
    }


def put_together(steps: dict[str, str], top: dict[str, str]) -> str:
    """A file of these steps, where the whole loaf has them, under the first file's head and stages."""
    text: str = FIRST.split("stages:")[0] + "".join(top.values()) + "stages:\n"
    for stage in re.split(r"(?m)^(?=  - id:)", LOAF.split("stages:\n")[1])[1:]:
        head = "".join(f"{line}\n" for line in stage.split("\n")[:2])
        text += f"{head}    steps:\n" + "".join(steps[one] for one in steps_of(stage) if one in steps)
    return text


def test_each_section_leaves_a_file_that_passes() -> None:
    """After each section the pieces so far give no problem, but for acts that the page says are to come."""
    steps, top = steps_of(FIRST), {}
    for section in re.split(r"(?m)^## ", PAGE)[3:]:
        number = section.split(" ", 1)[0]
        if number == "11.":
            break
        for block in re.findall(r"```yaml\n(.*?)```", section, re.DOTALL):
            for piece in filter(str.strip, re.split(r"(?m)^(?=- id:|[a-z_]+:)", block)):
                named = re.match(r"- id: (\S+)|([a-z_]+):", piece)
                assert named is not None
                if named[1]:
                    steps[named[1]] = textwrap.indent(piece, "      ")
                else:
                    top[named[2]] = piece
        found = load_bytes(put_together(steps, top).encode(), NAME).problems
        codes = {problem.code for problem in found if problem.severity == "error"}
        assert codes == ({"G02"} if number in MISSING_MEANWHILE else set()), number
        assert {problem.code for problem in found} - codes <= {"G17"}, number
    assert steps.keys() < steps_of(LOAF).keys()
