"""What was done in this session, so that it can be taken back and done again."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from barwright.bench.change import Step, redone, undone

MOST = 100_000
"""Steps kept; a step is as long as what it changed."""


@dataclass(kw_only=True)
class History:
    """The steps done, oldest first, and the steps taken back, latest last."""

    done: list[Step] = field(default_factory=list)
    back: list[Step] = field(default_factory=list)

    def push(self, step: Step) -> None:
        """One more step was done: what was taken back before cannot be done again."""
        self.done.append(step)
        self.back.clear()
        del self.done[:-MOST]

    def before(self, texts: Mapping[str, str]) -> dict[str, str]:
        """The texts as they were before the last step. Raises IndexError at the beginning."""
        return {c.file: undone(texts[c.file], c) for c in self.done[-1].changes}

    def again(self, texts: Mapping[str, str]) -> dict[str, str]:
        """The texts with the step last taken back done again. IndexError: there is none."""
        return {c.file: redone(texts[c.file], c) for c in self.back[-1].changes}

    def stepped_back(self) -> None:
        """The last step was taken back."""
        self.back.append(self.done.pop())

    def stepped_again(self) -> None:
        """The step last taken back was done again."""
        self.done.append(self.back.pop())
