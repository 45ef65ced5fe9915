"use strict";
(() => {
  const fold = (text) =>
    text.normalize("NFKD").replace(/\p{M}/gu, "").replace(/[\u2018\u2019]/g, "'").replace(/\u2044/g, "/")
      .replace(/\s+/g, " ").toLowerCase();
  const field = document.getElementById("find");
  const found = document.getElementById("found");
  const parts = [...document.querySelectorAll("main .part")].map((node) => ({
    node,
    words: fold(node.textContent),
    entry: document.querySelector(`nav a[href="#${CSS.escape(node.id)}"]`)?.parentNode,
  }));
  const sections = [...document.querySelectorAll("main > section")].map((node) => ({
    node,
    entry: document.querySelector(`nav a[href="#${CSS.escape(node.id)}"]`)?.parentNode,
  }));

  function show({ node, entry }, visible) {
    node.hidden = !visible;
    if (entry) entry.hidden = !visible;
  }

  function filter() {
    const wanted = fold(field.value).split(" ").filter(Boolean);
    let count = 0;
    for (const part of parts) {
      const visible = wanted.every((word) => part.words.includes(word));
      count += visible;
      show(part, visible);
    }
    for (const section of sections) show(section, section.node.querySelector(".part:not([hidden])") !== null);
    const all = `${count} of ${parts.length} parts`;
    found.textContent = !wanted.length ? "" : count ? `${all} hold ${wanted.join(" and ")}.` : "Nothing holds all these words.";
  }

  function follow() {
    const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (target?.closest("[hidden]")) {
      field.value = "";
      filter();
      target.scrollIntoView();
    }
  }

  function tend() {
    for (const box of document.querySelectorAll(".scroll")) {
      if (box.scrollWidth > box.clientWidth) box.tabIndex = 0;
      else box.removeAttribute("tabindex");
    }
  }

  document.getElementById("search").hidden = false;
  field.addEventListener("input", filter);
  addEventListener("hashchange", follow);
  addEventListener("resize", tend);
  filter();
  tend();
})();
