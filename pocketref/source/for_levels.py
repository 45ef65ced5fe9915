"""Layouts that say which levels they are for: one level, some, or all that are in force."""

from __future__ import annotations

from typing import ClassVar, Self

from pydantic import Field, model_validator

from pocketref.problems import Location
from pocketref.source.syntax.kinds import Name, OneOrList, Sentence, refuse_value
from pocketref.source.syntax.located import SourceModel
from pocketref.words.terminal import tell

ALL_IN_FORCE = "all-in-force"
"""What a layout is for that is laid out for every level of the edition."""


class ForLevelsModel(SourceModel):
    """Base of what is laid out for levels: `for` lists several, `code` and `level` name one, neither the house's.

    Where several are meant, it is laid out as one layout a level, each with that level's code and level.
    """

    name_field: ClassVar[str]
    """The field that holds the layout's own name."""

    title: Sentence = Field(description="the title; {level} and {code} in it are filled with their names")
    stock: Name = ""
    for_: OneOrList[Name] = Field(
        default=(),
        description=f"{ALL_IN_FORCE}, or a list of levels such as youth-60-ft and of codes for all of theirs in "
        "force: one is made for each; without it, those that the house is for",
    )
    code: Name = Field(default="", description="the code it rules by, in place of 'for'")
    level: Name = Field(default="", description="the field its figures are of, in place of 'for'")

    @model_validator(mode="after")
    def _need_level(self) -> Self:
        hint = tell("write 'for: {all_in_force}', or else 'code' and 'level'", all_in_force=ALL_IN_FORCE)
        if self.for_ and (self.code or self.level):
            refuse_value("level-twice", tell("'for' says its levels, and so do 'code' and 'level'"), hint)
        if bool(self.code) != bool(self.level):
            refuse_value("level-missing", tell("'code' and 'level' belong together"), hint)
        return self

    @property
    def key(self) -> str:
        """The name that an edition lists its level by."""
        return f"{self.code}-{self.level}"

    @property
    def name(self) -> str:
        """The layout's own name."""
        name: str = getattr(self, self.name_field)
        return name

    def locate_level(self, key: str) -> Location | None:
        """Where its level is named: under `for`, else under `key`, which is code or level."""
        for index, name in enumerate(self.for_):
            if name in (ALL_IN_FORCE, self.code, self.key):
                return self.locate("for", index)
        return self.locate(key)
