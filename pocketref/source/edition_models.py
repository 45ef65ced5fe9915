"""What an edition is, and the works that its figures and rulings cite."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import Field, ValidationInfo, field_validator

from pocketref.source.syntax.kinds import (
    IsoDate,
    Line,
    Name,
    OneOrList,
    OneOrMany,
    SectionName,
    Sentence,
    WebAddress,
    WholeNumber,
    refuse_value,
)
from pocketref.source.syntax.located import SourceModel
from pocketref.words.terminal import tell


class WorkModel(SourceModel):
    """A book or paper. Its sections are listed to be cited; their few words are ours."""

    title: Line = Field(description="what the work is called")
    mark: Line = Field(description="the few letters that stand for the work in print, such as HS")
    edition: Line = Field(description="the edition or years that were read")
    check: Line = ""
    """What must be compared with the work in force before printing."""
    sections: Mapping[SectionName, Line] = Field(description="each section cited, and what it is about")

    @field_validator("mark")
    @classmethod
    def _keep_mark_short(cls, mark: str) -> str:
        if len(mark) > 12:
            refuse_value(
                "value-text",
                tell("the mark has {count} characters", count=len(mark)),
                tell("use at most 12"),
                12,
            )
        return mark


class WorksModel(SourceModel):
    """The file works.yaml."""

    works: Mapping[Name, WorkModel] = Field(description="each work by the name it is cited by")

    @field_validator("works")
    @classmethod
    def _keep_house_free(cls, works: Mapping[str, WorkModel]) -> Mapping[str, WorkModel]:
        if "house" in works:
            hint = tell("the word house cites the association itself; give the work another name")
            refuse_value("value-name", tell("no work can be called 'house'"), hint)
        return works


class CodeModel(SourceModel):
    """A body of rules."""

    name: Sentence = Field(description="what the code is called in print, such as High school")
    mark: Line = Field(description="the few letters that stand for it on a face, such as HS")
    work: Name = Field(description="the work its sections are in, one of works.yaml")
    uncaught_third: Sentence = ""
    """Where a batter may not run on a third strike that is not caught, though others of the code may."""


class CodesModel(SourceModel):
    """The file codes.yaml."""

    codes: Mapping[Name, CodeModel] = Field(min_length=1, description="each code by name")


class ValidDates(SourceModel):
    """The days an edition holds for, both included."""

    from_: IsoDate = Field(description="the first day the edition holds for, such as 2027-02-01")
    through: IsoDate = Field(description="the last day the edition holds for, such as 2027-12-31")

    @field_validator("through")
    @classmethod
    def _come_after_start(cls, through: IsoDate, info: ValidationInfo) -> IsoDate:
        start = info.data.get("from_")
        if start is not None and through < start:
            hint = tell("put the later day after 'through'")
            refuse_value(
                "value-date", tell("the edition ends before {start}, its first day", start=start), hint
            )
        return through


class BulletinModel(SourceModel):
    """A correction within a season: which one it is, from when it holds, and why it was made."""

    number: WholeNumber = Field(description="1 for the first correction of the edition, then 2, 3, ...")
    date: IsoDate = Field(description="the day from which the correction holds, such as 2027-05-14")
    reason: Sentence = Field(description="why it was made, in a sentence")


class EditionModel(SourceModel):
    """The file edition.yaml: whose edition this is, when it holds, and what goes into it."""

    edition: Name = Field(description="the mark that tells this edition from others, such as 2027")
    association: Line = Field(description="the association that issues the edition")
    place: Line = Field(default="", description="where the association is")
    invented: Sentence = ""
    """A sentence saying that the association is invented; none for a real one."""
    address: WebAddress = Field(
        default="https://example.org", description="the web address that editions are under"
    )
    season: Line = Field(description="the season the edition is for, such as 2027")
    valid: ValidDates = Field(description="{from: first day, through: last day}")
    codes: OneOrMany[Name] = Field(description="the codes whose rulings go in, each a folder under rulings")
    levels: OneOrMany[Name] = Field(description="the fields that go in, each a file under fields")
    languages: OneOrList[Line] = Field(
        default=(),
        exclude=True,  # what the source says is the same in whichever languages it is printed
        description="the languages that it is printed in, by their folders' names, its own first; English is en",
    )
    bulletins: tuple[BulletinModel, ...] = Field(
        default=(), description="corrections within the season, the first of them first"
    )

    @property
    def mark(self) -> str:
        """What tells this edition, as corrected, from every other in print: 2027, after its first bulletin 2027.1."""
        return self.list_marks()[-1]

    def list_marks(self) -> list[str]:
        """The mark of the edition as it was first published, then those after each bulletin."""
        return [self.edition, *(f"{self.edition}.{bulletin.number}" for bulletin in self.bulletins)]

    @property
    def starts(self) -> IsoDate:
        """The day from which it holds as corrected."""
        return self.bulletins[-1].date if self.bulletins else self.valid.from_
