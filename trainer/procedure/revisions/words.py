"""Texts of two revisions side by side, in every language that they are written in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from trainer.procedure.charts.told import Teller
from trainer.procedure.model import Procedure
from trainer.procedure.revisions.change import Change, Group
from trainer.procedure.text import Text


@dataclass(frozen=True, slots=True)
class Both:
    """What tells the parts of the old and of the new revision."""

    old: Teller
    new: Teller

    @property
    def procedures(self) -> tuple[Procedure, Procedure]:
        """Old and new."""
        return self.old.procedure, self.new.procedure


@dataclass(frozen=True, slots=True)
class At:
    """Where texts are compared: the heading that a difference comes under, and what it belongs to."""

    group: Group
    where: str
    both: Both

    def text(self, what: str, old: Text | None, new: Text | None) -> Iterator[Change]:
        """A text that came, went or is another; one that differs in another language only is named so."""
        was, now = self.both.old.words(old), self.both.new.words(new)
        if was != now:
            said = f"{what} added" if old is None else f"{what} taken out" if new is None else what
            yield Change(self.group, self.where, said, was, now)
        elif other := _languages(old, new):
            yield Change(self.group, self.where, f"{what}, in {' and '.join(other)} only")

    def entries(self, what: str, old: Sequence[Text], new: Sequence[Text]) -> Iterator[Change]:
        """Entries of a list that came, went or stand elsewhere.

        Where as many came as went, one that has the place of another counts as that one in other words.
        """
        was, now = ([tell.words(one) for one in texts] for tell, texts in self._sides(old, new))
        gone = [one for one in was if one not in now]
        fresh = [one for one in now if one not in was]
        if len(was) == len(now):
            for one, other in zip(was, now, strict=True):
                if one in gone and other in fresh:
                    yield Change(self.group, self.where, what, one, other)
                    gone.remove(one)
                    fresh.remove(other)
        yield from (Change(self.group, self.where, f"{what} taken out", one) for one in gone)
        yield from (Change(self.group, self.where, f"new {what}", new=one) for one in fresh)
        if sorted(was) == sorted(now) and was != now:
            yield Change(self.group, self.where, f"{what}s in another order", "; ".join(was), "; ".join(now))
        elif was == now and (other_languages := _of_any(old, new)):
            yield Change(self.group, self.where, f"{what}, in {' and '.join(other_languages)} only")

    def _sides(
        self, old: Sequence[Text], new: Sequence[Text]
    ) -> tuple[tuple[Teller, Sequence[Text]], tuple[Teller, Sequence[Text]]]:
        return (self.both.old, old), (self.both.new, new)


def _of_any(old: Sequence[Text], new: Sequence[Text]) -> list[str]:
    found = (code for a, b in zip(old, new, strict=True) for code in _languages(a, b))
    return sorted(set(found))


def _languages(old: Text | None, new: Text | None) -> list[str]:
    """The languages in which two texts differ; a text in one language counts as English."""
    was, now = _by_language(old), _by_language(new)
    return sorted(code for code in was.keys() | now.keys() if _flat(was, code) != _flat(now, code))


def _flat(texts: dict[str, str], code: str) -> list[str]:
    return texts.get(code, "").split()


def _by_language(text: Text | None) -> dict[str, str]:
    if text is None:
        return {}
    return {"en": text} if isinstance(text, str) else dict(text)
