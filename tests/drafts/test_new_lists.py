"""Lists of acts as instructors have them: what is read from them, and what is said where they are wrong."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.procedure.drafts.draft import draft
from trainer.procedure.drafts.listing import LONGEST, Act, Group, Listing, read_listing
from trainer.procedure.drafts.skeleton import Begun, ids_for, scalar
from trainer.procedure.load import load_bytes
from trainer.procedure.reader import read_tree

WIPE = Act("Wipe the glass", ("Lint-free cloth", "No cleaner on the frame"), "A speck is burned in", 1)


def acts(listing: Listing) -> list[tuple[str, tuple[str, ...], str]]:
    """The acts without their lines; there must be no problem."""
    assert listing.problems == ()
    return [(act.do, act.key_points, act.why) for group in listing.groups for act in group.acts]


@pytest.mark.parametrize(
    ("source", "table"),
    [
        ("Wipe the glass | Lint-free cloth; No cleaner on the frame | A speck is burned in", False),
        ("\n\n1. Wipe the glass|Lint-free cloth;No cleaner on the frame|A speck is burned in\r\n\r\n", False),
        ("- Wipe the glass\tLint-free cloth; No cleaner on the frame\tA speck is burned in\n", False),
        (("Act,Key points,Reason\nWipe the glass,Lint-free cloth; No cleaner on the frame,"
         "A speck is burned in"), True),
        ('Wipe the glass;"Lint-free cloth;No cleaner on the frame";A speck is burned in\n;;\n', True),
        ('"Wipe\nthe glass","- Lint-free cloth\n- No cleaner on the frame",A speck is burned in,,\n', True),
        (("Step|Key point|Reason\rWipe the glass|Lint-free cloth;No cleaner on the frame"
         "|A speck is burned in"), False),
    ],
)  # fmt: skip
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_the_same_act_is_read_from_every_form(source: str, *, table: bool, encoding: str) -> None:
    """Bars, tabs, commas, semicolons, quotes, numbers, empty lines, heads, encodings: no difference."""
    read = read_listing(source.encode(encoding), table=table)
    assert acts(read) == [(WIPE.do, WIPE.key_points, WIPE.why)]


def test_commas_of_sentences_part_nothing_in_plain_lines() -> None:
    """In a list that is no table a comma belongs to the sentence; key points and reason may be missing."""
    assert acts(read_listing(b"Lower the glass, lock it\nLook", table=False)) == [
        ("Lower the glass, lock it", (), ""),
        ("Look", (), ""),
    ]


def test_headings_make_stages() -> None:
    """A line that begins with # begins a stage with that title."""
    groups = read_listing(b"# First\nWipe\n\n## Second part\nLook\n", table=False).groups
    assert [(group.title, [act.do for act in group.acts]) for group in groups] == [
        ("First", ["Wipe"]),
        ("Second part", ["Look"]),
    ]


def test_accents_of_an_old_spreadsheet_are_read_and_told() -> None:
    """A list in Windows-1252 is read as that, and a note says so."""
    read = read_listing("Lávate las manos".encode("cp1252"), table=True)
    assert acts(read) == [("Lávate las manos", (), "")]
    assert "Windows-1252" in read.notes[0]


@pytest.mark.parametrize(
    ("source", "said"),
    [
        (b"Wipe\n| Lint-free | why\n", "Line 2: no act"),
        (b"Wipe | a | b | c | d\n", "Line 1: 5 columns"),
        (b"Wipe\n\n" + b"x" * (LONGEST + 1), f"Line 3: the act has {LONGEST + 1} characters"),
        (b"Wipe | " + b"x" * (LONGEST + 1), "Line 1: the key point has"),
        (b"Wipe | a | " + b"x" * (LONGEST + 1), "Line 1: the reason has"),
        (b"\n  \n", "The list has no acts"),
        (b"PK\x03\x04\x00\x00", "save the spreadsheet as CSV"),
        (b"\xff\xfea", "no text that can be read"),
        (b"a\n" * 2001, "more than 2000 acts"),
        (b"a" * (2**20 + 1), "larger than 1 MiB"),
    ],
)
def test_what_is_wrong_with_a_list_is_said(source: bytes, said: str) -> None:
    """Each mistake in a list is told in a sentence, with its line where it has one."""
    assert any(
        problem.startswith(said) or said in problem for problem in read_listing(source, table=False).problems
    )


def test_lines_are_counted_as_an_editor_counts_them() -> None:
    """A cell over several lines does not shift the numbers of the lines after it."""
    read = read_listing(b'Wipe,"one\ntwo"\nLook,a,b,c,d\n', table=True)
    assert read.problems[0].startswith("Line 3: 5 columns")


lines = st.text(st.characters(codec="utf-8"), max_size=40)


@given(rows=st.lists(st.tuples(lines, lines, lines), min_size=1, max_size=6), table=st.booleans())
def test_whatever_is_read_makes_a_clean_file_with_the_same_acts(
    rows: list[tuple[str, str, str]], *, table: bool
) -> None:
    """Any text as a list gives sentences, or acts whose file is clean and reads back the same."""
    read = read_listing("\n".join("|".join(row) for row in rows).encode("utf-8", "replace"), table=table)
    if read.problems:
        assert all(problem[-1] in ".,;" for problem in read.problems)
        return
    made = draft(Begun("made", "Made", "From a list.", "The work", read.groups))
    assert made.problems == ()
    plan = load_bytes(made.text.encode(), "made.yaml").require()
    told = [(step.do, step.key_points, step.why or "") for step in plan.steps.values()]
    assert told == acts(read)


@given(
    st.text(
        st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\u2028\u2029\ufeff\ufffe\uffff"),
        min_size=1,
    )
)
def test_a_scalar_is_read_back_as_it_was(text: str) -> None:
    """Any text on one line stands in YAML so that the reader gives it back (or refuses its characters)."""
    tree = read_tree(f"a: {scalar(text)}".encode(), "x")
    if tree.complete and not tree.problems:
        assert tree.value == {"a": text}


@given(source=st.binary(max_size=200), table=st.booleans())
def test_any_bytes_give_acts_or_sentences(source: bytes, *, table: bool) -> None:
    """Whatever a file holds, reading it raises nothing; what is too long is said."""
    read = read_listing(source, table=table)
    assert read.problems or read.groups
    assert all(len(act.do) <= LONGEST for group in read.groups for act in group.acts) or read.problems


def test_ids_are_ids_and_no_two_alike() -> None:
    """Ids come from the words that say something; reserved ones and doubles get a number."""
    assert ids_for(["Wipe the glass", "Wipe a glass.", "Done", "漢字", "2nd Stop", "Öl auf die Walze"]) == [
        "wipe-glass",
        "wipe-glass-2",
        "done-2",
        "step-4",
        "stop-2",
        "ol-auf-die-walze",
    ]  # fmt: skip


def test_the_skeleton_without_a_list_has_only_texts_to_be_written() -> None:
    """The first file can be run, whatever its title; every warning is of a text to be replaced."""
    for title in ("Cleaning: the glass", "Yes", "#1", '"[x]"', "漢字"):
        made = draft(Begun("made", title, title, title))
        assert made.problems == ()
        loaded = load_bytes(made.text.encode(), "made.yaml")
        assert loaded.require().procedure.title == title
        assert [problem.code for problem in loaded.problems] == ["S36"] * len(loaded.require().steps)


def test_an_empty_group_is_no_stage() -> None:
    """Headings without acts under them are left out."""
    read = read_listing(b"# Empty\n# Full\nWipe\n", table=False)
    assert read.groups == (Group("Full", (Act("Wipe", (), "", 3),)),)
