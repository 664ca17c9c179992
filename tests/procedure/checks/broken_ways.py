"""Broken files: targets that do not exist, and ways that lead nowhere. The mark ^ is where they are told."""

from __future__ import annotations

from broken import HAZARD, Broken, one_stage

TARGETS = (
    Broken(
        "more-than-anybody-reads",
        "G24",
        "Begin with the first of them",
        one_stage(
            "".join(f"- {{id: s{n}, do: Do it., then: elsewhere}}\n" for n in range(300))
            + "- {id: last, do: Do it., then: ^elsewhere}"
        ),
    ),
    Broken(
        "then-no-step",
        "G01",
        "Did you mean `two`?",
        one_stage("""
            - {id: one, do: First., then: ^tow}
            - {id: two, do: Second.}
        """),
    ),
    Broken(
        "go-no-step",
        "G01",
        "Write the id of a step of this file, `done` or `stop`.",
        one_stage("""
            - id: one
              do: First.
              go: [{when: tries('one') > 1, to: ^elsewhere}]
        """),
    ),
    Broken(
        "go-nearly-done",
        "G01",
        "Did you mean `done`?",
        one_stage("""
            - id: one
              do: First.
              go: [{when: tries('one') > 1, to: ^dome}]
        """),
    ),
    Broken(
        "covers-no-step",
        "G02",
        "Did you mean `take-plate`?",
        one_stage(f"""
            - id: mind
              {HAZARD}, covers: [take-plate, ^take-plat]}}
            - {{id: take-plate, do: Take a plate.}}
        """),
    ),
    Broken(
        "covers-itself",
        "G02",
        "Write the step that it must come before.",
        one_stage(f"""
            - id: mind
              {HAZARD}, covers: [^mind]}}
        """),
    ),
    Broken(
        "signed-no-step",
        "G02",
        "Did you mean `look`?",
        one_stage("""
            - {id: look, do: Look.}
            - {id: sign, sign_off: {of: ^lok}}
        """),
    ),
    Broken(
        "new-plate-no-step",
        "G03",
        "Did you mean `take`?",
        one_stage("- {id: take, do: Take a plate.}", "^tke"),
    ),
    Broken(
        "new-plate-from-later",
        "G03",
        "this stage or an earlier one",
        one_stage("- {id: one, do: First.}", "^two")
        + "  - id: later\n    title: Later\n    steps:\n      - {id: two, do: Second.}\n",
    ),
    Broken(
        "no-skill",
        "G04",
        "skills: {contact: ...}",
        one_stage("- {id: one, do: First., skill: ^contact}"),
    ),
    Broken(
        "offered-no-setting",
        "G05",
        "Did you mean `exposure`?",
        one_stage("- {id: one, offer_setting: {setting: ^exposur, from: settings.exposure}}"),
    ),
    Broken(
        "waits-for-no-setting",
        "G05",
        "Did you mean `soften`?",
        one_stage("- {id: one, wait: {for: ^settings.softn}}"),
    ),
    Broken(
        "waits-for-no-worked-value",
        "C12",
        "Work it out in a step before",
        one_stage("- {id: one, wait: {dose: ^worked.units}}"),
    ),
    Broken(
        "begins-aside",
        "G23",
        "Take `aside: true` out",
        one_stage("""
            - {id: one, do: First., ^aside: true, then: two}
            - {id: two, do: Second.}
        """),
    ),
)

WAYS = (
    Broken(
        "unreached",
        "G06",
        "Or take the step out.",
        one_stage("""
            - {id: one, do: First., then: three}
            - {id: ^two, do: Second.}
            - {id: three, do: Third.}
        """),
    ),
    Broken(
        "end-out-of-reach",
        "G07",
        "no way leads to the end",
        one_stage("""
            - {id: ^one, do: First.}
            - {id: two, do: Second.}
            - {id: three, do: Third., then: two}
        """),
    ),
    Broken(
        "loop-without-way-out",
        "G08",
        "out of this loop: two > three > two.",
        one_stage("""
            - {id: one, do: First.}
            - {id: ^two, do: Second.}
            - {id: three, do: Third., then: two}
        """),
    ),
    Broken(
        "aside-not-called-one",
        "G08",
        "out of this loop: look > mend > look. Is `mend` done only when another step sends there? Then write "
        "`aside: true` in it.",
        one_stage("""
            - {id: first, do: First.}
            - id: ^look
              do: Look.
              go: [{when: tries('look') > 1, to: mend}]
            - {id: mend, do: Mend it., then: look}
            - {id: last, do: Last.}
        """),
    ),
    Broken(
        "behind-an-aside-not-called-one",
        "G06",
        "No way leads to the step `last`. Is `mend` done only when another step sends there?",
        one_stage("""
            - id: look
              do: Look.
              go: [{when: tries('look') > 1, to: mend}]
            - {id: mend, do: Mend it., then: look}
            - {id: ^last, do: Last.}
        """),
    ),
    Broken(
        "loop-of-one",
        "G08",
        "out of this loop: one > one.",
        one_stage("- {id: ^one, do: First., then: one}"),
    ),
    Broken(
        "aside-unreached",
        "G09",
        "If it follows `paint`, write `then: dry` there.",
        one_stage("""
            - id: look
              do: Look.
              go: [{when: tries('look') > 1, to: paint}]
            - {id: paint, do: Paint., aside: true}
            - {id: ^dry, do: Let it dry., aside: true, then: look}
        """),
    ),
    Broken(
        "aside-without-way-on",
        "G10",
        "Write `then: last`, or the step it should go back to.",
        one_stage("""
            - id: look
              do: Look.
              go: [{when: tries('look') > 1, to: paint}]
            - {id: ^paint, do: Paint., aside: true}
            - {id: last, do: Last.}
        """),
    ),
)
