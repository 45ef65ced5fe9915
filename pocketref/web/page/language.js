// Sentences in the page's language. Their literal texts stand in the code in English; `pocketref/web/page_script.py` finds them
// for the catalogues, and puts what these have in their place on a page in another language.
import { data } from "./data.js";

/** Which form goes with a number, a digit each; null on a page in English. */
const forms = data("language");
/** As many numbers as any language's forms need to be told (Unicode CLDR's go by the last two digits). */
const PERIOD = 100;

/** A sentence, its {slots} filled. */
export function say(words, slots = {}) {
  return fill(words, slots);
}

/** A sentence about a number of things; {count} is the number. `one` is a list of all forms where there are others than two. */
export function sayCount(count, one, many, slots = {}) {
  const form = forms?.[count < 2 * PERIOD ? count : PERIOD + (count % PERIOD)] ?? (count === 1 ? 0 : 1);
  return fill([one, many].flat()[form], { count, ...slots });
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
