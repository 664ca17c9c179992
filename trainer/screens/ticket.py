"""The start screen's form, without a screen: open runs to go on with, then who, what and how.

Up and Down move, Left and Right change a choice, typing fills a line, Enter goes on. It holds values only;
what is begun is decided by whoever asks `enter`.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal

from trainer.procedure.text import clean
from trainer.screens.words import GUIDANCE, KINDS, LEVELS
from trainer.tongue import spoken

LONGEST = 30
"""Characters in a typed line."""


@dataclass(slots=True)
class Row:
    """One row. open: a run to go on with (`value` is its id). line: typed. choice: one of `options`."""

    kind: Literal["open", "line", "choice", "begin"]
    id: str
    label: str
    value: str = ""
    options: tuple[tuple[str, str], ...] = ()
    more: str = ""

    @property
    def place(self) -> int:
        """Which of the options is chosen, from 0."""
        return next((number for number, (key, _) in enumerate(self.options) if key == self.value), 0)

    @property
    def words(self) -> str:
        """What the chosen option says, or what is typed."""
        return self.options[self.place][1] if self.options else self.value


@dataclass(frozen=True, slots=True)
class Wanted:
    """What Enter asks for: to go on with `run`, or to begin anew with the rest.

    faults: fault practice. review: no run at all, but the review after class.
    """

    run: str = ""
    trainee: str = ""
    procedure: str = ""
    guidance: Literal["full", "cued", "solo"] = "full"
    job: str = ""
    colour: str = ""
    rehearsal: bool = False
    faults: bool = False
    review: bool = False


@dataclass
class Ticket:
    """The form. `at` is the row that keys go to; `said` is what is missing or went wrong.

    rehearsed: the procedures that can be rehearsed; for another one, that kind of run is no choice.
    known: codes of the trainees known here, so that nobody becomes two people by a hyphen left out.
    """

    rows: list[Row]
    at: int = 0
    said: str = ""
    rehearsed: frozenset[str] = frozenset()
    known: tuple[str, ...] = ()
    open_runs: int = field(init=False)
    _kind: str = field(init=False)
    """The kind that was chosen last: it comes back with the first work that has it."""

    def __post_init__(self) -> None:
        self._kind = self.find("kind").value
        self.open_runs = sum(row.kind == "open" for row in self.rows)
        self.fit_kinds()

    def fit_kinds(self) -> None:
        """Offer the kinds of run that the chosen work has, and say why one is missing."""
        work, kind = self.find("procedure"), self.find("kind")
        there = not work.value or work.value in self.rehearsed
        kind.options = tuple(
            (key, spoken(said)) for key, said in KINDS.items() if there or key != "rehearsal"
        )
        kind.more = "" if there else spoken("No rehearsal of this work: no step of it uses the bench.")
        kind.value = self._kind if self._kind in dict(kind.options) else kind.options[0][0]

    def take(self, values: Mapping[str, str]) -> None:
        """Fill in what was typed and chosen before, by the rows' ids."""
        for row in self.rows:
            row.value = values.get(row.id, row.value)
        self._kind = values.get("kind", self._kind)
        self.fit_kinds()

    @property
    def row(self) -> Row:
        """The row that keys go to."""
        return self.rows[self.at]

    def find(self, row_id: str) -> Row:
        """The row with that id."""
        return next(row for row in self.rows if row.id == row_id)

    def move(self, rows: int) -> None:
        """Go up or down; the ends hold."""
        self.at = min(max(0, self.at + rows), len(self.rows) - 1)

    def go_to(self, row_id: str) -> None:
        """Go to a row by its id."""
        self.at = self.rows.index(self.find(row_id))

    @property
    def alike(self) -> str:
        """The first known code that begins as the typed one does, hyphens aside; empty where there is none.

        Also empty where nothing is typed, and where what is typed is a known code already.
        """
        typed = self.find("trainee").value.strip().upper()
        if not _bare(typed) or typed in self.known:
            return ""
        return next((code for code in self.known if _bare(code).startswith(_bare(typed))), "")

    @property
    def hint(self) -> str:
        """What to say beside the trainee's code while it is not one that is known here."""
        typed = self.find("trainee").value.strip().upper()
        if not typed or not self.known or typed in self.known:
            return ""
        if self.alike:
            return spoken("{code} is known here: Right completes it", code=self.alike)
        return spoken("not known here yet")

    def turn(self, steps: int) -> None:
        """Change a choice, or complete a trainee's code; other rows do nothing."""
        if self.row.id == "trainee" and steps > 0 and self.alike:
            self.row.value = self.alike
        if self.row.options:
            place = (self.row.place + steps) % len(self.row.options)
            self.row.value = self.row.options[place][0]
            if self.row.id == "kind":
                self._kind = self.row.value
            self.fit_kinds()

    def types(self, character: str) -> bool:
        """Would this be typed? On an open run it begins a code, so that Enter takes up nobody else's run."""
        return self.row.kind == "line" or (self.row.kind == "open" and character.isalnum())

    def type(self, character: str) -> None:
        """Add to a typed line; from an open run to the trainee's code. Other rows do nothing."""
        if self.row.kind == "open" and self.types(character):
            self.go_to("trainee")
            self.row.value = ""
        if self.row.kind == "line":
            self.row.value = clean(self.row.value + character).replace("\n", " ").lstrip()[:LONGEST]
            self.said = ""

    def rub_out(self) -> None:
        """Take the last character of a typed line away."""
        if self.row.kind == "line":
            self.row.value = self.row.value[:-1]

    def enter(self) -> Wanted | None:
        """Go on from this row: what is asked for now, or None where it only moved."""
        if self.row.kind == "open":
            return Wanted(run=self.row.value)
        if self.row.kind != "begin":
            self.move(1)
            return None
        return self._begin()

    def _begin(self) -> Wanted | None:
        if not self.find("trainee").value.strip():
            self.said = spoken("Who works? Type the trainee's code, for instance T-01.")
            self.go_to("trainee")
            return None
        if not self.find("procedure").options:
            self.said = spoken("There is no procedure here that can be read. Look with `sinkside check`.")
            return None
        guidance = self.find("guidance").value
        return Wanted(
            trainee=self.find("trainee").value.strip(),
            procedure=self.find("procedure").value,
            guidance="solo" if guidance == "solo" else "cued" if guidance == "cued" else "full",
            job=self.find("job").value.strip(),
            colour=self.find("colour").value.strip(),
            rehearsal=self.find("kind").value == "rehearsal",
            faults=self.find("kind").value == "faults",
        )


def new_ticket(  # noqa: PLR0913 - all named where it is called
    open_runs: Sequence[tuple[str, str]],
    procedures: Sequence[tuple[str, str, str]],
    given: Wanted,
    *,
    languages: Sequence[tuple[str, str]] = (),
    language: str = "",
    rehearsed: Collection[str] = (),
    known: Sequence[str] = (),
) -> Ticket:
    """The form as it stands first.

    open_runs: (run id, words) each. procedures: (id, title, summary) each. given: what the command said.
    languages: (code, name) of each that can be picked, `language` the one that is spoken. rehearsed: ids of
    the procedures that can be rehearsed. known: codes of the trainees known here.
    """
    ids = [key for key, _, _ in procedures]
    chosen = given.procedure if given.procedure in ids else (ids[0] if ids else "")
    kind = "faults" if given.faults else "rehearsal" if given.rehearsal else "wet"
    rows = [Row("open", f"run-{run}", words, run) for run, words in open_runs]
    if languages:
        rows.append(Row("choice", "language", spoken("Language"), language, tuple(languages)))
    rows += [
        Row("line", "trainee", spoken("Trainee"), given.trainee, more=spoken("your code, for instance T-01")),
        Row(
            "choice", "procedure", spoken("Work"), chosen, tuple((key, title) for key, title, _ in procedures)
        ),
        Row(
            "choice",
            "kind",
            spoken("Kind"),
            kind,
        ),
        Row(
            "choice",
            "guidance",
            spoken("Guidance"),
            given.guidance,
            tuple((level, spoken(LEVELS[level])) for level in GUIDANCE),
        ),
        Row("line", "job", spoken("Job"), given.job, more=spoken("what is printed; may be left empty")),
        Row(
            "line", "colour", spoken("Colour"), given.colour, more=spoken("of this plate; may be left empty")
        ),
        Row("begin", "begin", spoken("Begin")),
    ]
    ticket = Ticket(rows, rehearsed=frozenset(rehearsed), known=tuple(known))
    if given.trainee or given.procedure:
        ticket.go_to("begin" if given.trainee else "trainee")
    elif not open_runs:
        ticket.go_to("trainee")
    return ticket


def _bare(code: str) -> str:
    """Letters and digits alone."""
    return "".join(filter(str.isalnum, code))
