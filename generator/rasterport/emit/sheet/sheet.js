"use strict";
(() => {
  const sheet = document.querySelector("main");
  const key = `rasterport bench sheet ${sheet.dataset.variant}`;
  const empty = () => ({digest: sheet.dataset.digest, ticks: {}, readings: {}, open: {}, serial: "", date: "", changed: ""});
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const id = (name) => document.getElementById(name);
  let kept = empty();
  // The printed list has one place a reading, in the same order as the fields.
  const places = all(".print-first em");
  const copies = new Map(all("input[data-reading]").map((field, n) => [field, places[n]]));

  // What was entered stays in this browser; where it may not, the page says so once.
  const lost = () => { id("not-kept").hidden = false; };
  const load = () => {
    try {
      const raw = localStorage.getItem(key);
      if (raw) kept = {...empty(), ...JSON.parse(raw)};
    } catch { lost(); }
  };
  const save = () => {
    try { localStorage.setItem(key, JSON.stringify(kept)); } catch { lost(); }
  };
  const entered = () => Object.values(kept.ticks).some(Boolean) || Object.values(kept.readings).some(Boolean);

  // A reading against its limits: the same grammar as in the variant file, in short.
  const POWERS = {"": 1, m: 1e-3, u: 1e-6, "\u00b5": 1e-6, k: 1e3, M: 1e6};
  const value = (text, unit) => {
    if (/^(open|ol|infinite)$/i.test(text)) return Infinity;
    const found = /^([+-]?\d+(?:\.\d+)?) ?([mku\u00b5M]?) ?(ohm|\u03a9|V|A)?$/.exec(text);
    if (!found || (found[3] && found[3].replace("\u03a9", "ohm") !== unit)) return NaN;
    return Number(found[1]) * POWERS[found[2]];
  };
  const verdict = (field) => {
    const text = field.value.trim();
    if (!text) return ["", ""];
    const {unit} = field.dataset;
    const read = value(text, unit);
    if (Number.isNaN(read)) return ["bad", `write a number in ${unit}, such as 74.8 or 1.2k${unit === "ohm" ? ", or open" : ""}`];
    if (read < Number(field.dataset.low)) return ["bad", "low: see what to suspect"];
    if (read > (field.dataset.high === "inf" ? Infinity : Number(field.dataset.high))) return ["bad", "high: see what to suspect"];
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

  // The table for the variant file.  JSON's strings are strings of TOML, once a deletion character is written out.
  const quoted = (text) => JSON.stringify(text).replace(/\u007f/g, "\\u007f");
  const table = () => {
    const lines = ["[[built]]", `serial = ${quoted(kept.serial.trim())}`];
    if (kept.date) lines.push(`date = ${quoted(kept.date)}`);
    const changed = kept.changed.split("\n").map((line) => line.trim()).filter(Boolean);
    if (changed.length) lines.push(`changed = [${changed.map(quoted).join(", ")}]`);
    const fields = all("input[data-reading]").filter((field) => field.value.trim());
    if (fields.length) lines.push("", "[built.readings]");
    for (const field of fields) {
      const text = field.value.trim();
      const bare = /^[+-]?\d+(\.\d+)?( ?[mku\u00b5M])?$/.test(text);
      const number = text.replace(/ /g, "");
      const told = !bare ? text : /[a-zA-Z\u00b5]$/.test(number)
        ? `${number.slice(0, -1)} ${number.slice(-1)}${field.dataset.unit}` : `${number} ${field.dataset.unit}`;
      lines.push(`${quoted(field.dataset.reading)} = ${quoted(told)}`);
    }
    return `${lines.join("\n")}\n`;
  };
  const write = () => { id("built-text").value = table(); };

  const fill = () => {
    for (const box of all("input[data-tick]")) box.checked = Boolean(kept.ticks[box.dataset.tick]);
    for (const short of all("main b")) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = button.dataset.ref = short.textContent;
    short.replaceWith(button);
  }
  for (const field of all("input[data-reading]")) {
      field.value = kept.readings[field.dataset.reading] ?? "";
      judge(field);
    }
    id("built-serial").value = kept.serial;
    id("built-date").value = kept.date;
    id("built-changed").value = kept.changed;
    for (const part of all("details[id]")) if (part.id in kept.open) part.open = kept.open[part.id];
    id("earlier").hidden = kept.digest === sheet.dataset.digest || !entered();
    write();
  };

  sheet.addEventListener("input", (event) => {
    const field = event.target;
    if (field.dataset.tick) kept.ticks[field.dataset.tick] = field.checked;
    else if (field.dataset.reading) { kept.readings[field.dataset.reading] = field.value; judge(field); }
    else if (field.id === "built-serial") kept.serial = field.value;
    else if (field.id === "built-date") kept.date = field.value;
    else if (field.id === "built-changed") kept.changed = field.value;
    else return;
    write();
    save();
  });
  for (const part of all("details[id]")) {
    part.addEventListener("toggle", () => { kept.open[part.id] = part.open; save(); });
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

  id("built-new").addEventListener("click", () => {
    if (entered() && !confirm("Empty all ticks and readings, for another board?")) return;
    kept = {...empty(), open: kept.open};
    save();
    fill();
  });
  document.querySelector('[data-copy="built"]').addEventListener("click", async () => {
    write();
    const said = id("built-said");
    try {
      await navigator.clipboard.writeText(id("built-text").value);
      said.textContent = "copied";
    } catch {
      id("built-text").select();
      said.textContent = "selected below: copy it from there";
    }
  });

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
    if (event.key === "Escape") { pinned = ""; mark(""); }
  });

  for (const short of all("main b")) {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = button.dataset.ref = short.textContent;
    short.replaceWith(button);
  }
  for (const field of all("input[data-reading]")) { field.autocomplete = "off"; field.spellcheck = false; }
  load();
  fill();
  mark("");
  reveal();
})();
