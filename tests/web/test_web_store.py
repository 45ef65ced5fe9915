"""What the page keeps, run by node: no browser is needed."""

from __future__ import annotations

import json
import shutil
import subprocess
from importlib.resources import files
from typing import Any

PAGE = (files("pocketref.web") / "page").joinpath
STORE = """
const kept = new Map([["another page", "1"]]);
globalThis.document = { createElement: () => ({ setAttribute() {}, append(text) { this.textContent = text; } }) };
globalThis.localStorage = {
  get length() { return kept.size; }, removeItem: (key) => kept.delete(key),
  setItem(key, text) {
    if (text.length > 9) throw new DOMException("full", "QuotaExceededError");
    kept.set(key, text);
  },
};
const line = notice();
const said = [() => keep("sheet", "a long sheet"), () => keep("last", 1), () => forget("sheet")].map((act) => {
  act();
  return line.textContent ?? "";
});
"""


def run_page(module: str, names: str, script: str, result: str) -> Any:
    node = shutil.which("node")
    assert node, "node is needed to run the page's modules"
    lines = f"import {{ {names} }} from {json.dumps(f'file://{PAGE(module)}')};{script}"
    command = [node, "--input-type=module", "-e", f"{lines}\nprocess.stdout.write(JSON.stringify({result}));"]
    return json.loads(subprocess.run(command, capture_output=True, check=True, timeout=60).stdout)


def test_what_is_not_kept_is_said_until_it_is_given_up_whatever_else_is_kept() -> None:
    refused, after_another, given_up = run_page("store.js", "forget, keep, notice", STORE, "said")
    assert "store is full" in refused
    assert after_another == refused
    assert given_up == ""
