// What stays on the device. A browser may refuse: in private mode, with storage switched off, or when it is full.
// Then all goes on as long as the page is open, and `notice` says that it will be lost.
import { statusLine } from "./dom.js";
import { say } from "./language.js";

const PREFIX = "pocketref:";
const open = new Map();
/** The keys whose last value the browser refused: one that it takes says nothing of these. */
const refused = new Set();
let trouble = "";
const notices = new Set();

/** Keep a value (anything that JSON can hold); gives whether it will still be there when the page is opened again. */
export function keep(key, value) {
  open.set(key, value);
  try {
    localStorage.setItem(PREFIX + key, JSON.stringify(value));
    take(key);
  } catch (error) {
    refused.add(key);
    tell(error?.name === "QuotaExceededError" && hasRoomForNothing()
      ? say("This browser's store is full: what you enter is lost when the page is closed. Save it as a file.")
      : say("This browser keeps nothing in private mode or with storage off: what you enter is lost when the page is closed. Save it as a file."));
    return false;
  }
  return true;
}

/** Whether the browser takes anything now. */
export function canKeep() {
  try {
    localStorage.setItem(`${PREFIX}try`, "1");
    localStorage.removeItem(`${PREFIX}try`);
    return true;
  } catch {
    return false;
  }
}

/** What was kept under a key, or `otherwise` if there is nothing or it can't be read. */
export function recall(key, otherwise = null) {
  if (open.has(key)) return open.get(key);
  try {
    const text = localStorage.getItem(PREFIX + key);
    return text === null ? otherwise : JSON.parse(text);
  } catch {
    return otherwise;
  }
}

/** Keep it no longer. */
export function forget(key) {
  open.delete(key);
  take(key);
  try {
    localStorage.removeItem(PREFIX + key);
  } catch {
    // Nothing was kept then.
  }
}

/** A line for a view, empty while everything is kept; it speaks up as soon as that changes. */
export function notice() {
  const line = statusLine(trouble, { class: "trouble" });
  notices.add(new WeakRef(line));
  return line;
}

/** Nothing is to be lost of this key any more. */
function take(key) {
  refused.delete(key);
  if (!refused.size) tell("");
}

function tell(words) {
  trouble = words;
  for (const ref of notices) {
    const line = ref.deref();
    if (!line) notices.delete(ref);
    else if (line.textContent !== words) line.textContent = words;
  }
}

/** Some browsers refuse in private mode as if the store were full: then it holds nothing at all. */
function hasRoomForNothing() {
  try {
    return localStorage.length > 0;
  } catch {
    return false;
  }
}
