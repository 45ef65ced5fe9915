"""layouts/README.md says all that a layout can ask for, so that nobody opens Python to lay out a card."""

from __future__ import annotations

from pathlib import Path

import pytest
from layouts_guide import FILES, GUIDE, list_blocks, name_block, write_guide

from pocketref.blocks.kinds import ColumnModel
from pocketref.source.syntax.located import SourceModel

MODELS = [*FILES, *(model for inner in FILES.values() for model in inner), *list_blocks(), ColumnModel]


def test_the_guide_is_as_the_models_say() -> None:
    stale = "run 'python tests/layouts_guide.py', look at what it changed, and commit it"
    assert GUIDE.read_text(encoding="utf-8") == write_guide(), stale


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_key_says_what_it_is(model: type[SourceModel]) -> None:
    silent = [
        key
        for key, field in model.model_fields.items()
        if key not in ("block", "part") and not field.description
    ]
    assert not silent, f"{model.__name__}: give each of these keys a description"


def test_every_block_of_the_demo_and_every_kind_is_in_it() -> None:
    text = GUIDE.read_text(encoding="utf-8")
    asked = {
        line.partition("block: ")[2].split(",")[0].split("}")[0].strip()
        for path in Path(GUIDE.parent).glob("*/*.yaml")
        for line in path.read_text(encoding="utf-8").splitlines()
        if "block: " in line
    }
    assert asked <= {name_block(model) for model in list_blocks()}
    for model in list_blocks():
        assert f"\n### {name_block(model)}\n" in text
