"""What wants an instructor in a run: sign-offs and offered settings."""

from __future__ import annotations

import pytest
from run_kit import RIGHT, WRONG, Sink

from trainer.run import events as ev
from trainer.run.fakes import FakeSignOff
from trainer.run.ports import PinVerdict
from trainer.run.session import Refused


def at_offer(wedge: str) -> Sink:
    """A run at its offer of new units, the wedge read as given."""
    sink = Sink.open().until("read-wedge")
    sink.settle()
    sink.run.enter(wedge)
    return sink.until("offer")


def test_sign_off_needs_the_right_pin() -> None:
    """A wrong PIN is recorded and shown, and moves nothing; the right one records word and note."""
    sink = Sink.open().until("sign")
    pins = FakeSignOff({"I-1": "274913"})
    sink.settle()
    with pytest.raises(Refused, match="PIN"):
        sink.run.next()
    sink.run.sign("I-1", pins.check("I-1", "000000"), "passed")
    assert sink.run.view().sign is not None
    assert "not right" in getattr(sink.run.view().sign, "last", "")
    sink.run.sign("I-9", pins.check("I-9", "000000"), "passed")
    pins.slowed = 30
    sink.run.sign("I-1", pins.check("I-1", "274913"), "passed")
    assert [body.reason for body in sink.bodies(ev.SignOffRefused)] == ["wrong_pin", "unknown", "too_soon"]
    assert sink.run.state.step == "sign"
    pins.slowed = 0
    sink.run.sign("I-1", pins.check("I-1", "274913"), "passed", "Clean work.")
    assert sink.bodies(ev.SignedOff) == [ev.SignedOff("last-look", "I-1", "passed", "Clean work.", "word")]
    assert sink.run.state.closed == "done"


def test_not_yet_leads_where_the_procedure_says() -> None:
    """The word of a sign-off decides the way on, and can be given again."""
    sink = Sink.open().until("sign")
    sink.run.sign("I-1", RIGHT, "not_yet")
    assert sink.run.state.step == "last-look"
    assert sink.run.view().notice == ""
    sink.until("sign").right()
    assert sink.run.state.closed == "done"


def test_the_trainee_gets_to_see_the_note() -> None:
    """What an instructor wrote stands over the step that the word leads to, and is there to look back at."""
    sink = Sink.open().until("sign")
    sink.run.sign("I-1", RIGHT, "not_yet", "Streaks at [the] tail")
    assert sink.run.view().notice == "The instructor's note: Streaks at [the] tail"
    earlier = sink.run.look_back(1)
    assert earlier is not None
    assert earlier.notice == "At this step: Not yet. The instructor's note: Streaks at [the] tail."
    sink.right()
    assert sink.run.view().notice == ""


def test_sign_is_refused_anywhere_else() -> None:
    """Nothing is signed where nothing asks for it, and nothing is recorded."""
    sink = Sink.open()
    count = len(sink.events)
    with pytest.raises(Refused):
        sink.run.sign("I-1", RIGHT, "passed")
    with pytest.raises(Refused):
        sink.run.take_setting("I-1", WRONG)
    assert len(sink.events) == count


def test_taken_setting_holds_for_the_rest_of_the_run() -> None:
    """With the right PIN an offered value is taken, holds in the run, and is handed out for the shop."""
    sink = at_offer("4")
    offer = sink.run.view().offer
    assert offer is not None
    assert (offer.label, offer.old, offer.new, offer.fits) == ("Exposure", "24 units", "47.89 units", True)
    assert sink.run.take_setting("I-1", WRONG) is None
    assert "not right" in sink.run.view().notice
    changed = sink.run.take_setting("I-1", RIGHT)
    assert changed is not None
    assert (changed.setting, round(changed.new, 3)) == ("exposure", 47.886)
    assert sink.run.state.settings["exposure"] == pytest.approx(47.886, abs=0.001)
    assert sink.run.state.step == "last-look"


def test_setting_can_be_left() -> None:
    """An offer can be left; the primary act does not do it by accident."""
    sink = at_offer("4")
    sink.settle()
    with pytest.raises(Refused, match="PIN"):
        sink.run.next()
    sink.settle()
    sink.run.leave_setting()
    assert sink.run.state.settings["exposure"] == 24
    assert sink.run.state.step == "last-look"


@pytest.mark.parametrize(
    ("wedge", "fits", "words"), [("6", True, "stays"), ("1", False, "outside the limits")]
)
def test_offer_that_cannot_be_taken(wedge: str, words: str, *, fits: bool) -> None:
    """An offer that changes nothing or does not fit says so, takes no PIN, and the primary act goes on."""
    sink = at_offer(wedge)
    view = sink.run.view()
    assert view.offer is not None
    assert view.offer.fits is fits
    assert words in view.notice
    assert "sign" not in view.acts
    with pytest.raises(Refused):
        sink.run.take_setting("I-1", RIGHT)
    sink.settle()
    sink.run.next()
    assert sink.run.state.step == "last-look"


def test_offer_is_for_the_limits_of_the_setting() -> None:
    """The event says whether the new value is within `between`; the units asked for are the rule's."""
    sink = at_offer("1")
    offered = sink.bodies(ev.SettingOffered)[-1]
    assert (offered.old, offered.fits) == (24, False)
    assert offered.new == pytest.approx(24 * 10 ** (0.15 * 5))


def test_slowed_pin_is_no_right_pin() -> None:
    """A try that came too soon is not looked at, whatever the PIN."""
    sink = Sink.open().until("sign")
    sink.run.sign("I-1", PinVerdict("too_soon", 12.0), "passed")
    assert sink.run.state.step == "sign"
    assert "Wait" in getattr(sink.run.view().sign, "last", "")
