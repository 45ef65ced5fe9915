"""What changed, as one description: groups with headings, rows with what was and is; and the sentences at its top."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pocketref.source.edition_models import EditionModel
from pocketref.words.speech import say, say_count

CALLS, FIGURES, WORDING = "calls", "figures", "wording"
SOURCES, EDITION, LAYOUTS = "sources", "edition", "layouts"
GROUPS: Mapping[str, str] = {
    CALLS: "Calls",
    FIGURES: "Dimensions and tolerances",
    "cautions": "Cautions",
    "mechanics": "Mechanics",
    "plays": "Case plays",
    WORDING: "Questions and rulings in other words",
    SOURCES: "Works and sections",
    EDITION: "The edition",
    LAYOUTS: "Layouts",
}
"""The groups' headings, in the order that they are told."""


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
        if self.is_of_codes:
            return say("What differs from {old} to {new}", old=self.old, new=self.new)
        return say("What changed from {old} to {new}", old=self.old, new=self.new)

    @property
    def headline(self) -> str:
        """Whether calls changed from one edition to the other."""
        if not self.calls:
            return say("No call in the tables changed.")
        return say_count(len(self.calls), "Calls changed in one row.", "Calls changed in {count} rows.")

    @property
    def summary(self) -> str:
        """Whether calls changed, how much else did, and what that leaves; each follows from the comparison."""
        counts = [
            _count_group(name, len(found))
            for name in GROUPS
            if name != CALLS and (found := self.groups.get(name))
        ]
        apart = say("Apart from calls: {counts}.", counts=", ".join(counts)) if counts else ""
        if self.is_of_codes:
            calls = self._tell_codes()
            rest = say("Every other play that both rule on comes to the same.")
            return " ".join(filter(None, (calls, apart, rest)))
        told = [f"*{self.headline}*"]
        if follows := sum(len(change.follows) for change in self.calls):
            told.append(
                say_count(
                    follows,
                    "{count} more follows, told with the call.",
                    "{count} more follow, told with the call.",
                )
            )
        if self.is_asked_otherwise:
            told.append(say("Questions or answers are worded otherwise: see whether they mean the same."))
        rest = say("Every other word and figure of the content is as it was in {old}.", old=self.old)
        return " ".join(filter(None, (*told, apart, rest)))

    def _tell_codes(self) -> str:
        if not self.calls:
            return say("*They rule alike.*")
        return say_count(
            len(self.calls),
            "*The codes rule differently in one row.*",
            "*The codes rule differently in {count} rows.*",
        )


def _count_group(name: str, number: int) -> str:
    """So many rows of a group."""
    words = {
        FIGURES: say_count(number, "{count} figure", "{count} figures"),
        "cautions": say_count(number, "{count} line of cautions", "{count} lines of cautions"),
        "mechanics": say_count(number, "{count} line of mechanics", "{count} lines of mechanics"),
        "plays": say_count(number, "{count} line of case plays", "{count} lines of case plays"),
        WORDING: say_count(number, "{count} wording", "{count} wordings"),
        SOURCES: say_count(number, "{count} citation", "{count} citations"),
        EDITION: say_count(number, "{count} line of the edition", "{count} lines of the edition"),
        LAYOUTS: say_count(number, "{count} line of layouts", "{count} lines of layouts"),
    }
    return words[name]
