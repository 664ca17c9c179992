"""An instructor's acts after class, done: each opens the record for writing, and closes it again."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from trainer.record.after_class import AfterClass, Instructor, Signable
from trainer.record.journal import StationJournal
from trainer.record.mistyped import ToPutRight, to_put_right, unlist
from trainer.record.part import part_of
from trainer.record.pins import PinCheck
from trainer.run.ports import Clock, SignOff, Trouble
from trainer.screens.review.askings import AT_STATION, Said

if TYPE_CHECKING:
    from trainer.record.part import Place

DONE = {
    "note": "The remark is kept with the run.",
    "excuse": "The run counts in no figure any more.",
    "sign": "The word is kept with the run.",
}


def signable(path: Place, clock: Clock, run: str) -> tuple[tuple[Signable, ...], str]:
    """What of a run can be signed after class, and a sentence where there is nothing."""
    path = part_of(path).record
    if not isinstance(path, Path):
        return (), AT_STATION
    try:
        with StationJournal(path, clock, make=False) as journal:
            found = AfterClass(journal, PinCheck(path, clock), clock).signable(run)
    except Trouble as told:
        return (), str(told)
    return found, "" if found else NOTHING


def mistyped(
    path: Place, clock: Clock, wrong: str, right: str, run: str = ""
) -> tuple[ToPutRight | None, str]:
    """What would be put right, of all runs of `wrong` or of one alone; or a sentence why nothing can be."""
    path = part_of(path).record
    if not isinstance(path, Path):
        return None, AT_STATION
    try:
        with StationJournal(path, clock, make=False) as journal:
            return to_put_right(journal, wrong, right, (run,) if run else ()), ""
    except Trouble as told:
        return None, str(told)


NOTHING = "There is nothing to sign: the procedure asks for no word on a step that this run came to."


def do(path: Place, clock: Clock, run: str, said: Said, sign_off: SignOff | None = None) -> tuple[bool, str]:
    """Do one act. Whether it is kept, and a sentence. It looks at the PIN, which is slow by design."""
    path = part_of(path).record
    if not isinstance(path, Path):
        return False, AT_STATION
    by = Instructor(said.code, said.pin)
    try:
        with StationJournal(path, clock, make=False) as journal:
            acts = AfterClass(journal, sign_off or PinCheck(path, clock), clock)
            if said.runs is not None:
                return True, _put_right(journal, acts, by, said.runs)
            if said.act == "note":
                acts.note(run, by, said.words)
            elif said.act == "excuse":
                acts.excuse(run, by, said.words)
            else:
                acts.sign(run, by, said.of, said.word, note=said.words)
    except Trouble as told:
        return False, str(told)
    return True, DONE[said.act]


def _put_right(journal: StationJournal, acts: AfterClass, by: Instructor, runs: ToPutRight) -> str:
    """As the command does it; what was done, in its sentences. Raises Trouble."""
    acts.put_right(runs, by)
    return f"{runs.after} {runs.unlisted}" if unlist(journal, runs.wrong) else runs.after
