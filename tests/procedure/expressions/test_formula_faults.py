"""Formulas that people write by mistake: each is told by its code, at its column, with what to write instead.

No source: the mistakes are those of spreadsheets, of other languages and of CEL's own left-out parts.
"""

from __future__ import annotations

from typing import NamedTuple

import pytest
from formula_scope import SCOPE

from trainer.procedure.codes_checks import CODES
from trainer.procedure.expressions import FormulaFault, compile_formula
from trainer.procedure.vocabulary import Kind


class Bad(NamedTuple):
    """A formula that is refused: its code, its column, and words that its answer must hold."""

    formula: str
    code: str
    column: int
    words: str
    wanted: Kind = "truth"


BAD = (
    # words of a spreadsheet or of another language
    Bad("readings.vacuum > 20 and readings.wedge > 5", "C04", 22, "Write && instead of and"),
    Bad("readings.vacuum > 20 OR readings.wedge > 5", "C04", 22, "Write ||"),
    Bad("not taken('readings.wedge')", "C04", 1, "Write !"),
    Bad("answers.rings is 'still'", "C04", 15, "Write =="),
    Bad("plate.passes == True", "C04", 17, "Write true"),
    Bad("if readings.wedge > 5", "C04", 1, "condition ? value"),
    # signs
    Bad("readings.vacuum = 20", "C05", 17, "Write =="),
    Bad("readings.vacuum === 20", "C05", 19, "Write =="),
    Bad("readings.vacuum <> 20", "C05", 17, "Write !="),
    Bad("readings.vacuum => 20", "C05", 17, "Write >="),
    Bad("readings.vacuum =< 20", "C05", 17, "Write <="),
    Bad("plate.passes & plate.passes", "C05", 14, "Write &&"),
    Bad("plate.passes | plate.passes", "C05", 14, "Write ||"),
    Bad("2 ^ 3 > 1", "C05", 3, "exposure_for_step"),
    Bad("2 ** 3 > 1", "C05", 4, "exposure_for_step"),
    Bad("readings . vacuum > 20", "C05", 10, "without spaces"),
    Bad("readings.vacuum > 20.", "C05", 21, "1.0"),
    Bad("plate.passes; plate.passes", "C05", 13, "one condition"),
    Bad("readings.vacuum ! 20", "C05", 17, "!="),
    # two comparisons in a row
    Bad("20 < readings.vacuum < 30", "C06", 22, "20 < readings.vacuum && readings.vacuum < 30"),
    Bad("20 <= readings.vacuum <= 30", "C06", 23, "20 <= readings.vacuum && readings.vacuum <= 30"),
    Bad("readings.wedge == 5 == plate.passes", "C06", 21, "brackets"),
    # what CEL has and formulas do not
    Bad("answers.leaks[0] == 'tape'", "C07", 14, "in answers"),
    Bad("readings['vacuum'] > 20", "C07", 9, "after a dot"),
    Bad("{'a': 1}", "C07", 1, "Write the values out"),
    Bad("readings.wedge % 2 == 0", "C07", 16, "value * 0.2"),
    Bad("size(answers.leaks) > 1", "C07", 1, "Compare with"),
    Bad("has(readings.vacuum)", "C07", 1, "taken('readings.vacuum')"),
    Bad("answers.leaks.exists(k, k == 'tape')", "C07", 1, "Write the conditions out"),
    Bad("answers.leaks.all(k, k == 'tape')", "C07", 1, "Write the conditions out"),
    Bad("answers.leaks.map(k, k)", "C07", 1, "Write the conditions out"),
    Bad("answers.rings.matches('st.*')", "C07", 1, "whole text"),
    Bad("readings.vacuum == null", "C07", 20, "taken('readings.vacuum')"),
    Bad("int(readings.vacuum) > 20", "C07", 1, "round(x)"),
    # characters and texts
    Bad("readings.vacuum \u2265 20", "C02", 17, "Write >="),
    Bad("readings.wedge \u00d7 2 > 5", "C02", 16, "Write *"),
    Bad("answers.rings == \u2018still\u2019", "C02", 18, "straight"),
    Bad("readings.vacuum > 20 \u00a7", "C02", 22, "Take it out"),
    Bad("answers.rings == 'still", "C03", 18, "Close it with '"),
    Bad("answers.rings == 'st\\ill'", "C03", 21, "the character itself"),
    # brackets
    Bad("(readings.vacuum > 20", "C08", 1, "Put a )"),
    Bad("readings.vacuum > 20)", "C08", 21, "its own kind"),
    Bad("(readings.vacuum > 20]", "C08", 22, "its own kind"),
    Bad("answers.rings in ['still', 'moving'", "C08", 18, "Put a ]"),
    Bad("min(readings.vacuum, 20 > 5", "C08", 4, "Put a )"),
    # something is missing
    Bad("", "C09", 1, "Write a condition"),
    Bad("   ", "C09", 1, "Write a condition"),
    Bad("readings.vacuum >", "C09", 17, "Write the value"),
    Bad("readings.vacuum > 20 &&", "C09", 22, "Write the value"),
    Bad("> 20", "C09", 1, "A value belongs here"),
    Bad("min(1, , 2) > 0", "C09", 8, "A value belongs here"),
    Bad("(readings.vacuum > )", "C09", 20, "missing after >"),
    Bad("// readings.vacuum > 20", "C09", 1, "A value belongs here"),
    # two values side by side
    Bad("readings.vacuum > 20 inHg", "C10", 22, "Units are not written"),
    Bad("readings.vacuum > 20inHg", "C10", 21, "Units are not written"),
    Bad("readings.vacuum > 20,5", "C10", 21, "with a point: 1.5"),
    Bad("answers.rings 'still'", "C10", 15, "a sign such as =="),
    Bad("readings.vacuum < 1e999", "C10", 19, "Write a smaller one"),
    Bad("readings.vacuum > 0x14", "C10", 20, "Units are not written"),
    # ? and :
    Bad("readings.wedge > 5 ? true", "C11", 26, "value if not"),
    Bad("readings.wedge : 5", "C11", 16, "? before it"),
    # names
    Bad("readings.vaccum > 20", "C12", 1, "Did you mean readings.vacuum?"),
    Bad("readings.pressure > 20", "C12", 1, "name: pressure"),
    Bad("5 < settings.exposer", "C12", 5, "Did you mean settings.exposure?"),
    Bad("settings.vacuum > 20", "C12", 1, "Did you mean readings.vacuum?"),
    Bad("reading.vacuum > 20", "C12", 1, "Did you mean readings.vacuum?"),
    Bad("vacuum > 20", "C12", 1, "Write readings.vacuum."),
    Bad("readings > 20", "C12", 1, "Write which: readings."),
    Bad("readings.vacuum.value > 20", "C12", 1, "Write readings.vacuum."),
    Bad("plate.weight > 20", "C12", 1, "Its measures are"),
    # functions
    Bad("exposure_for_steps(24, 4, 6) > 20", "C13", 1, "Did you mean exposure_for_step?"),
    Bad("triez('read-gauge') > 2", "C13", 1, "Did you mean tries?"),
    Bad("cube(2) > 2", "C13", 1, "The functions are"),
    Bad("exposure_for_step(24, 4) > 20", "C13", 1, "exposure_for_step(units, read, target)"),
    Bad("min(1) > 0", "C13", 1, "takes 2 or 3 values; here there is 1"),
    Bad("min(1, 2, 3, 4) > 0", "C13", 1, "here there are 4"),
    Bad("answers.rings.startsWith('st')", "C13", 1, "not after a dot"),
    # kinds that do not go together
    Bad("answers.rings == 3", "C14", 18, "Write a text in quotes"),
    Bad("readings.vacuum == '20'", "C14", 20, "Write the number without quotes"),
    Bad("'20' <= readings.vacuum", "C14", 1, "Write the number without quotes"),
    Bad("readings.vacuum && plate.passes", "C14", 1, "Compare it with something"),
    Bad("!readings.vacuum > 20", "C14", 2, "Put brackets round the whole comparison"),
    Bad("answers.rings > 'still'", "C14", 15, "Write == or !="),
    Bad("readings.wedge > 5 ? 1 : 'none'", "C14", 26, "Make both the same", "number"),
    Bad("answers.rings + 1 > 2", "C14", 1, "Write a number"),
    Bad("max(readings.vacuum, 'a') > 2", "C14", 22, "Write a number"),
    Bad("tries(read-gauge) > 2", "C14", 7, "Write tries('read-gauge')"),
    Bad("taken(readings.vacuum)", "C14", 7, "Write taken('readings.vacuum')"),
    Bad("readings.wedge in []", "C14", 19, "The list is empty"),
    Bad("answers.leaks == 'tape'", "C14", 18, "Write a list"),
    # the whole gives another kind
    Bad("readings.vacuum", "C15", 1, "Write a comparison"),
    Bad("answers.rings", "C15", 1, "Write a comparison"),
    Bad("readings.vacuum > 20", "C15", 1, "Write what it is worked out from", "number"),
    # a bare word for a text
    Bad("answers.rings == still", "C16", 18, "A text stands in quotes: 'still'"),
    Bad("answers.rings == fast", "C16", 18, "Write 'fast'"),
    Bad("tries > 2", "C16", 1, "write tries('step')"),
    # texts that are no answer, step or value
    Bad("answers.rings == 'stil'", "C17", 18, "Did you mean 'still'?"),
    Bad("answers.rings in ['still', 'gone']", "C17", 28, "Its answers are still and moving"),
    Bad("'tap' in answers.leaks", "C17", 1, "Did you mean 'tape'?"),
    Bad("tries('read-guage') > 2", "C17", 7, "Did you mean 'read-gauge'?"),
    Bad("taken('vacuum')", "C17", 7, "Did you mean 'readings.vacuum'?"),
    # too much
    Bad("1 + " * 250 + "1 > 2", "C01", 1, "work_out"),
    Bad("1+" * 200 + "1 > 2", "C01", 301, "work_out"),
    Bad("(" * 25 + "1" + ")" * 25 + " > 2", "C01", 21, "work_out"),
    Bad("!" * 25 + "plate.passes", "C01", 21, "work_out"),
)


@pytest.mark.parametrize("bad", BAD, ids=[f"{bad.code}-{bad.formula[:30]}" for bad in BAD])
def test_a_bad_formula_is_told_where_it_is_wrong_and_what_to_write(bad: Bad) -> None:
    """Each formula of the table gives its code at its column, with the words that help its author."""
    with pytest.raises(FormulaFault) as caught:
        compile_formula(bad.formula, SCOPE, bad.wanted)
    fault = caught.value
    assert (fault.code, fault.column) == (bad.code, bad.column), str(fault)
    assert bad.words in str(fault).replace("`", "")
    assert fault.help


def test_no_fault_speaks_in_the_words_of_a_compiler() -> None:
    """No answer to a bad formula holds words that only a programmer knows."""
    for bad in BAD:
        with pytest.raises(FormulaFault) as caught:
            compile_formula(bad.formula, SCOPE, bad.wanted)
        for word in (
            "overload",
            "token",
            "syntax",
            "EOF",
            "double",
            "string",
            "bool ",
            "operand",
            "identifier",
        ):
            assert word not in str(caught.value).replace("double is not", ""), (
                bad.formula,
                str(caught.value),
            )


def test_every_code_of_a_fault_has_a_meaning() -> None:
    """The codes of the table are all explained in the list of codes."""
    assert {bad.code for bad in BAD} <= set(CODES)
