// The forms of a word as one, by the page's language: enough for a search, no grammar. Words come folded: small, without accents.

const ENGLISH_FORMS = {
  feet: "foot", men: "man", women: "woman", thrown: "throw", threw: "throw", threws: "throw", hit: "hit", ran: "run", caught: "catch",
  went: "go", gone: "go", goes: "go", left: "leave", leaving: "leave", stood: "stand", standing: "stand", swung: "swing", swinging: "swing",
  held: "hold", ruling: "rule", ruled: "rule", rules: "rule", dead: "dead", bases: "base", bounced: "bounce", bounces: "bounce",
};

/** Feet and foot, hits, hitting and hit. */
function stemEnglish(word) {
  if (Object.hasOwn(ENGLISH_FORMS, word)) return ENGLISH_FORMS[word];
  let root = word.replace(/'s?$/, "");
  if (root.length > 4) root = root.replace(/ies$/, "y").replace(/(ss|sh|ch|x|z)es$/, "$1");
  if (root.length > 3) root = root.replace(/([^su])s$/, "$1");
  if (root.length > 4 && /[aeiouy].*(ing|ed)$/.test(root)) root = root.replace(/(ing|ed)$/, "").replace(/([bdgmnprt])\1$/, "$1");
  return root.length > 3 ? root.replace(/e$/, "") : root;
}

const SPANISH_FORMS = {
  veces: "vez", luces: "luz", jueces: "juez", juega: "jugar", juegan: "jugar", sale: "salir", salen: "salir", cae: "caer", caen: "caer",
  roto: "romper", rota: "romper", rotos: "romper", rotas: "romper",
};
const SPANISH_VERB = /(?:ando|[iy]endo|[ai]d[oa]|[aei]r|aron|[iy]eron|aban?|i[ao]n?|[ae]n)$/;

/** Pies and pie, corredores and corredor, golpeó, golpeado, golpear and golpe. */
function stemSpanish(word) {
  let root = Object.hasOwn(SPANISH_FORMS, word) ? SPANISH_FORMS[word] : word;
  if (root.length > 3) root = root.replace(/([djlnr])es$/, "$1").replace(/s$/, "");
  if (root.length > 4) root = root.replace(SPANISH_VERB, "");
  for (let times = 0; times < 2; times++) if (root.length > 3) root = root.replace(/[aeo]$/, "");
  return root.replace(/qu$/, "c");
}

const LANGUAGES = {
  en: { stem: stemEnglish, small: "a an and at by did he in is it of on or the to was with" },
  es: { stem: stemSpanish, small: "a al con de del el en es la las lo los o por que se su sus un una y" },
};
const OTHER = { stem: (word) => word, small: "" };
let chosen = null;

function choose() {
  chosen ??= LANGUAGES[(globalThis.document?.documentElement?.lang || "en").slice(0, 2)] ?? OTHER;
  return chosen;
}

/** A word without its ending, so that its forms are equal. */
export function stem(word) {
  return choose().stem(word);
}

/** Whether a stem is that of a word that says little. */
export function isSmall(stemmed) {
  const { small, stem: cut } = choose();
  return small.split(" ").some((word) => cut(word) === stemmed);
}
