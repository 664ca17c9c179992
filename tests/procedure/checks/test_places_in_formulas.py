"""A column inside a formula is led to its line and column in the file, however YAML wrote the formula."""

from __future__ import annotations

import pytest
from broken import one_stage, problems_of, unmarked
from hypothesis import given, settings
from hypothesis import strategies as st

from trainer.procedure.checks_report import place_in_value
from trainer.procedure.problems import Place
from trainer.procedure.reader import read_tree

patient = settings(deadline=None)
"""A busy machine is no failure."""

WRITTEN = (
    "when: tries('one') > 1 ^and tries('one') < 3",
    "when:    tries('one') > 1 ^and tries('one') < 3",
    "\"when\": tries('one') > 1 ^and tries('one') < 3",
    "when: \"tries('one') > 1 ^and tries('one') < 3\"",
    "when: 'tries(''one'') > 1 ^and tries(''one'') < 3'",
    'when: "tries(\\"one\\") > 1 ^and tries(\\"one\\") < 3"',
    "when: >-\n          tries('one') > 1\n          ^and tries('one') < 3",
    "when: |\n          tries('one') > 1\n            ^and tries('one') < 3",
    "when: >\n\n          tries('one')   > 1 ^and\n          tries('one') < 3",
    "when: tries('one') > 1\n          ^and tries('one') < 3",
    "when: \"tries('one') > 1\n          ^and tries('one') < 3\"",
)


@pytest.mark.parametrize("written", WRITTEN, ids=range(len(WRITTEN)))
def test_a_fault_is_told_at_its_word(written: str) -> None:
    """Plain, quoted, folded and literal formulas all lead to the very word that is wrong."""
    text = one_stage("- id: one\n  do: First.\n  go:\n    - " + written + "\n      to: one")
    marked = unmarked(text)
    found = problems_of(marked.text)
    assert [(one.code, one.place.line, one.place.column) for one in found] == [
        ("C04", marked.line, marked.column)
    ]
    assert found[0].place.end_column == marked.column + len("and")


def test_what_is_missing_at_the_end_is_told_there() -> None:
    """A formula that ends too soon is told at what stands before the missing value."""
    marked = unmarked(one_stage("- {id: one, do: First., go: [{when: tries('one') ^>, to: one}]}"))
    found = problems_of(marked.text)
    assert [(one.code, one.place.line, one.place.column) for one in found] == [
        ("C09", marked.line, marked.column)
    ]


@given(
    st.text("ab1>.'\" \n", min_size=1, max_size=20).map(str.strip).filter(bool),
    st.integers(1, 25),
    st.sampled_from(["{}", "'{}'", '"{}"', ">-\n  {}", "|\n  {}"]),
)
@patient
def test_no_value_is_led_out_of_its_file(value: str, column: int, style: str) -> None:
    """For any value and column, the place is in the file, and an exact one shows the very character."""
    source = "key: " + style.format(value.replace("\n", "\n  ")) + "\n"
    tree = read_tree(source.encode(), "tried.yaml")
    read = tree.value.get("key") if isinstance(tree.value, dict) else None
    if not isinstance(read, str) or tree.problems:
        return
    place = place_in_value(tree.text, tree.place(("key",)), read, column)
    lines = tree.text.split("\n")
    assert 1 <= place.line <= len(lines)
    assert place <= Place(len(lines), 200, len(lines), 200)
    exact = place != tree.place(("key",)) and column <= len(read) and not read[column - 1].isspace()
    if exact:
        assert lines[place.line - 1][place.column - 1] == read[column - 1]
