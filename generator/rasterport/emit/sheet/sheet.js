"use strict";
(() => {
  const sheet = document.querySelector("main");
  const {digest} = sheet.dataset;
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const id = (name) => document.getElementById(name);
  const shown = (name, words) => { id(name).hidden = !words; id(name).lastElementChild.textContent = words; };
  const fields = all("input[data-reading]");
  // The printed list has one place a reading, in the same order as the fields.
  const places = all(".print-first em");
  const copies = new Map(fields.map((field, n) => [field, places[n]]));

  // What was entered stays in this browser, each entry in a place of its own beside the state of the variant for which it
  // was made: so windows never write over each other.  All files on a disk share one storage; the address tells them apart.
  const home = `rasterport bench sheet ${sheet.dataset.variant} ${location.pathname} `;
  const entries = new Map([
    ...all("input[data-tick]").map((box) => [`tick ${box.dataset.tick}`, box]),
    ...fields.map((field) => [`reading ${field.dataset.reading}`, field]),
    ...["serial", "date", "changed", "notes"].map((name) => [`field ${name}`, id(`built-${name}`)]),
  ]);
  const names = new Map([...entries].map(([name, node]) => [node, name]));
  // By entry, as it was stored: the state for which it was made.  What is entered now is of this one.
  const states = new Map();
  const odd = new Set();
  const stored = (work) => {
    try { return work(localStorage); } catch { id("not-kept").hidden = false; return null; }
  };
  // Its state and its text; undefined where it is not as it was written, null where there is none.
  const kept = (name) => {
    const raw = stored((storage) => storage.getItem(home + name));
    return raw === null ? null : /^(?<state>[0-9a-f]+) (?<text>[^]+)$/.exec(raw)?.groups;
  };
  const keep = (name, text) => stored((storage) => {
    if (!text) storage.removeItem(home + name);
    else if (storage.getItem(home + name) !== `${digest} ${text}`) storage.setItem(home + name, `${digest} ${text}`);
  });
  const own = () => stored((storage) => Object.keys(storage).filter((key) => key.startsWith(home))) ?? [];

  const now = (node) => node.type === "checkbox" ? (node.checked ? "yes" : "") : node.value;
  const put = (node, text) => {
    if (node.type === "checkbox") node.checked = text === "yes";
    else node.value = text;
    if (node.dataset.reading) judge(node);
  };
  const entered = () => [...entries.values()].some((node) => now(node).trim());
  const take = (name) => {
    const node = entries.get(name);
    const found = kept(name);
    if (!node) return;
    put(node, found?.text ?? "");
    states.delete(name);
    odd.delete(name);
    if (found) states.set(name, found.state);
    if (found === undefined || now(node) !== (found?.text ?? "")) odd.add(name);
  };
  const fill = () => {
    for (const name of entries.keys()) take(name);
    tell();
  };

  // A reading: the patterns are those of the variant file.  Null where it cannot be read in its field's unit.
  const grammar = JSON.parse(id("built-text").dataset.grammar);
  const [open, form] = [grammar.open, grammar.reading].map((pattern) => new RegExp(pattern, "u"));
  const taken = (text, unit) => {
    if (open.test(text)) return unit === "ohm" ? {value: Infinity, told: "open"} : null;
    const found = form.exec(text);
    if (!found) return null;
    const [, sign, number, prefix, whole, letter, part, spelled] = found;
    const named = spelled ? grammar.units[spelled] : (prefix ?? letter) === "R" ? "ohm" : unit;
    const digits = `${sign && sign !== "+" ? "-" : ""}${number ? number.replace(",", ".") : whole + (part && `.${part}`)}`;
    const [short, power] = grammar.prefixes[prefix ?? letter ?? ""];
    const told = `${digits} ${short}${unit}`;
    return named === unit && told.length <= grammar.longest ? {value: Number(`${digits}e${power}`), told} : null;
  };
  const verdict = (field) => {
    const text = field.value.trim();
    if (!text) return ["", ""];
    const {unit, low, high} = field.dataset;
    const read = taken(text, unit);
    if (!read && taken(text.replace(",", "."), unit)) {
      return ["bad", `may be read in two ways: write ${text.replace(",", ".")} or ${text.replace(",", "")}`];
    }
    if (!read) return ["bad", `write a number in ${unit}, such as ${grammar.hints[unit]}`];
    const size = read.value < 0 && -read.value <= (grammar.zero[unit] ?? 0) ? 0 : read.value;
    if (size < 0 && unit === "ohm") return ["bad", `low: ${grammar.charged}`];
    if (size < Number(low)) return ["bad", "low: see what to suspect"];
    if (size > (high === "inf" ? Infinity : Number(high))) return ["bad", "high: see what to suspect"];
    return ["good", "within limits"];
  };
  const judge = (field) => {
    const [kind, words] = verdict(field);
    const told = field.nextElementSibling;
    told.className = kind;
    told.textContent = words;
    const copy = copies.get(field);
    if (copy) copy.textContent = field.value;
  };

  // The table for the variant file.  JSON's strings are strings of TOML, once a deletion character is written out and
  // halves of characters are none; what the file's own texts may not hold becomes a space.
  const quoted = (text) => JSON.stringify(text.replace(/\p{Cs}/gu, "\ufffd")).replace(/\u007f/g, "\\u007f");
  const said = (name) => id(`built-${name}`).value.replace(/[^\n\P{Cc}]|[\ufffe\uffff]/gu, " ");
  const serial = () => said("serial").replace(/[\p{C}\p{Zl}\p{Zp}]|(?! )\p{Zs}/gu, " ").trim();
  const unread = () => [
    ...fields.filter((field) => field.value.trim() && !taken(field.value.trim(), field.dataset.unit))
      .map((field) => [field.dataset.reading, field.value.trim(), field.getAttribute("aria-label")]),
    ...own().map((key) => key.slice(home.length)).filter((name) => name.startsWith("reading ") && !entries.has(name))
      .map((name) => [name.slice(8), kept(name)?.text, `${name.slice(8)}, which this sheet does not have`])
      .filter(([, text]) => text),
  ];
  const table = () => {
    const lines = ["[[built]]", `serial = ${quoted(serial())}`];
    if (id("built-date").value) lines.push(`date = ${quoted(id("built-date").value)}`);
    const changed = said("changed").split("\n").map((line) => line.trim()).filter(Boolean);
    if (changed.length) lines.push(`changed = [${changed.map(quoted).join(", ")}]`);
    if (said("notes").trim()) lines.push(`notes = ${quoted(said("notes").trim())}`);
    const readings = fields.map((field) => [field.dataset.reading, taken(field.value.trim(), field.dataset.unit)])
      .filter(([, read]) => read).map(([name, read]) => `${quoted(name)} = ${quoted(read.told)}`);
    const remarks = unread().map(([name, text]) => `# not a reading: ${quoted(name)} = ${quoted(text)}`);
    if (readings.length) lines.push("", "[built.readings]", ...readings);
    return [...lines, ...remarks, ""].join("\n");
  };
  const tell = () => {
    const {maxLength} = id("built-serial");
    const lacks = serial() && [...serial()].length <= maxLength ? ""
      : `The serial must have 1 to ${maxLength} characters: the file takes no board without one. `;
    const others = unread().map(([, text, words]) => `${words}: ${text}`);
    const left = others.length
      && `Not copied as readings but as remarks, since they cannot be read (${others.length}): ${others.join("; ")}.`;
    shown("built-lacks", lacks + (left || ""));
    shown("not-read", [...odd].join(", "));
    id("earlier").hidden = [...states.values()].every((state) => state === digest);
    id("built-text").value = table();
  };

  sheet.addEventListener("input", ({target}) => {
    const name = names.get(target);
    if (!name) return;
    if (target.dataset.reading) judge(target);
    keep(name, now(target));
    odd.delete(name);
    states.delete(name);
    tell();
  });
  // Another window of the same sheet wrote something, or emptied the storage.
  addEventListener("storage", ({key}) => {
    if (key === null) fill();
    else if (key.startsWith(home)) { take(key.slice(home.length)); tell(); }
  });
  addEventListener("pageshow", (event) => { if (event.persisted) fill(); });
  for (const part of all("details[id]")) {
    const before = kept(`open ${part.id}`)?.text;
    if (before) part.open = before === "yes";
    part.addEventListener("toggle", () => keep(`open ${part.id}`, part.open ? "yes" : "no"));
  }
  // A link into a closed section opens it.
  const reveal = () => {
    const target = location.hash && id(decodeURIComponent(location.hash.slice(1)));
    const part = target && target.closest("details");
    if (part) part.open = true;
  };
  addEventListener("hashchange", reveal);
  for (const link of all('a[href^="#"]')) link.addEventListener("click", () => {
    id(link.getAttribute("href").slice(1)).closest("details").open = true;
  });
  id("open-all").addEventListener("click", () => { for (const part of all("main > details")) part.open = true; });
  id("close-all").addEventListener("click", () => { for (const part of all("main > details")) part.open = false; });

  const copy = async () => {
    tell();
    try {
      await navigator.clipboard.writeText(id("built-text").value);
      id("built-said").textContent = "copied";
      return true;
    } catch {
      id("built-text").select();
      id("built-said").textContent = "selected below: copy it from there";
      return false;
    }
  };
  document.querySelector('[data-copy="built"]').addEventListener("click", copy);
  const ask = id("built-ask");
  const empty = () => {
    for (const key of own()) if (!key.startsWith(`${home}open `)) stored((storage) => storage.removeItem(key));
    fill();
    for (const node of entries.values()) put(node, "");
    tell();
    id("built-said").textContent = "emptied";
  };
  id("built-new").addEventListener("click", () => {
    if (entered() || own().some((key) => !key.startsWith(`${home}open `))) ask.show();
    else id("built-said").textContent = "nothing is entered yet";
  });
  id("built-ask-copy").addEventListener("click", async () => { ask.close(); if (await copy()) empty(); });
  id("built-ask-empty").addEventListener("click", () => { ask.close(); empty(); });
  id("built-ask-keep").addEventListener("click", () => ask.close());

  // A part or a wire is marked wherever it stands: while pointed at or focused, and after a tap until the next.
  let pinned = "";
  const subject = (node) => {
    const found = node instanceof Element && node.closest("[data-ref],[data-wire]");
    if (!found) return "";
    // A wire counts before the references of its ends, in its own row and picture.
    const name = "wire" in found.dataset ? "wire" : "ref";
    return found.dataset[name].split(" ").map((one) => `[data-${name}~="${CSS.escape(one)}"]`).join(",");
  };
  const mark = (what) => {
    for (const node of all(".marked")) node.classList.remove("marked");
    const both = [what, pinned].filter(Boolean).join(",");
    if (both) for (const node of all(both)) node.classList.add("marked");
    for (const button of all("button[data-ref],button[data-wire]")) {
      button.setAttribute("aria-pressed", String(Boolean(pinned) && button.matches(pinned)));
    }
  };
  document.addEventListener("pointerover", (event) => { if (event.pointerType !== "touch") mark(subject(event.target)); });
  document.addEventListener("pointerleave", () => mark(""));
  document.addEventListener("focusin", (event) => mark(subject(event.target)));
  document.addEventListener("focusout", () => mark(""));
  document.addEventListener("click", (event) => {
    const what = subject(event.target);
    if (!what) return;
    pinned = pinned === what ? "" : what;
    mark("");
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") { pinned = ""; mark(""); ask.close(); }
  });

  for (const short of all("main b")) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = button.dataset.ref = short.textContent;
    short.replaceWith(button);
  }
  for (const node of entries.values()) { node.autocomplete = "off"; node.spellcheck = false; }
  fill();
  mark("");
  reveal();
})();
