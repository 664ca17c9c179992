"""A station: runs opened, left and taken up over the real record; nothing heavy before it is needed."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
from test_ticket import station

from trainer.procedure.problems import ProcedureProblems
from trainer.run.fakes import FakeClock
from trainer.run.ports import LeaseLost, PinVerdict, Trouble
from trainer.screens.questions import SignTry
from trainer.screens.station import NotHere, Station

HEAVY = ("pydantic", "cel_expr_python", "transitions", "argon2", "textual", "rich", "numpy")


def test_a_run_is_opened_left_and_taken_up_by_a_new_station(tmp_path: Path) -> None:
    """A run opened at one start of the program goes on at the next, at the same act, with its settings."""
    with station(tmp_path) as here:
        run = here.open_run("plate", "t-04", guidance="cued", job="card", colour="blue")
        opened = run.view()
    with Station.open(record=tmp_path / "record.db", procedures=tmp_path / "procedures") as later:
        assert later.to_go_on(None, None) == opened.run
        again = later.take_up(opened.run).view()
        assert (again.step, again.trainee, again.guidance, again.job) == (
            "look-at-film",
            "T-04",
            "cued",
            "card",
        )
        assert later.trainees() == ["T-04"]


def test_a_run_keeps_to_the_file_it_was_opened_with(tmp_path: Path) -> None:
    """An open run goes on by the bytes of its procedure as they were, whatever the file has become."""
    with station(tmp_path) as here:
        run_id = here.open_run("plate", "T-01").view().run
    (tmp_path / "procedures" / "plate.yaml").write_text("nothing: left\n", encoding="utf-8")
    with Station.open(record=tmp_path / "record.db", procedures=tmp_path / "procedures") as later:
        assert later.take_up(run_id).view().act.startswith("Lay the film")


@pytest.mark.parametrize(
    ("procedure", "trainee", "found"),
    [
        (None, None, False),
        ("plate", None, False),
        (None, "T-01", True),
        ("plate", "t-02", True),
        ("some/where/plate.yaml", "T-02", True),
        ("other", "T-01", False),
        (None, "T-09", False),
    ],
)
def test_the_one_open_run_that_fits_is_gone_on_with(
    procedure: str | None,
    trainee: str | None,
    found: bool,
    tmp_path: Path,
) -> None:
    """With two open runs, one is found where trainee or procedure leave no doubt, and none otherwise."""
    with station(tmp_path) as here:
        here.open_run("plate", "T-01")
        here.open_run("plate", "T-02")
        assert (here.to_go_on(procedure, trainee) is not None) == found


def test_the_shops_own_value_is_used(tmp_path: Path) -> None:
    """A value of the shop file is the one that a run is opened with."""
    (tmp_path / "shop.yaml").write_text("format: 1\nprocedures:\n  plate: {exposure: 31}\n", encoding="utf-8")
    with station(tmp_path) as here:
        assert here.open_run("plate", "T-01").state.settings["exposure"] == 31


def test_a_wrong_shop_file_stops_a_run_with_a_sentence(tmp_path: Path) -> None:
    """A shop value outside its limits is said, and no run is opened."""
    (tmp_path / "shop.yaml").write_text(
        "format: 1\nprocedures:\n  plate: {exposure: 500}\n", encoding="utf-8"
    )
    with station(tmp_path) as here:
        with pytest.raises(NotHere, match="exposure"):
            here.open_run("plate", "T-01")
        assert here.open_runs() == []


def test_what_is_not_here_is_said_in_a_sentence(tmp_path: Path) -> None:
    """An unknown procedure, run or impossible code is a sentence, and a broken file is its problems."""
    with station(tmp_path) as here:
        with pytest.raises(NotHere, match=r"There is no procedure 'plat' here\. Known are: broken, plate"):
            here.load("plat")
        with pytest.raises(NotHere, match="There is no open run"):
            here.take_up("0" * 36)
        with pytest.raises(NotHere):
            here.code("!!")
        with pytest.raises(ProcedureProblems):
            here.load("broken")


def test_a_run_taken_up_elsewhere_is_lost_here(tmp_path: Path) -> None:
    """When another terminal takes a run up, the first one's next act is refused and told why."""
    with station(tmp_path) as here:
        run = here.open_run("plate", "T-01")
        with Station.open(record=tmp_path / "record.db", procedures=tmp_path / "procedures") as other:
            other.take_up(run.view().run)
            clock = here.clock
            assert isinstance(clock, FakeClock)
            clock.pass_time(1)
            with pytest.raises(LeaseLost):
                run.next()


def test_words_before_the_first_act_are_read_without_checking(tmp_path: Path) -> None:
    """Title and cautions come in the station's language from a file that is not checked yet."""
    path = tmp_path / "mine.yaml"
    path.write_text(
        "title: {en: Mine, es: Mía}\ncautions:\n  - {en: Ask first, es: Pregunte}\n  - Wear gloves\n"
        "  - [no text]\n",
        encoding="utf-8",
    )
    with Station.open(record=tmp_path / "r.db", procedures=tmp_path, language="es") as here:
        assert here.before(str(path)) == ("Mía", ("Pregunte", "Wear gloves"))
    with Station.open(record=tmp_path / "r.db", procedures=tmp_path) as here:
        assert here.before("mine") == ("Mine", ("Ask first", "Wear gloves"))


def test_a_taken_setting_reaches_the_shop_file(tmp_path: Path) -> None:
    """What an instructor takes stands in the shop file, and is used by the next run."""
    with station(tmp_path) as here:
        run = Taking()
        assert here.take_setting(run, "I-1", PinVerdict("right")) == ""  # type: ignore[arg-type] # as asked
        assert here.open_run("plate", "T-01").state.settings["exposure"] == 34


class Taking:
    """A run that takes 34 units."""

    def take_setting(self, by: str, verdict: PinVerdict) -> object:
        """The change."""
        from trainer.run.events import SettingChanged

        del verdict
        return SettingChanged("exposure", 24.0, 34.0, "units", by)

    def view(self) -> object:
        """Of the test plate."""
        from dataclasses import replace

        from stand_ins import CONFIRM

        return replace(CONFIRM, procedure="plate")


def test_a_code_that_cannot_be_one_is_looked_at_as_it_was_typed(tmp_path: Path) -> None:
    """A try to sign with an impossible code reaches the PIN check, which refuses and records it."""
    with station(tmp_path) as here:
        assert here.coded(SignTry("i-1", "1")).by == "I-1"
        assert here.coded(SignTry("!!", "1")).by == "!!"


def test_a_record_that_cannot_be_opened_is_a_sentence(tmp_path: Path) -> None:
    """A record that is a folder, or no record, is said in a sentence."""
    with pytest.raises(Trouble):
        Station.open(record=tmp_path)
    other = tmp_path / "other.db"
    other.write_bytes(b"no record" * 1000)
    with pytest.raises(Trouble):
        Station.open(record=other)


def test_looking_at_the_station_imports_nothing_heavy(tmp_path: Path) -> None:
    """Opening a station and reading heads and open runs imports no pydantic, CEL, transitions or drawing."""
    code = (
        "import sys; from pathlib import Path; from trainer.screens.station import Station\n"
        f"here = Station.open(record=Path({str(tmp_path / 'r.db')!r}))\n"
        "here.heads(); here.open_runs(); here.close()\n"
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_lines_of_text_import_no_drawing() -> None:
    """The front end in lines of text imports neither Textual nor Rich, nor does the way into the screens."""
    code = (
        "import sys; import trainer.screens.plain, trainer.screens.app, trainer.screens.actions\n"
        "print([name for name in ('textual', 'rich') if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
