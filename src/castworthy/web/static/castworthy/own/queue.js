// Readings on their way to the shop's computer.  Each is kept in this browser, under the name of
// the person who typed it, until the server has it; a dropped link is said and tried again.  The
// same reading sent twice is one reading: it carries a name of its own, made here.
(function () {
  "use strict";

  const body = document.body;
  const who = body.dataset.person || "";
  const key = "castworthy.readings." + who;
  const listeners = [];
  let kept = [];
  let sending = false;
  let link = "up";
  let waitMs = 0;
  let timer = null;

  function load() {
    try {
      const found = JSON.parse(localStorage.getItem(key) || "[]");
      return Array.isArray(found) ? found : [];
    } catch (_) {
      return kept;
    }
  }

  function store() {
    try {
      if (kept.length) localStorage.setItem(key, JSON.stringify(kept));
      else localStorage.removeItem(key);
    } catch (_) {
      window.castworthy.say(
        "This browser keeps nothing for later, so leave the page open until every reading is sent."
      );
    }
  }

  function tell(what, entry, more) {
    for (const listener of listeners) listener(what, entry, more || {});
  }

  function newName() {
    if (window.crypto && crypto.randomUUID) return crypto.randomUUID();
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    bytes[6] = (bytes[6] & 0x0f) | 0x40;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
    return hex.replace(/^(.{8})(.{4})(.{4})(.{4})(.{12})$/, "$1-$2-$3-$4-$5");
  }

  function add(entry) {
    kept = load();
    const whole = Object.assign({ uuid: newName(), state: "waiting", at: Date.now() }, entry);
    kept.push(whole);
    store();
    tell("added", whole);
    send();
    return whole;
  }

  function change(uuid, patch) {
    kept = load();
    const entry = kept.find((one) => one.uuid === uuid);
    if (!entry) return null;
    Object.assign(entry, patch);
    store();
    return entry;
  }

  function remove(uuid) {
    kept = load().filter((one) => one.uuid !== uuid);
    store();
    tell("removed", { uuid });
  }

  function again(uuid, values) {
    const entry = change(uuid, { state: "waiting", sentence: "" });
    if (!entry) return;
    change(uuid, { values: Object.assign(entry.values, values || {}) });
    waitMs = 0;
    send();
  }

  function setLink(state) {
    if (state === link) return;
    link = state;
    tell("link", null, { link });
  }

  function later() {
    waitMs = Math.min(waitMs ? waitMs * 2 : 1000, 20000);
    clearTimeout(timer);
    timer = setTimeout(send, waitMs);
  }

  function token() {
    const field = document.querySelector("input[name=csrfmiddlewaretoken]");
    return field ? field.value : "";
  }

  async function post(entry) {
    const form = new FormData();
    for (const [name, value] of Object.entries(entry.values)) form.append(name, value);
    form.append("uuid", entry.uuid);
    const stop = new AbortController();
    const limit = setTimeout(() => stop.abort(), 15000);
    try {
      const answer = await fetch(entry.url, {
        method: "POST",
        body: form,
        credentials: "same-origin",
        redirect: "manual",
        signal: stop.signal,
        headers: { "HX-Request": "true", "X-CSRFToken": token() },
      });
      answer.html = await answer.text();
      return answer;
    } finally {
      clearTimeout(limit);
    }
  }

  function sentenceOf(answer) {
    const own = answer.headers.get("X-Sentence");
    return own ? decodeURIComponent(own) : "";
  }

  function take(entry, answer) {
    const fate = answer.headers.get("X-Reading");
    const { html } = answer;
    if (answer.ok && fate === "stored") {
      remove(entry.uuid);
      tell("stored", entry, { html });
      return true;
    }
    if (answer.ok && fate === "asked") {
      change(entry.uuid, { state: "asked", sentence: sentenceOf(answer) });
      tell("asked", entry, { html });
      return true;
    }
    if (answer.status === 401 || answer.type === "opaqueredirect") {
      setLink("signed out");
      return false;
    }
    if (answer.status === 429 || answer.status === 502 || answer.status === 503 || answer.status === 504) {
      setLink("down");
      later();
      return false;
    }
    const sentence = sentenceOf(answer) || (
      answer.status === 403
        ? "This page is older than your sign-in. Load it again; what you typed is kept."
        : "The shop's computer could not take this in. Try once more; what you typed is kept."
    );
    change(entry.uuid, { state: "refused", sentence });
    tell("refused", entry, { sentence });
    return true;
  }

  async function send() {
    if (sending || !who) return;
    sending = true;
    clearTimeout(timer);
    try {
      for (;;) {
        kept = load();
        const entry = kept.find((one) => one.state === "waiting");
        if (!entry) {
          setLink("up");
          break;
        }
        let answer;
        try {
          answer = await post(entry);
        } catch (_) {
          setLink("down");
          later();
          break;
        }
        if (!take(entry, answer)) break;
        waitMs = 0;
        setLink("up");
      }
    } finally {
      sending = false;
      tell("rest", null, { link });
    }
  }

  function othersWaiting() {
    const found = [];
    try {
      for (let at = 0; at < localStorage.length; at += 1) {
        const name = localStorage.key(at);
        if (name && name.startsWith("castworthy.readings.") && name !== key) {
          const count = JSON.parse(localStorage.getItem(name) || "[]").length;
          if (count) found.push({ who: name.slice("castworthy.readings.".length), count });
        }
      }
    } catch (_) {
      return [];
    }
    return found;
  }

  kept = load();
  window.addEventListener("online", () => { waitMs = 0; send(); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });

  window.castworthy = Object.assign(window.castworthy || {}, {
    queue: {
      add,
      again,
      mark: change,
      remove,
      send,
      newName,
      othersWaiting,
      listen: (listener) => listeners.push(listener),
      link: () => link,
      entries: () => load(),
      ofHead: (tag) => load().filter((one) => one.tag === tag),
    },
  });

  if (!document.getElementById("bench")) {
    // On every other page: send what still waits and say how it ended.
    listeners.push((what, entry, more) => {
      if (what === "asked" || what === "refused") {
        window.castworthy.say(
          `${entry.label} of ${entry.tag} is not stored yet: open its Measure page, it asks about ${entry.values.typed}.`
        );
      } else if (what === "link" && more.link === "down") {
        window.castworthy.say("The link to the shop's computer is down; readings typed here are kept and sent later.");
      }
    });
    send();
  }
})();
