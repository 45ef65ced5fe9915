// Words: as they are compared, and as they are said.
import { isSmall, stem } from "./stems.js";

/** A text as searches compare it: without accents, curls and capitals, with single spaces. */
export function fold(text) {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").replace(/[\u2018\u2019]/g, "'").replace(/\u2044/g, "/")
    .replace(/\s+/g, " ").toLowerCase();
}

/** Each word of a text by its stem, and where it stands. */
export function splitWords(text) {
  return [...text.matchAll(/\p{N}+\/\p{N}+|[\p{L}\p{N}\u2019'\u2044]+/gu)].map(({ 0: word, index }) => ({ stem: stem(fold(word)), start: index, end: index + word.length }));
}

/** What is searched for: words by their stems; small ones count only where there is nothing else. */
export function readWords(text) {
  const words = splitWords(text).map((word) => word.stem);
  const telling = words.filter((word) => !isSmall(word));
  return telling.length ? telling : words;
}

export function startLarge(text) {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}
