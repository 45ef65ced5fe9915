"""What the page keeps and searches by, run by node: no browser is needed."""

from __future__ import annotations

import json

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


def test_forms_of_a_word_are_found_alike_by_the_rules_of_the_page_s_language() -> None:
    """The forms by the verbs' and nouns' inflection as grammars of Spanish have it, from memory."""
    page = 'globalThis.document = { documentElement: { lang: "es-US" } };'
    forms = [
        "pie pies",
        "corredor corredores",
        "golpe golpes golpea golpe\u00f3 golpear golpeado golpeadas golpeando golpean golpearon",
        "toca toc\u00f3 tocar toque toquen tocaron tocado tocan",
        "juega jugar jugada jugadas jug\u00f3",
        "sale salir sali\u00f3 salieron saliendo salida",
        "l\u00ednea linea l\u00edneas LINEAS",
        "obstrucci\u00f3n obstrucciones",
        "vez veces",
        "primero primera",
    ]
    asked = (
        f"{json.dumps(forms)}.map((each) => new Set(each.split(' ').map((word) => readWords(word)[0])).size)"
    )
    assert run_module("words.js", "readWords", page, asked) == [1] * len(forms)
    apart = '["pie", "pelota", "plato", "bate", "base", "bola"].map((word) => readWords(word)[0])'
    assert len(set(run_module("words.js", "readWords", page, apart))) == 6
    assert run_module("words.js", "readWords", page, 'readWords("el pie en la l\u00ednea")') == ["pie", "lin"]
    other = 'globalThis.document = { documentElement: { lang: "fr" } };'
    assert run_module("words.js", "readWords", other, 'readWords("les b\u00e2tons")') == ["les", "batons"]


def test_a_fraction_is_searched_for_as_one_word_however_it_is_typed() -> None:
    words = run_module("words.js", "readWords", "", '["2 1/2 in", "2 1\\u20442 in", "?!"].map(readWords)')
    assert words == [["2", "1/2"], ["2", "1/2"], []]
