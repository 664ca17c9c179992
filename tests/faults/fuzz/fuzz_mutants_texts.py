"""Formulas that are nearly right: real ones with pieces put in, runs of pieces, and deep ones."""

from __future__ import annotations

from functools import cache

from hypothesis import strategies as st

from trainer import places
from trainer.procedure.load import load


@cache
def formula_texts() -> tuple[str, ...]:
    """Every formula of the shipped procedures, and a few more."""
    found = {
        expression.text
        for path in places.procedures_dir().glob("*.yaml")
        for expression in load(path).require().expressions.values()
    }
    ways = {
        way.when.text
        for path in places.procedures_dir().glob("*.yaml")
        for guards in load(path).require().ways.values()
        for way in guards
    }
    more = {"settings.exposure > 20 ? 1 : 2", "round_to(settings.exposure * 1.25, 0.5)", "'a' in ['a', 'b']"}
    return tuple(sorted(found | ways | more))


PIECES = st.sampled_from(
    [
        *(
            "1",
            "0",
            "6",
            "0.5",
            "1e3",
            "1e999",
            "9" * 30,
            "'a'",
            '"b"',
            "'",
            '"',
            "\\",
            "true",
            "false",
            "null",
            "in",
        ),
        *(
            "+",
            "-",
            "*",
            "/",
            "%",
            "<",
            ">",
            "<=",
            "==",
            "!=",
            "&&",
            "||",
            "!",
            "?",
            ":",
            "(",
            ")",
            "[",
            "]",
            ",",
            ".",
        ),
        *(
            "settings.exposure",
            "readings.vacuum",
            "plate.number",
            "worked.x",
            "tries('draw-down')",
            "tries(",
            "taken(",
        ),
        *(
            "min(1, 2, 3)",
            "round(",
            "abs(-1)",
            "exposure_for_step(1,2,3)",
            "size(x)",
            "has(a.b)",
            "x",
            "\n",
            "\t",
            "é",
            "·",
        ),
        *(
            "6.0",
            "6.",
            ".6",
            "6u",
            "0x6",
            "- -6",
            "--",
            "a.b.c.d",
            "b'6'",
            "r'6'",
            "'''6'''",
            "// c",
            "\u2212",
            "\u201c",
        ),
    ]
)


def formulas() -> st.SearchStrategy[bytes]:
    """Runs of pieces, and real formulas with pieces put in."""
    runs = st.lists(PIECES, max_size=30).map(" ".join)
    tight = st.lists(PIECES, max_size=30).map("".join)
    spliced = st.builds(
        lambda text, at, piece, cut: (
            text[: at % (len(text) + 1)] + piece + text[(at + cut) % (len(text) + 1) :]
        ),
        st.sampled_from(formula_texts()),
        st.integers(0, 200),
        PIECES,
        st.integers(0, 9),
    )
    deep = st.builds(
        lambda opening, times, middle, closing: opening * times + middle + closing * times,
        st.sampled_from(["(", "[", "!", "-", "!(", "1 + (", "min(", "true ? ", "tries('draw-down') + "]),
        st.integers(0, 40) | st.integers(0, 320),
        PIECES,
        st.sampled_from(["", ")", "]", " : 1", ", 1)"]),
    )
    return (runs | tight | spliced | deep).map(lambda text: text.encode())
