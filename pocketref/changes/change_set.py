"""What changed, as one description: groups with headings, rows with what was and is; and the sentences at its top."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pocketref.source.edition_models import EditionModel
from pocketref.words.speech import count

CALLS, FIGURES, WORDING = "calls", "figures", "wording"
SOURCES, EDITION, LAYOUTS = "sources", "edition", "layouts"
GROUPS: Mapping[str, tuple[str, str]] = {
    CALLS: ("Calls", "row of calls"),
    FIGURES: ("Dimensions and tolerances", "figure"),
    "cautions": ("Cautions", "line of cautions"),
    "mechanics": ("Mechanics", "line of mechanics"),
    "plays": ("Case plays", "line of case plays"),
    WORDING: ("Questions and rulings in other words", "wording"),
    SOURCES: ("Works and sections", "citation"),
    EDITION: ("The edition", "line of the edition"),
    LAYOUTS: ("Layouts", "layout"),
}
"""The groups in the order that they are told: heading, and what one of its rows is."""


@dataclass(frozen=True, slots=True)
class RulingSide:
    """A ruling in words with its sections; `unsettled` tells that the league must be asked."""

    outcome: str
    words: str
    sections: str
    unsettled: bool


@dataclass(frozen=True, slots=True)
class ChangedCall:
    """Plays that are ruled differently; a side is None where nothing rules on them."""

    code: str
    subject: str
    play: str
    """The plays in words: each fact's answers as briefly as a card prints them."""
    when: Mapping[str, tuple[str, ...]]
    """The same as facts and their answers."""
    old: RulingSide | None
    new: RulingSide | None


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that differs: what it is of, and both values, in words; "" for nothing. Asterisks make bold."""

    what: str
    old: str
    new: str
    cites: str = ""
    """The sections of a figure as it is now."""
    call: ChangedCall | None = None
    follows: tuple[Change, ...] = ()
    """What follows from a changed call: answers to case plays, and what the rows say of their own standing."""

    def write_new(self) -> str:
        """What is now, with its sections."""
        return f"{self.new} ({self.cites})" if self.cites else self.new

    def write_follows(self) -> str:
        """What follows from it, without what was and is; "" for nothing."""
        return "; ".join(dict.fromkeys(change.what for change in self.follows))


@dataclass(frozen=True, slots=True)
class ChangeSet:
    """Everything that differs, by the name of its group; `old` and `new` say between what."""

    old: str
    new: str
    edition: EditionModel
    """The newer one."""
    groups: Mapping[str, tuple[Change, ...]]
    """In the order of `GROUPS`, none of them empty."""
    is_of_codes: bool = False
    """Whether two codes of one edition are compared: then nothing was before or after."""
    is_asked_otherwise: bool = False
    """Whether questions or answers are worded otherwise, so that a call may change by what they mean."""

    @property
    def count(self) -> int:
        """How many changes there are, those that follow from others too; 0 if nothing differs."""
        return sum(1 + len(change.follows) for found in self.groups.values() for change in found)

    @property
    def calls(self) -> tuple[Change, ...]:
        """What differs in the tables: plays ruled differently, subjects and tables that came or went."""
        return self.groups.get(CALLS, ())

    @property
    def title(self) -> str:
        """What was compared, in a line."""
        verb = "differs" if self.is_of_codes else "changed"
        return f"What {verb} from {self.old} to {self.new}"

    @property
    def headline(self) -> str:
        """Whether calls changed from one edition to the other."""
        return (
            f"Calls changed in {_count_rows(self.calls)}." if self.calls else "No call in the tables changed."
        )

    @property
    def summary(self) -> str:
        """Whether calls changed, how much else did, and what that leaves; each follows from the comparison."""
        counts = [
            count(len(found), noun)
            for name, (_, noun) in GROUPS.items()
            if name != CALLS and (found := self.groups.get(name))
        ]
        apart = f" Apart from calls: {', '.join(counts)}." if counts else ""
        number = _count_rows(self.calls)
        if self.is_of_codes:
            calls = f"*The codes rule differently in {number}.*" if self.calls else "*They rule alike.*"
            return f"{calls}{apart} Every other play that both rule on comes to the same."
        calls = f"*{self.headline}*"
        if follows := sum(len(change.follows) for change in self.calls):
            calls += f" {follows} more {'follows' if follows == 1 else 'follow'}, told with the call."
        if self.is_asked_otherwise:
            calls += " Questions or answers are worded otherwise: see whether they mean the same."
        return f"{calls}{apart} Every other word and figure of the content is as it was in {self.old}."


def _count_rows(calls: Sequence[Change]) -> str:
    return "one row" if len(calls) == 1 else f"{len(calls)} rows"
