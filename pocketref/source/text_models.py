"""Texts that faces print: mechanics as steps or lists, and cautions with their signal word."""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum

from pydantic import Field

from pocketref.source.syntax.kinds import Confidence, Name, Sentence, Sources
from pocketref.source.syntax.located import SourceModel


class TextModel(SourceModel):
    """A short text under a heading, as entries: paragraphs, numbered steps or list items as the layout says.

    What stands between asterisks is printed bold.
    """

    heading: Sentence = Field(default="", description="the heading in print")
    entries: tuple[Sentence, ...] = Field(min_length=1, description="the sentences, a list")
    source: Sources = Field(description="the work and section, such as hs-book 7-1-1, or house")
    confidence: Confidence = Field(description=f"one of: {', '.join(Confidence)}")


class MechanicsModel(SourceModel):
    """The file mechanics/<name>.yaml: texts on how an umpire works a subject."""

    mechanics: Name = Field(description="the name, as the file is called")
    texts: Mapping[Name, TextModel] = Field(min_length=1, description="each text by name")


class SignalWord(StrEnum):
    """How bad it can get, after the meanings of ANSI Z535: death or serious injury will, could; minor; none."""

    DANGER = "danger"
    WARNING = "warning"
    CAUTION = "caution"
    NOTICE = "notice"


class CautionModel(SourceModel):
    """The file cautions/<name>.yaml: a panel that says what can hurt, and what to do about it."""

    caution: Name = Field(description="the name, as the file is called")
    signal_word: SignalWord = Field(description=f"one of: {', '.join(SignalWord)}")
    title: Sentence = Field(description="what the panel is about")
    lead: tuple[Sentence, ...] = Field(default=(), description="what to do first, set large, a list")
    entries: tuple[Sentence, ...] = Field(min_length=1, description="the sentences, a list")
    source: Sources = Field(description="the work and section, or house")
    confidence: Confidence = Field(description=f"one of: {', '.join(Confidence)}")
