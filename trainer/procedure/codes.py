"""The codes of problems, each with what it means. A code never changes its meaning and is never used again.

F: the file. Y: reading it as YAML. S: its shape, that is keys, types and values. The codes of expressions (C)
and of the graph of steps (G) stand in `codes_checks`.
"""

from __future__ import annotations

CODES: dict[str, str] = {
    "F01": "The file or folder is not there.",
    "F02": "A folder, or something else that is no file, stands where a file is wanted.",
    "F03": "This account may not read the file or folder.",
    "F04": "The file cannot be read: the disk or the system says so.",
    "F05": "The folder holds no procedure file.",
    "F06": "The file is larger than 1 MiB.",
    "F07": "The file is not written in UTF-8.",
    "F08": "The file is no text.",
    "F09": "The file is empty.",
    "F10": "The YAML library of this computer is too old to be safe.",
    "F11": "A picture is missing.",
    "F12": "A picture cannot be shown: too large, or no plain text.",
    "Y01": "A place that cannot be read as YAML, for a reason not listed here.",
    "Y02": "A tab where spaces are wanted.",
    "Y03": "Lines that do not line up.",
    "Y04": "A colon and a space inside a text without quotes.",
    "Y05": "A text that begins with a character that YAML keeps for itself.",
    "Y06": "A reference (`*`), which procedure files do not have.",
    "Y07": "A mark for references (`&`), which procedure files do not have.",
    "Y08": "A type mark (`!`), which procedure files do not have.",
    "Y09": "A quote that is not closed, or something after the closing quote.",
    "Y10": "A bracket that is not closed, or closed by the wrong one.",
    "Y11": "A merge key (`<<`), which procedure files do not have.",
    "Y12": "A key that stands twice in one place.",
    "Y13": "More than one document in a file.",
    "Y14": "Parts inside parts, more than 20 deep.",
    "Y15": "More than 50,000 keys and values.",
    "Y16": "A control character, or one that turns the direction of writing.",
    "Y17": "A key that is no word.",
    "Y18": "A backslash in double quotes that is followed by nothing that YAML knows.",
    "Y19": "A `#` after a space: what follows it is not read.",
    "Y20": "A text that other YAML programs would read as something else.",
    "Y21": "A line without a colon between key and value.",
    "Y22": "A list that begins on the line of its key.",
    "Y23": "A text over several lines that looks like a list.",
    "S01": "A key that is not known there.",
    "S02": "A key that is missing.",
    "S03": "A text is wanted.",
    "S04": "A number is wanted.",
    "S05": "A whole number is wanted.",
    "S06": "`true` or `false` is wanted.",
    "S07": "A list is wanted.",
    "S08": "Keys with their values are wanted.",
    "S09": "One of a few words is wanted.",
    "S10": "Too few or too many entries.",
    "S11": "A number that is too small or too large.",
    "S12": "Not an id.",
    "S13": "Not a name that expressions can use.",
    "S14": "Not a quantity.",
    "S15": "A unit that is not known.",
    "S16": "A unit of the wrong kind.",
    "S17": "More than one task in a step.",
    "S18": "A step that does not say what to do.",
    "S19": "A quiz that is not of exactly one kind.",
    "S20": "The right answer of a quiz does not fit its question.",
    "S21": "The right answer of a judgement is none of its answers.",
    "S22": "A wait that is not of exactly one form.",
    "S23": "A pair of limits in the wrong order.",
    "S24": "A value outside its own limits.",
    "S25": "The id is not the name of the file.",
    "S26": "An id that is used twice.",
    "S27": "Not a language code.",
    "S28": "An empty text.",
    "S29": "A time or an amount of nothing, or less.",
    "S30": "A procedure or setting in the shop file that is not known.",
    "S31": "Not a procedure but another kind of file.",
    "S32": "A key or an entry of a list without a value.",
    "S33": "A vacuum that the air at the shop's altitude does not give.",
    "S34": "Texts that are missing in one of the file's languages.",
    "S35": "Two answers that say the same.",
    "S36": "A text of a new procedure that nobody has written yet.",
}
"""Code and meaning of what this room's reader finds."""


def all_codes() -> dict[str, str]:
    """Every code of the program and what it means."""
    from trainer.procedure import codes_checks  # with the checks, which the start screen does not load

    return {**CODES, **codes_checks.CODES}
