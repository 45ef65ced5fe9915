"""The modules of the page, put into one script."""

from __future__ import annotations

import json
import re
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
    heads = {module: script.index(read(module).split("\n", 1)[0]) for module in MODULES}
    for module in MODULES:
        assert script.count(read(module).split("\n", 1)[0]) == 1
        for other in re.findall(r'(?m)^import .* from "\./([\w-]+)\.js"', read(module)):
            assert heads[other] < heads[module], (module, other)


def test_a_page_without_views_has_less_script_and_style() -> None:
    assert len(write_script(with_views=False)) < len(write_script(with_views=True))
    assert write_style(with_views=True).startswith(write_style(with_views=False))


def test_data_keeps_its_value_and_cannot_end_its_element() -> None:
    value = {"a": "</script><!-- <script>", "é": [1, None]}
    assert "<" not in write_data(value)
    assert json.loads(write_data(value)) == value


def test_no_two_modules_use_one_name_at_their_top() -> None:
    """They are put into one script, where a second function of a name would take the first one's place."""
    top = re.compile(r"^(?:export )?(?:async )?(?:function\*?|const|let|class) (\w+)", re.MULTILINE)
    names = [name for module in MODULES for name in top.findall(read(module))]
    assert len(names) == len(set(names)), sorted(name for name in names if names.count(name) > 1)
