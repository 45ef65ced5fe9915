// Sentences in the page's language: the English that stands in the code, or what the page's catalogue has for it. Catalogues are
// written from the literal texts that these are called with: `pocketref/web/page_script.py` finds them.
import { data } from "./data.js";

/** `words` by their English, one form or several; `forms`: which form goes with a number; null on a page in English. */
const catalogue = data("language");
/** As many numbers as any language's forms need to be told (Unicode CLDR's go by the last two digits). */
const PERIOD = 100;

/** A sentence, its {slots} filled. */
export function say(english, slots = {}) {
  return fill(catalogue?.words[english] ?? english, slots);
}

/** A sentence about a number of things; {count} is the number. */
export function sayCount(count, one, many, slots = {}) {
  const at = count < 2 * PERIOD ? count : PERIOD + (count % PERIOD);
  const words = catalogue?.words[one] ? catalogue.words[one][catalogue.forms[at]] : count === 1 ? one : many;
  return fill(words, { count, ...slots });
}

function fill(words, slots) {
  return words.replace(/\{(\w+)\}/g, (whole, name) => slots[name] ?? whole);
}

/** "a, b and c". */
export function joinWords(words) {
  return words.length < 2 ? words.join("") : say("{most} and {last}", { most: words.slice(0, -1).join(", "), last: words.at(-1) });
}

/** "a, b or c". */
export function joinChoices(words) {
  return words.length < 2 ? words.join("") : say("{most} or {last}", { most: words.slice(0, -1).join(", "), last: words.at(-1) });
}
