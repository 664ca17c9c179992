"""A sound procedure of any length, as dense as a real one. Invented for measuring; not for work."""

from __future__ import annotations

HEAD = """\
format: 1
id: {name}
title: A long procedure
revision: 1
summary: Invented for measuring; not for work.
settings:
  vacuum_floor: {{value: 20, unit: inHg, between: [15, 28], label: Least vacuum}}
skills:
  contact: Gets film and plate into contact all over
stages:
"""
STAGE = "  - id: stage-{n}\n    title: Stage {n}\n    steps:\n"
TEN = """\
      - id: mind-{n}
        hazard:
          signal: warning
          harm: The frame can crush fingers, and glass under vacuum can break.
          avoid:
            - Both hands on the rim
            - Never force the glass while the gauge shows vacuum
          covers: [close-{n}, leak-{n}]
      - id: take-{n}
        do: Take one plate by its edges. Lay it on the blanket.
        key_points:
          - Slip sheet off only now
          - Coated side up
        why: Room light fogs the coating.
        skill: contact
      - id: close-{n}
        do: Close the glass and start the pump.
        key_points: [Frame locked, No film edge under the gasket, Watch the rings spread]
        why: Any gap lets light creep under the film edge and thicken the image.
        skill: contact
        bench: {{pump: on}}
      - id: draw-{n}
        do: Let the pump draw down.
        wait: {{for: 1 min 30 s}}
      - id: read-{n}
        do: Read the gauge.
        key_points:
          - Look straight at the needle
          - It stands still
        skill: contact
        reading:
          name: vacuum_{n}
          unit: inHg
          plausible: [0, 30]
          ok: readings.vacuum_{n} >= settings.vacuum_floor
          right: 22
          miss: The pump has not finished or the frame leaks. Wait, then read again.
        go:
          - {{when: "readings.vacuum_{n} < settings.vacuum_floor && tries('read-{n}') >= 3", to: leak-{n}}}
      - id: leak-{n}
        aside: true
        do: Vacuum off. Look along the gasket for a film edge, a tape or dirt.
        key_points: [Fingers off the glass, Wipe the gasket once round]
        then: close-{n}
      - id: look-{n}
        judge:
          name: rings_{n}
          ask: What do the rings do?
          answers: {{still: They lie still, move: They still move, none: There are none}}
          right: still
        go:
          - {{when: answers.rings_{n} == 'move', to: draw-{n}}}
          - {{when: answers.rings_{n} == 'none', to: leak-{n}}}
      - id: ask-{n}
        quiz:
          name: why_{n}
          ask: Why are the rings watched?
          choice:
            a: They lie still where film and plate touch
            b: They show that the lamp is warm enough to be lit
            c: They tell how old the blanket is by now
          right: a
          because: Rings that move show a film of air that is still being drawn away.
      - id: work-{n}
        work_out:
          name: more_{n}
          from: max(readings.vacuum_{n}, settings.vacuum_floor) - 1
          unit: inHg
          show: One less than what the gauge showed.
      - id: wipe-{n}
        do: Wipe the glass from the middle outwards.
        key_points:
          - Lint-free cloth
          - Cleaner on the cloth, not on the glass
        why: A speck on the glass is burned into the plate.
"""


def long_procedure(steps: int, name: str = "long-procedure", size: int = 0) -> str:
    """A procedure of `steps` steps (a multiple of ten), fifty to a stage, with no problem and no warning.

    `size`: as many bytes at least, by reasons that are longer.
    """
    rows = [HEAD.format(name=name)]
    for number in range(steps // 10):
        if number % 5 == 0:
            rows.append(STAGE.format(n=number // 5))
        rows.append(TEN.format(n=number))
    text = "".join(rows)
    more = max(0, size - len(text)) // (steps // 10)
    reason = "A speck on the glass is burned into the plate."
    return text.replace(reason, f"{reason}{' So it is.' * (more // 10)}")
