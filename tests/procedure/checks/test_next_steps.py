"""What can follow what: the file's own order, `then`, `go`, asides, readings asked again, covered steps."""

from __future__ import annotations

from broken import HAZARD, READING, one_stage, plan_of

from trainer.procedure.graph import covered_by, edges, next_of, with_new_plates

PROCEDURE = plan_of(
    one_stage(
        f"""
        - id: mind
          {HAZARD}, covers: [take, read], always: true}}
        - {{id: take, do: Take a plate.}}
        - id: read
          do: Read it.
          {READING.replace("right", "ok: readings.vacuum > 20, right")}
          go: [{{when: tries('read') > 2, to: leak}}]
        - {{id: leak, do: Find the leak., aside: true, then: take}}
        - id: mind-the-end
          {HAZARD}, covers: [last]}}
        - id: last
          do: Look.
          go: [{{when: tries('last') > 2, to: stop}}]
        """,
        "mind",
    )
).procedure


def test_a_step_leads_where_the_file_says() -> None:
    """`then` where it stands, else the next step that is no aside, and `done` after the last."""
    assert next_of(PROCEDURE) == {
        "mind": "take",
        "take": "read",
        "read": "mind-the-end",
        "leak": "take",
        "mind-the-end": "last",
        "last": "done",
    }


def test_every_way_is_an_edge() -> None:
    """Guarded ways, the way on, and a reading that is not good and is asked again."""
    found = edges(PROCEDURE)
    assert found["read"] == ("leak", "read", "mind-the-end")
    assert found["last"] == ("stop", "done")
    assert found["done"] == found["stop"] == ()
    assert found["mind"] == ("take",)


def test_a_spoiled_plate_leads_back_from_every_step_of_its_stage() -> None:
    """Each step of the stage can be followed by the one where the next plate begins."""
    found = with_new_plates(edges(PROCEDURE), PROCEDURE)
    assert all("mind" in found[step] for step in next_of(PROCEDURE))
    assert found["done"] == ()


def test_covered_steps_know_their_safety_prompts() -> None:
    """Each covered step has its prompts in the order of the file; `always` covers the end."""
    assert covered_by(PROCEDURE) == {
        "take": ("mind",),
        "read": ("mind",),
        "done": ("mind",),
        "last": ("mind-the-end",),
    }
