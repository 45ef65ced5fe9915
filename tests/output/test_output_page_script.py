"""The modules of the page, put into one script."""

from __future__ import annotations

import base64
import json
import re
import zlib
from importlib.resources import files

import pytest

from pocketref.web.page_script import write_data, write_script, write_style

MODULES = sorted(
    file.name.removesuffix(".js")
    for file in (files("pocketref.web") / "page").iterdir()
    if file.name.endswith(".js")
)


def read(module: str) -> str:
    return (files("pocketref.web") / "page" / f"{module}.js").read_text(encoding="utf-8")


@pytest.mark.parametrize("with_views", [True, False])
def test_nothing_is_left_to_import_or_export(with_views: bool) -> None:
    script = write_script(with_views=with_views)
    assert re.search(r"^(import|export)\b", script, re.MULTILINE) is None


def test_each_module_stands_once_after_all_that_it_imports() -> None:
    script = write_script(with_views=True)
    heads = {module: f"const in_{module.replace('-', '_')}=" for module in MODULES}
    for module in MODULES:
        assert script.count(heads[module]) == 1
        for other in re.findall(r'(?m)^import .* from "\./([\w-]+)\.js"', read(module)):
            assert script.index(heads[other]) < script.index(heads[module]), (module, other)


def test_what_a_module_exports_is_what_others_import() -> None:
    for module in MODULES:
        for names, other in re.findall(r'(?m)^import \{(.*)\} from "\./([\w-]+)\.js"', read(module)):
            for name in names.split(","):
                given = name.split(" as ")[0].strip()
                assert re.search(rf"(?m)^export (async )?(function\*?|const|class) {given}\b", read(other)), (
                    given
                )


def test_a_page_without_views_has_less_script_and_style() -> None:
    assert len(write_script(with_views=False)) < len(write_script(with_views=True))
    assert write_style(with_views=True).startswith(write_style(with_views=False))


def test_data_keeps_its_value_in_less_room() -> None:
    value = {"a": "</script><!-- <script>", "é": [1, None] * 100}
    packed = write_data(value)
    assert json.loads(zlib.decompress(base64.b64decode(packed), -zlib.MAX_WBITS)) == value
    assert len(packed) < len(json.dumps(value)) / 2


@pytest.mark.parametrize("module", MODULES)
def test_no_text_goes_over_several_lines_as_the_page_has_them_without_indentation(module: str) -> None:
    assert all(
        line.replace("\\`", "").count("`") % 2 == 0 for line in read(module).splitlines() if "//" not in line
    )


def test_the_page_is_spared_comments() -> None:
    code = write_script(with_views=True)
    assert not [line for line in code.splitlines() if line.startswith(("//", "/*", "*", " "))]


def test_no_template_stands_within_another() -> None:
    """What takes spare space out of the script tells the end of an outer one wrongly."""
    for module in MODULES:
        assert re.findall(r"`[^`]*\$\{[^}`]*`", read(module)) == [], module
