// Words: as they are compared, and as they are said.

/** A text as searches compare it: without accents, curls and capitals, with single spaces. */
export function fold(text) {
  return text.normalize("NFKD").replace(/\p{M}/gu, "").replace(/[\u2018\u2019]/g, "'").replace(/\u2044/g, "/")
    .replace(/\s+/g, " ").toLowerCase();
}

const IRREGULAR = {
  feet: "foot", men: "man", women: "woman", thrown: "throw", threw: "throw", threws: "throw", hit: "hit", ran: "run", caught: "catch",
  went: "go", gone: "go", goes: "go", left: "leave", leaving: "leave", stood: "stand", standing: "stand", swung: "swing", swinging: "swing",
  held: "hold", ruling: "rule", ruled: "rule", rules: "rule", dead: "dead", bases: "base", bounced: "bounce", bounces: "bounce",
};

/** A word without its ending, so that the forms of one word are equal: feet and foot, hits, hitting and hit. */
export function stem(word) {
  if (Object.hasOwn(IRREGULAR, word)) return IRREGULAR[word];
  let root = word.replace(/'s?$/, "");
  if (root.length > 4) root = root.replace(/ies$/, "y").replace(/(ss|sh|ch|x|z)es$/, "$1");
  if (root.length > 3) root = root.replace(/([^su])s$/, "$1");
  if (root.length > 4 && /[aeiouy].*(ing|ed)$/.test(root)) root = root.replace(/(ing|ed)$/, "").replace(/([bdgmnprt])\1$/, "$1");
  return root.length > 3 ? root.replace(/e$/, "") : root;
}

const SMALL = new Set(["a", "an", "and", "at", "by", "did", "he", "in", "is", "it", "of", "on", "or", "the", "to", "was", "with"]);

/** Each word of a text by its stem, and where it stands. */
export function splitWords(text) {
  return [...text.matchAll(/\p{N}+\/\p{N}+|[\p{L}\p{N}\u2019'\u2044]+/gu)].map(({ 0: word, index }) => ({ stem: stem(fold(word)), start: index, end: index + word.length }));
}

/** What is searched for: words by their stems; small ones count only where there is nothing else. */
export function readWords(text) {
  const words = splitWords(text).map((word) => word.stem);
  const telling = words.filter((word) => !SMALL.has(word));
  return telling.length ? telling : words;
}

export function startLarge(text) {
  return text.slice(0, 1).toUpperCase() + text.slice(1);
}
