// What happened, in a reader's words: subjects, and the answers that begin them.
import { openTable, rule } from "./engine.js";
import { readWords } from "./words.js";

/**
 * The subjects that have all the words, each `{subject, code, lines}`: a line is what can be tapped, `{answers, title, words}`,
 * first the subject itself, then the answers that say what was searched for, as they would be given. Without words: all.
 */
export function findSubjects(rules, text) {
  const wanted = readWords(text);
  const entries = Object.entries(rules.subjects).map(([subject, each]) => enter(rules, subject, each, wanted)).filter(Boolean);
  return entries.sort((one, other) => other.score - one.score);
}

function enter(rules, subject, { title, facts }, wanted) {
  const code = [...rules["in-force"], ...Object.keys(rules.codes)].find((each) => openTable(rules, each, subject));
  if (!code) return null;
  const table = openTable(rules, code, subject);
  const first = rule(table, {}).ask;
  const lines = [{ answers: {}, title, words: first?.ask ?? "" }];
  if (!wanted.length) return { subject, code, lines, score: 0 };
  const has = (words) => wanted.filter((word) => words.includes(word)).length;
  const inTitle = has(readWords(title));
  const answers = Object.entries(facts).flatMap(([name, fact]) => Object.entries(fact.answers)
    .map(([answer, words]) => ({ name, answer, fact, hits: has(readWords(`${words} ${answer === "yes" ? fact.ask : ""}`)), words })));
  const all = readWords([title, ...Object.values(facts).flatMap((fact) => [fact.ask, ...Object.values(fact.answers)])].join(" "));
  if (has(all) < wanted.length) return null;
  const best = answers.filter(({ hits }) => hits === wanted.length && hits > inTitle).slice(0, 3);
  lines.push(...best.map(({ name, answer, fact, words }) => ({ answers: { [name]: answer }, title: fact.ask, words })));
  return { subject, code, lines, score: 2 * inTitle + (best.length ? wanted.length : 0) };
}
