"""Every place in the program that cleans a text, and a probe that shows what comes of a hostile one there."""

from __future__ import annotations

import io
import json
import sqlite3
from collections.abc import Callable, Mapping
from contextlib import chdir, closing, redirect_stderr, redirect_stdout, suppress
from dataclasses import asdict, replace
from pathlib import Path
from unittest.mock import patch

from click.testing import CliRunner
from hostile_after_class import AFTER_CLASS
from hostile_at_step import AT_STEP
from hostile_checks import CHECKING
from hostile_insight import INSIGHT
from hostile_keeping import KEEPING
from hostile_procedure import PICTURE, picture, write
from hostile_review import REVIEWING
from hostile_settling import SETTLING
from hostile_shared import SHARED
from hostile_texts import EVERYTHING, FORGED, MARK, texts_of
from record_kit import Station, opened, station_with_a_run

from trainer import cli, places
from trainer.commands import saying, writing
from trainer.procedure import render
from trainer.procedure.drafts.listing import read_listing
from trainer.procedure.files import FileTrouble, yaml_files
from trainer.procedure.heads import read_head
from trainer.procedure.pictures import read_picture
from trainer.procedure.problems import Place, Problem, Related, first_sentence
from trainer.procedure.reader import read_tree
from trainer.procedure.source import read_source
from trainer.record import findings
from trainer.record.packing import unpacked
from trainer.record.people import People
from trainer.record.pins import PinCheck
from trainer.rehearsal.walk import WalkResult
from trainer.rehearsal.walking import Walked
from trainer.run import wire
from trainer.run.fakes import FakeClock, FakeJournal
from trainer.run.ports import Trouble
from trainer.run.session import Run
from trainer.screens import app, leaving, preview, questions
from trainer.screens.draft import Preview
from trainer.screens.lines import StreamLines
from trainer.screens.start import open_words
from trainer.screens.station import Station as RunStation
from trainer.screens.ticket import Row, Ticket, Wanted

TEXT = f"{MARK}{EVERYTHING}"
LINE = f"{MARK}{EVERYTHING}{FORGED}"
"""For what is one line."""
NAME = f"{MARK}\x1b]0;owned\x07\x1b[31m\x9b2J\x85\u202e\u200b\u2028\x7f\udcff [x]{FORGED}"
"""For the name of a file: no slash, not too long."""

Probe = Callable[[Path], str]


def _source(folder: Path) -> str:
    del folder
    return f"{read_source(f'a: {TEXT}'.encode()).text}"


def _building(folder: Path) -> str:
    file = write(folder, TEXT, coded=True)
    return " ".join(texts_of(read_tree(file.read_bytes(), "x").value))


def _problem() -> Problem:
    return Problem("S01", "error", LINE, LINE, related=(Related(Place(), TEXT),))


def _render(folder: Path) -> str:
    del folder
    return render.as_text([replace(_problem(), message=TEXT, help=TEXT)], TEXT, NAME)


def _pictures(folder: Path) -> str:
    rows: list[str] = []
    for number, text in enumerate(TEXT.replace("\r", "").split("\x1b")):
        picture(folder / str(number), text[:30])
        rows += read_picture(folder / str(number) / "x.yaml", PICTURE) or ()
    return "\n".join(rows)


def _files(folder: Path) -> str:
    try:
        yaml_files(folder / NAME)
    except FileTrouble as told:
        return str(told)
    raise AssertionError("there is such a file")


def _heads(folder: Path) -> str:
    file = folder / f"{NAME}.yaml"
    file.write_text("format: 1\n", encoding="utf-8")
    head = read_head(file)
    return f"{head.id} {head.title} {head.problem}"


def _problems(folder: Path) -> str:
    del folder
    return first_sentence([_problem()], NAME)


def _walking(folder: Path) -> str:
    del folder
    return Walked((WalkResult(NAME, LINE, passed=True, findings=()),)).as_text()


def _walk(folder: Path) -> str:
    del folder
    return "".join(WalkResult(NAME, "", passed=False, findings=(_clean_problem(),)).lines())


def _clean_problem() -> Problem:
    return Problem("S01", "error", "x", "x")


def _codes_kept(record: Path, question: str) -> str:
    with closing(sqlite3.connect(record)) as connection:
        return " ".join(str(cell) for row in connection.execute(question) for cell in row)


def _pins(folder: Path) -> str:
    station = Station(folder)
    station.open().close()
    PinCheck(station.path, station.clock).check(TEXT, "271828")
    PinCheck(station.path, station.clock).check("\x1b\x9b\u202e", "271828")
    return _codes_kept(station.path, "SELECT instructor FROM pin_tries")


def _findings(folder: Path) -> str:
    del folder
    return f"{findings.problem('x', LINE, LINE)} {findings.note('x', LINE, LINE).message}"


def _packing(folder: Path) -> str:
    event = Station(folder).event("r1", replace(opened(), job=TEXT, colour=TEXT))
    kept = json.dumps(wire.event_to_json(event), ensure_ascii=False)
    return " ".join(texts_of(wire.event_to_json(unpacked(kept, "r1", 1))))


def tampered(folder: Path, *changes: str, text: str = LINE) -> Path:
    """A record with a whole run and one that is open, changed by statements with `?` for a hostile text."""
    station = station_with_a_run(folder)
    with station.open() as journal:
        station.keep(journal, "r2", (None, opened("T-02")))
        People(journal).add("T-07", "Somebody")
    with closing(sqlite3.connect(station.path)) as connection:
        connection.execute("PRAGMA ignore_check_constraints = ON")
        for change in changes:
            connection.execute(change, (text,) * change.count("?"))
        connection.commit()
    return station.path


def _people(folder: Path) -> str:
    record = tampered(
        folder,
        "UPDATE people SET name = ?, added_at = ?, role = ? WHERE code = 'T-01'",
        "UPDATE people SET code = ? WHERE code = 'T-02'",
        "INSERT INTO pin_tries (instructor, at, boot, ticks_ms, found) VALUES ('T-01', ?, '', 0, ?)",
        text=LINE.encode("utf-8", "replace").decode(),
    )
    with People.at(record, FakeClock()) as people:
        export = " ".join(texts_of(people.export("T-01"))).replace("\n", " ")
        return f"{people.all()} {' '.join(people.codes())} {people.show('T-01').name} {export}"


def _journal(folder: Path) -> str:
    record = tampered(
        folder,
        "UPDATE runs SET trainee = ?, procedure = ?, guidance = ?, last_at = ?, job = ?",
        "UPDATE standing SET step = ?",
    )
    with Station(folder).open() as journal:
        assert journal.path == record
        return " ".join(str(cell) for run in journal.open_runs() for cell in asdict(run).values())


def _ports(folder: Path) -> str:
    del folder
    return str(Trouble(LINE))


def run_of(folder: Path, **said: str) -> tuple[Run, FakeJournal]:
    """A run of a procedure with nothing hostile in it; `said`: job, colour, trainee."""
    from trainer.procedure.load import load

    plan = load(write(folder, "Plain words")).require()
    journal, clock = FakeJournal(), FakeClock()
    run = Run.open(
        plan,
        run="r1",
        trainee=said.get("trainee", "T-01"),
        guidance="full",
        settings={},
        journal=journal,
        clock=clock,
        job=said.get("job", ""),
        colour=said.get("colour", ""),
    )
    return run, journal


def _session(folder: Path) -> str:
    run, journal = run_of(folder, job=TEXT, colour=TEXT, trainee=TEXT)
    run.note(TEXT, by=TEXT)
    run.hand_over(TEXT + "2")
    run.spoil(TEXT)
    run.stop(TEXT)
    return " ".join(text for event in journal.events("r1") for text in texts_of(wire.event_to_json(event)))


def _questions(folder: Path) -> str:
    del folder
    return questions.typed(LINE)


def _ticket(folder: Path) -> str:
    del folder
    always = [Row("choice", "procedure", "Work"), Row("choice", "kind", "Kind")]
    ticket = Ticket([Row("line", "job", "Job"), *always])
    kept = []
    for sign in TEXT:
        ticket.type(sign)
        kept.append(ticket.row.words)
        ticket.row.value = ""
    return "".join(kept)


def _start(folder: Path) -> str:
    with Station(folder).open() as journal:
        station = Station(folder / "two")
        station.keep(journal, "r2", (None, opened("T-02")))
        (run,) = journal.open_runs()
    return open_words(replace(run, job=TEXT, trainee=TEXT, procedure=TEXT), {})


def _station(folder: Path) -> str:
    with RunStation.open(record=folder / "r.db", clock=FakeClock()) as station:
        return station._words(TEXT) + station._words({"en": TEXT})


def _leaving(folder: Path) -> str:
    told = io.StringIO()
    home = {"SINKSIDE_HOME": str(folder / NAME)}
    with redirect_stderr(told), patch.dict("os.environ", home):
        leaving.tell(TEXT)
        leaving.say_fault(ValueError(TEXT))
        return told.getvalue() + places.log_path().read_text("utf-8", "surrogateescape")


def _app(folder: Path) -> str:
    class Terminal(io.StringIO):
        def isatty(self) -> bool:
            return True

    wanted: list[Wanted] = []
    with (
        RunStation.open(record=folder / "r.db", clock=FakeClock()) as station,
        patch.object(app, "_run", lambda _, said: wanted.append(said)),
        patch.multiple("sys", stdin=Terminal(), stdout=Terminal(), stderr=Terminal()),
    ):
        app.run_app(station, trainee=TEXT, job=TEXT, colour=TEXT)
    return f"{wanted[0].trainee} {wanted[0].job} {wanted[0].colour}"


def _lines(folder: Path) -> str:
    del folder
    lines = StreamLines(io.StringIO(LINE.replace("\n", " ") + "\n"), io.StringIO())
    return f"{lines.read(None)}"


def _cli(folder: Path) -> str:
    del folder
    return CliRunner().invoke(cli.main, [TEXT]).stderr


def _person(folder: Path) -> str:
    erase = ["record", "--record", str(folder / "r.db"), "person", "erase", LINE]
    return CliRunner().invoke(cli.main, erase, input="n\n").stderr


def _saying(folder: Path) -> str:
    del folder
    with redirect_stderr(io.StringIO()) as told, suppress(SystemExit):
        saying.end(LINE)
    return told.getvalue()


def _writing(folder: Path) -> str:
    told = io.StringIO()
    with redirect_stderr(told):
        writing.put("new", folder / NAME)
    return told.getvalue()


def _listing(folder: Path) -> str:
    del folder
    return f"{read_listing(TEXT.encode('utf-8', 'replace'), table=False).groups[0].acts[0].do}"


def _new(folder: Path) -> str:
    told = io.StringIO()
    with redirect_stdout(told), chdir(folder), suppress(SystemExit):
        cli.main(["new", "begun", "--into", "."], standalone_mode=False)
        (folder / NAME).mkdir()
        cli.main(["new", "begun", "--into", NAME], standalone_mode=False)
    return told.getvalue()


def _preview(folder: Path) -> str:
    file = folder / f"{NAME}.yaml"
    file.write_text("", encoding="utf-8")
    screen = preview.Previewing(Preview(file), watching=False)
    return "".join(block.content.plain for block in screen.told(screen.preview.view()))


CLEANING: Mapping[str, Probe] = {
    "trainer.procedure.source": _source,
    "trainer.procedure.building": _building,
    "trainer.procedure.render": _render,
    "trainer.procedure.pictures": _pictures,
    "trainer.procedure.files": _files,
    "trainer.procedure.heads": _heads,
    "trainer.procedure.drafts.listing": _listing,
    "trainer.procedure.problems": _problems,
    "trainer.rehearsal.walking": _walking,
    "trainer.rehearsal.walk": _walk,
    "trainer.record.pins": _pins,
    "trainer.record.findings": _findings,
    "trainer.record.packing": _packing,
    "trainer.record.people": _people,
    "trainer.record.journal": _journal,
    "trainer.run.ports": _ports,
    "trainer.run.session": _session,
    "trainer.screens.questions": _questions,
    "trainer.screens.ticket": _ticket,
    "trainer.screens.start": _start,
    "trainer.screens.station": _station,
    "trainer.screens.leaving": _leaving,
    "trainer.screens.app": _app,
    "trainer.screens.lines": _lines,
    "trainer.screens.preview": _preview,
    "trainer.cli": _cli,
    "trainer.commands.person": _person,
    "trainer.commands.new": _new,
    "trainer.commands.saying": _saying,
    "trainer.commands.writing": _writing,
    **CHECKING,
    **INSIGHT,
    **KEEPING,
    **REVIEWING,
    **SHARED,
    **SETTLING,
    **AT_STEP,
    **AFTER_CLASS,
}
"""By module that cleans: what comes out where a hostile text goes in."""

ELSEWHERE: Mapping[str, str] = {
    "trainer.commands.demo": "the name of a file that was given, quoted: hostile_commands",
    "trainer.commands.review": "ids only ask; on the screen: hostile_review",
    "trainer.commands.report": "codes and ids only ask; what is said of them: hostile_commands",
    "trainer.insight.report.page": "the finished page is cleaned as a whole: tests/report",
    "trainer.record.codes": "refuses whatever is no letter, digit or hyphen, cleaned or not",
    "trainer.rehearsal.after": "the procedure's texts came through the reader; put on one line",
    "trainer.rehearsal.as_walk": "what the journal gives was cleaned there; put on one line, in a comment",
    "trainer.rehearsal.practice": "a job's title came through the reader; it and a name are put on one line",
    "trainer.rehearsal.practice_words": "the journal cleaned it; an unknown key is put on one line",
    "trainer.rehearsal.shop_card": "a setting's label came through the reader; put on one line",
    "trainer.rehearsal.walked_ways": "the procedure's conditions came through the reader; put on one line",
    "trainer.screens.ask": "on a screen: test_faults_text_screens",
    "trainer.screens.misses": "the procedure's texts came through the reader; put on one line",
    "trainer.serving.server": "an address of a socket, and what trainer.serving.session has cleaned",
}
"""Modules that clean and have no probe here, each with the reason."""
