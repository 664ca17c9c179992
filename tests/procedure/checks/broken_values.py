"""Broken files: safety prompts that a way goes round, values that a way does not take."""

from __future__ import annotations

from broken import HAZARD, READING, Broken, one_stage

HAZARDS = (
    Broken(
        "go-passes-hazard",
        "G11",
        "past the safety prompt `mind`: one > two.",
        one_stage(f"""
            - id: one
              do: First.
              go: [{{when: tries('one') > 1, to: two}}]
            - id: mind
              {HAZARD}, covers: [^two]}}
            - {{id: two, do: Second.}}
        """),
    ),
    Broken(
        "hazard-after-what-it-covers",
        "G11",
        "past the safety prompt `mind`: one. Put `mind` before `one` in the file.",
        one_stage(f"""
            - {{id: one, do: First.}}
            - id: mind
              {HAZARD}, covers: [^one]}}
        """),
    ),
    Broken(
        "long-way-round",
        "G11",
        "one > aside > back > two.",
        one_stage(f"""
            - id: one
              do: First.
              go: [{{when: tries('one') > 1, to: aside}}]
            - id: mind
              {HAZARD}, covers: [^two]}}
            - {{id: two, do: Second.}}
            - {{id: aside, do: Aside., aside: true, then: back}}
            - {{id: back, do: Back., aside: true, then: two}}
        """),
    ),
    Broken(
        "end-past-always",
        "G12",
        "to the end past the safety prompt `mind`: one > done.",
        one_stage(f"""
            - id: one
              do: First.
              go: [{{when: tries('one') > 1, to: done}}]
            - id: mind
              {HAZARD}, covers: [two], always: ^true}}
            - {{id: two, do: Second.}}
        """),
    ),
    Broken(
        "new-plate-past-hazard",
        "G13",
        "After a spoiled plate a way leads to `two` past the safety prompt `mind`: take > two.",
        one_stage(
            f"""
            - id: mind
              {HAZARD}, covers: [^two]}}
            - {{id: take, do: Take a plate.}}
            - {{id: two, do: Second.}}
            """,
            "take",
        ),
    ),
    Broken(
        "new-plate-past-always",
        "G12",
        "After a spoiled plate a way leads to the end",
        one_stage(
            f"""
            - id: mind
              {HAZARD}, covers: [one], always: ^true}}
            - {{id: one, do: First.}}
            - {{id: take, do: Take a plate.}}
            """,
            "take",
        ),
    ),
)

VALUES = (
    Broken(
        "used-before-taken",
        "G14",
        "Use it in a step after `read`",
        one_stage(f"""
            - id: one
              work_out: {{name: twice, from: ^readings.vacuum * 2, unit: inHg, show: Twice.}}
            - id: read
              do: Read it.
              {READING}
        """),
    ),
    Broken(
        "taken-on-one-way-only",
        "G14",
        "without readings.vacuum: one > two.",
        one_stage(f"""
            - id: one
              do: First.
              go: [{{when: tries('one') > 1, to: two}}]
            - id: read
              do: Read it.
              {READING}
            - id: two
              do: Second.
              go: [{{when: tries('two') > 1 && ^readings.vacuum > 20, to: one}}]
        """),
    ),
    Broken(
        "used-where-it-is-shown",
        "G14",
        "is used at `read` and not taken before it",
        one_stage("""
            - id: read
              do: Read it.
              bench: {units: ^readings.vacuum}
              reading: {name: vacuum, unit: units, plausible: [0, 30], right: 22}
        """),
    ),
    Broken(
        "gone-with-the-plate",
        "G14",
        "After a spoiled plate a run comes to `two` without readings.vacuum: take > two.",
        one_stage(
            f"""
            - id: read
              do: Read it.
              {READING}
            - {{id: two, do: Second., bench: {{units: ^readings.vacuum * 2}}}}
            - {{id: take, do: Take another plate., aside: true, then: two}}
            """,
            "take",
        ),
    ),
    Broken(
        "spoiled-before-it-is-taken",
        "G14",
        "After a spoiled plate a run comes to `two` without readings.vacuum: take > two.",
        one_stage(
            f"""
            - id: read
              do: Read it.
              {READING.replace("}", ", keeps: run}")}
            - {{id: take, do: Take a plate.}}
            - {{id: two, do: Second., bench: {{units: ^readings.vacuum * 2}}}}
            """,
            "take",
        ),
    ),
    Broken(
        "guard-the-wrong-way-round",
        "G14",
        "taken('readings.vacuum') && ...",
        one_stage(f"""
            - id: one
              do: First.
              go: [{{when: tries('one') > 1, to: two}}]
            - id: read
              do: Read it.
              {READING}
            - id: two
              do: Second.
              go: [{{when: "!taken('readings.vacuum') && ^readings.vacuum > 20", to: done}}]
        """),
    ),
    Broken(
        "dose-before-worked-out",
        "G14",
        "used at `burn` and not taken",
        one_stage("""
            - {id: burn, wait: {dose: ^worked.units}}
            - {id: more, work_out: {name: units, from: worked.units * 2, unit: units, show: Twice.}}
        """).replace("from: worked.units", "from: settings.exposure"),
    ),
    Broken(
        "bench-measure-in-a-wet-run",
        "G15",
        "a wet run has no bench",
        one_stage("""
            - id: one
              do: First.
              go: [{when: ^plate.solid_step < 6, to: one}]
        """),
    ),
)
