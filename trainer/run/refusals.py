"""Why an act is not taken. Nothing of a refused act is recorded."""

from __future__ import annotations


class Refused(Exception):  # noqa: N818 - it is no fault of anybody
    """The act is not taken now. `args[0]` is a sentence for the trainee.

    control: of a rehearsal's bench, the one to see to first; empty where there is none.
    """

    def __init__(self, sentence: str, control: str = "") -> None:
        super().__init__(sentence)
        self.control = control


class TooSoon(Exception):  # noqa: N818 - as above
    """The act came within 400 ms of its prompt, or a key is held down. Ignored without a word.

    seconds: how long to leave the keys alone before the act is taken.
    """

    def __init__(self, seconds: float) -> None:
        super().__init__(f"too soon by {seconds:.3f} s")
        self.seconds = seconds
