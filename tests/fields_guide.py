"""Writes content/fields/README.md, the guide to every dimension of a field, from the models and checks that read them.

Run it after a change of these: `python tests/fields_guide.py`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from field_samples import SOFTBALL
from layouts_guide import ROOT

from pocketref.field.dimensions import (
    DISAGREEMENTS,
    INSTEAD,
    NEEDED_BY,
    TOGETHER,
    DiamondDimensions,
    PlateDimensions,
    list_names,
)
from pocketref.field.mound import NEEDED
from pocketref.source.field_models import BOUNDS, DIMENSIONS, TOLERANCES, Dimension, FieldModel
from pocketref.source.syntax.located import SourceModel
from pocketref.units.notation import write_tape

GUIDE = ROOT / "content" / "fields" / "README.md"

_INTRODUCTION = """# Fields

A file here is a level: a field size of a code, named `<code>-<level>.yaml`. Each figure says where it comes from and
how sure that is; a name that is not listed below is told with the nearest that is. Distances are taken from the plate's
apex (its rear tip), and to the outside of lines. This page is written by `tests/fields_guide.py` from what reads the
files, and a test keeps it true.

A field whose batter's boxes are not centred on the plate, with a catcher's box behind them as wide as both and a circle
where others have a mound:
"""


def write_example() -> str:
    """A level as a file; its figures are for trial, and say so."""
    rows = [
        f"  {name}: {{value: {text}, source: house, confidence: from memory}}"
        for name, text in SOFTBALL.items()
        if text
    ]
    head = "level: 60-ft\ncode: softball\nname: 60-ft diamond\ndimensions:"
    station = "tolerances:\n  station: {value: 1/2 in, source: house, confidence: our proposal}"
    return "\n".join([head, *rows, station, ""])


def write_guide() -> str:
    """The whole page, in Markdown."""
    rows = [
        f"| `{name}` | {label} | {' to '.join(map(write_tape, BOUNDS[name]))} |"
        for name, label in DIMENSIONS.items()
    ]
    free = "Any may be left out; what needs one says so. The ranges are ours, to catch slips of the pen."
    parts = [
        _INTRODUCTION,
        f"```yaml\n{write_example()}```\n",
        "## Keys\n",
        *_list_keys("The file", FieldModel),
        *_list_keys("A dimension or a tolerance", Dimension),
        f"## Dimensions\n\n{free}\n",
        "\n".join(["| dimension | what it is | from, to |", "|---|---|---|", *rows, ""]),
        "## Tolerances\n",
        *(f"- `{name}`: {label}" for name, label in TOLERANCES.items()),
        "\n## What needs what\n",
        *(f"- {line}" for line in _list_needs()),
        "\n## What is refused\n\nNothing is drawn from dimensions that can't all be true:\n",
        *(
            f"- {sentence}: {_quote(names.replace('|', '').split())}"
            for names, sentence in DISAGREEMENTS.items()
        ),
    ]
    return "\n".join(parts) + "\n"


def _list_keys(heading: str, model: type[SourceModel]) -> Iterator[str]:
    yield f"{heading}:\n"
    for key, field in model.model_fields.items():
        may = "" if field.is_required() else "; may be left out"
        yield f"- `{key}`: {field.description or 'a sentence of yours'}{may}"
    yield ""


def _list_needs() -> Iterator[str]:
    """Which dimensions each drawing and sheet needs, and which make no sense without others."""
    for what, model in (("the plate area", PlateDimensions), ("the whole field, besides", DiamondDimensions)):
        yield f"for {what}: {_quote(list_names(model)[0])}"
    yield f"for the mound's figure, heights and readings: {_quote(NEEDED)}"
    yield from (f"only together: {_quote(group)}" for group in TOGETHER)
    yield from (f"`{name}` only with `{other}`" for name, other in NEEDED_BY.items())
    for name, others in INSTEAD.items():
        yield f"in place of `{name}`: {_quote(others)}; where all are given they must agree"


def _quote(names: Sequence[str]) -> str:
    return ", ".join(f"`{name}`" for name in names)


if __name__ == "__main__":
    GUIDE.write_text(write_guide(), encoding="utf-8")
