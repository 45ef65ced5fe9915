"""Nodes to models: every error at its place, in our words."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

import pytest
from pydantic import Field

from pocketref.problems import Problem, ProblemLog
from pocketref.source.syntax.kinds import Confidence, LengthField, Name, OneOrMany, Sentence, WholeNumber
from pocketref.source.syntax.located import SourceModel
from pocketref.source.syntax.nodes import MOST_PROBLEMS, build_tree
from pocketref.source.syntax.source_text import SourceText
from pocketref.source.syntax.validation import validate_node


class Part(SourceModel):
    name: Name
    width: LengthField | None = None
    copies: Annotated[WholeNumber, Field(ge=1)] = 1
    sure: Confidence = Confidence.IN_TEXT


class Label(SourceModel):
    kind: Literal["label"]
    text: Sentence


class Picture(SourceModel):
    kind: Literal["picture"]
    picture: Name
    max_width: LengthField | None = None


class Whole(SourceModel):
    title: Sentence = Field(description="what it is called")
    parts: Mapping[Name, Part] = Field(default_factory=dict)
    rows: tuple[Part, ...] = ()
    tags: OneOrMany[Name] = ("none",)
    pieces: OneOrMany[Annotated[Label | Picture, Field(discriminator="kind")]] | None = None


def read(text: str) -> tuple[Whole | None, list[Problem]]:
    problems = ProblemLog()
    source = SourceText("a.yaml", text, tuple(text.split("\n")))
    tree = build_tree(source, problems)
    assert tree is not None
    return validate_node(tree, Whole, problems), problems.problems


def told(text: str) -> list[tuple[str, int, int, str]]:
    model, problems = read(text)
    assert model is None
    return [(p.code, p.where.line, p.where.column, p.hint) for p in problems if p.where]


def test_a_sound_file_becomes_a_frozen_model() -> None:
    model, problems = read("title: T\nparts:\n  a: {name: x, width: 8 1/2 in}\ntags: one\n")
    assert problems == []
    assert model is not None
    assert model.parts["a"].width is not None
    assert model.parts["a"].width.inches * 2 == 17
    assert model.tags == ("one",)
    with pytest.raises(ValueError, match="frozen"):
        model.title = "other"


def test_models_know_where_they_stand() -> None:
    model, _ = read("title: T\nrows:\n  - name: x\n    width: 1 in\n  - {name: y}\n")
    assert model is not None
    assert [str(row.location) for row in model.rows] == ["a.yaml:3:5", "a.yaml:5:5"]
    assert str(model.rows[0].locate("width")) == "a.yaml:4:12"
    assert str(model.rows[0].locate_key("width")) == "a.yaml:4:5"
    assert str(model.locate("rows", 1, "name")) == "a.yaml:5:12"


def test_where_a_model_stands_is_no_part_of_its_value() -> None:
    first, _ = read("title: T\n")
    second, _ = read("\n\ntitle:   T\n")
    assert first == second == Whole(title="T")
    assert first != Whole(title="U")
    assert Whole(title="T").location is None
    assert Whole(title="T").locate("title") is None
    assert Whole(title="T").locate_key("title") is None


def test_a_model_is_written_back_as_it_is_read() -> None:
    model, _ = read("title: T\npieces: {kind: picture, picture: p, max-width: 2197.5 mm}\n")
    assert model is not None
    data = model.model_dump(mode="json", by_alias=True)
    assert data["pieces"] == [{"kind": "picture", "picture": "p", "max-width": "2197.5 mm"}]
    assert Whole.model_validate(data) == model


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("title: T\ntitel: U\n", ("key-unknown", 2, 1, "did you mean 'title'?")),
        ("title: T\nrows: [{name: x, widht: 1 in}]\n", ("key-unknown", 2, 18, "did you mean 'width'?")),
        ("rows: []\n", ("key-missing", 1, 1, "add 'title: ...', what it is called")),
        ("title: T\nrows:\n  - width: 1 in\n", ("key-missing", 3, 5, "add 'name: ...'")),
        ("title: T\nrows: [{name: A b}]\n", ("value-name", 2, 15, "use lower-case letters, digits and")),
        ("title: T\nparts: {A b: {name: x}}\n", ("value-name", 2, 9, "use lower-case letters, digits and")),
        ("title: [T]\n", ("value-kind", 1, 8, "write a single value")),
        ("title: T\nrows: x\n", ("value-kind", 2, 7, "write [one, two], or '- item' lines below it")),
        ("title: T\nrows: [x]\n", ("value-kind", 2, 8, "write 'key: value' lines indented below")),
        ("title: T\nparts: [x]\n", ("value-kind", 2, 8, "write 'key: value' lines indented below")),
        ("title:\n", ("value-empty", 1, 7, "write a value after the colon")),
        ("title: T\nrows:\n", ("value-empty", 2, 6, "write [] for an empty list")),
        ("title: T\ntags: []\n", ("value-count", 2, 7, "add what is missing")),
        ("title: T\ntags: A\n", ("value-name", 2, 7, "use lower-case letters, digits and")),
        ("title: T\nrows: [{name: x, copies: 0}]\n", ("value-range", 2, 26, "it must be at least 1")),
        ("title: T\nrows: [{name: x, copies: two}]\n", ("value-number", 2, 26, "write digits only")),
        ("title: T\nrows: [{name: x, width: 17 inn}]\n", ("unit-unknown", 2, 28, "did you mean 'in'?")),
        ("title: T\nrows: [{name: x, width: '17 inn'}]\n", ("unit-unknown", 2, 29, "did you mean 'in'?")),
        ("title: T\nrows: [{name: x, width: [1 in]}]\n", ("value-kind", 2, 25, "write a single value")),
        ("title: T\npieces: {kind: lable, text: x}\n", ("value-choice", 2, 16, "did you mean 'label'?")),
        ("title: T\npieces: {text: x}\n", ("key-missing", 2, 9, "add 'kind: ...'")),
        ("title: T\npieces: x\n", ("value-kind", 2, 9, "write 'key: value' lines")),
        (
            "title: T\npieces: {kind: label, txet: x, text: y}\n",
            ("key-unknown", 2, 23, "did you mean 'text'?"),
        ),
        ("title: T\npieces: {kind: picture, picture: P}\n", ("value-name", 2, 34, "use lower-case letters")),
        ("text\n", ("value-kind", 1, 1, "write 'key: value' lines")),
    ],
)
def test_an_error_is_told_at_its_place(text: str, expected: tuple[str, int, int, str]) -> None:
    ((code, line, column, hint),) = told(text)
    assert (code, line, column) == expected[:3]
    assert hint.startswith(expected[3])


def test_a_bad_choice_lists_the_choices_and_the_closest() -> None:
    ((code, line, column, hint),) = told("title: T\nrows: [{name: x, sure: infered}]\n")
    assert (code, line, column) == ("value-choice", 2, 24)
    assert hint.startswith("did you mean 'inferred'?")
    assert all(str(choice) in hint for choice in Confidence)


def test_a_key_inside_a_union_called_like_its_kind_is_not_taken_for_it() -> None:
    ((code, line, column, _),) = told("title: T\npieces:\n  - {kind: picture, picture: p, max-width: x}\n")
    assert (code, line, column) == ("length-notation", 3, 44)


def test_a_comma_that_splits_a_text_in_braces_is_explained() -> None:
    ((code, line, column, hint),) = told("title: T\nrows:\n  - {name: x, or gets in}\n")
    assert (code, line, column) == ("key-unknown", 3, 15)
    assert "quotes" in hint
    assert "comma" in hint


def test_all_problems_are_told_at_once_in_the_order_of_the_file() -> None:
    found = told("rows: [{name: A}]\ntags: [B, c, D]\nextra: 1\n")
    assert [(code, line) for code, line, *_ in found] == [
        ("key-missing", 1),
        ("value-name", 1),
        ("value-name", 2),
        ("value-name", 2),
        ("key-unknown", 3),
    ]


def test_problems_beyond_count_are_summed_up() -> None:
    found = read("title: T\n" + "".join(f"x{n}: 1\n" for n in range(MOST_PROBLEMS + 50)))[1]
    assert len(found) == MOST_PROBLEMS + 1
    assert "50 more" in found[-1].sentence


def test_authors_text_is_clipped_and_printable_in_sentences() -> None:
    _, problems = read("title: T\n" + "x" * 500 + ": 1\nb\u202ead: 1\n")
    assert all(len(p.sentence) < 100 for p in problems)
    assert all(p.sentence.isprintable() for p in problems)
