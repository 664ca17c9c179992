"""Charts to draw: of the shipped procedures and of hostile texts; and how labels are read back."""

from __future__ import annotations

from pathlib import Path

from hypothesis import strategies as st

from trainer import places
from trainer.procedure.charts.chart import Chart, Part, Spot, Way, chart_of
from trainer.procedure.charts.lines import MARKS
from trainer.procedure.load import load
from trainer.procedure.model import Procedure

SMALL = Path(__file__).resolve().parent.parent / "procedure" / "small.yaml"
FILES = [
    SMALL,
    places.procedures_dir() / "exposure-test.yaml",
    places.procedures_dir() / "negative-plate-two-burns.yaml",
]
BREAKING = (
    '"] --> x',
    "end",
    "#quot;",
    "`*a*`",
    "1. a list",
    "- one",
    "%% no",
    "</text><script>x</script>",
    "&amp;",
    "a\\",
    "\\N \\n \\l",
    '"',
    "-->",
    "]]>",
    "; } //",
    "<br/>",
    "漢字" * 40,
    "w" * 300,
    "e\u0301" * 40,
    "\uffff",
)
"""Pieces that mean something to one of the forms of drawing, or are hard to fit."""

texts = (
    st.lists(st.sampled_from(BREAKING) | st.text(max_size=12), min_size=1, max_size=4)
    .map("x ".join)
    .map("t{}".format)
)


def procedure(path: Path) -> Procedure:
    """The procedure of a file that is clean."""
    return load(path).require().procedure


def charts_of_files() -> list[Chart]:
    """The charts of all files."""
    return [chart_of(procedure(path)) for path in FILES]


@st.composite
def hostile_charts(draw: st.DrawFn) -> Chart:
    """A chart whose every text is hostile; ids are what the reader lets pass."""
    ids = draw(st.lists(st.from_regex(r"[a-z][a-z0-9-]{0,62}", fullmatch=True), min_size=2, unique=True))
    ids = [name for name in ids if name not in ("done", "stop")] or ["one"]
    spots = [_spot(draw, name, number, ids) for number, name in enumerate(ids)]
    middle = draw(st.integers(0, len(spots)))
    parts = [
        Part(f"p{number}", draw(texts), tuple(some), draw(st.sampled_from([None, *ids])))
        for number, some in enumerate((spots[:middle], spots[middle:]))
        if some
    ]
    return Chart("hostile", draw(texts), 1, tuple(parts))


def _spot(draw: st.DrawFn, name: str, number: int, ids: list[str]) -> Spot:
    aside = bool(number) and draw(st.booleans())
    following = ids[number + 1] if number + 1 < len(ids) else "done"
    targets = draw(st.lists(st.sampled_from([*ids, "stop"]), max_size=3))
    ways = tuple(Way(to, draw(texts), to in ids[: number + 1]) for to in targets)
    kind = draw(st.sampled_from(list(MARKS)))
    return Spot(name, kind, "", draw(texts), draw(texts), aside, ways, Way(following, "", False), not aside)  # noqa: FBT003


def joined(*said: str) -> str:
    """Texts without blanks and breaks: wrapping changes nothing else."""
    return "".join("".join(said).split())


def allowed(text: str) -> str:
    """A text without what XML has no place for (XML 1.0, section 2.2)."""
    return "".join(
        one if one in "\t\n\r" or " " <= one <= "\ud7ff" or "\ue000" <= one <= "\ufffd" or one > "\uffff"
        else "\ufffd"
        for one in text
    )  # fmt: skip
