"""What the page keeps and searches by, run by node: no browser is needed."""

from __future__ import annotations

from page_scripts import run_module

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


def test_what_is_not_kept_is_said_until_it_is_given_up_whatever_else_is_kept() -> None:
    refused, after_another, given_up = run_module("store.js", "forget, keep, notice", STORE, "said")
    assert "store is full" in refused
    assert after_another == refused
    assert given_up == ""


def test_a_fraction_is_searched_for_as_one_word_however_it_is_typed() -> None:
    words = run_module("words.js", "readWords", "", '["2 1/2 in", "2 1\\u20442 in", "?!"].map(readWords)')
    assert words == [["2", "1/2"], ["2", "1/2"], []]
