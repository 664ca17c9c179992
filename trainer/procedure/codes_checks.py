"""The codes of what can be wrong with formulas (C) and with the ways between steps (G), a line for each."""

CODES: dict[str, str] = {
    "C01": "A formula is too long, or too deep in brackets.",
    "C02": "A character has no meaning in a formula.",
    "C03": "A text in a formula never ends, or has a sign after a backslash that is not read.",
    "C04": "A word of everyday language or of a spreadsheet stands where a sign belongs.",
    "C05": "A sign that is not read in a formula, such as one =.",
    "C06": "Two comparisons stand in a row.",
    "C07": "Something of CEL that is left out here.",
    "C08": "Brackets do not match.",
    "C09": "A value is missing in a formula.",
    "C10": "Two values stand side by side and nothing joins them.",
    "C11": "A ? or a : stands without its other part.",
    "C12": "A name that nothing declares.",
    "C13": "A function that does not exist, or with too few or too many values.",
    "C14": "A number, a text, or true and false where another of them belongs.",
    "C15": "The whole formula gives another kind of value than is wanted.",
    "C16": "A word that is neither a text in quotes nor the name of a value.",
    "C17": "A text that is no answer, no step or no value of this file.",
    "C18": "A value is asked for that is not taken.",
    "C19": "A formula has no result.",
    "C20": "A formula that CEL refuses.",
}
