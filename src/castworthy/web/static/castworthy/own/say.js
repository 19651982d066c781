// Says in one sentence, over the page, what an answer of the server means when it cannot be shown in place.
(function () {
  "use strict";

  const sentences = {
    0: "The link to the shop's computer is down. What you typed is still here; try again when it is back.",
    401: "You are signed out. Sign in again; what you typed is still here.",
    403: "You may not do this. Ask an owner of the shop.",
    404: "That is no longer here. Load the page again.",
    413: "That is too large to send.",
    429: "Too many tries. Wait a minute, then try again.",
    500: "Something broke on our side. What the page had confirmed is stored; try this once more.",
  };

  function say(sentence) {
    const place = document.getElementById("say");
    if (!place) return;
    place.replaceChildren();
    const notice = document.createElement("p");
    notice.className = "notice notice--error";
    const words = document.createElement("span");
    words.textContent = sentence;
    const close = document.createElement("button");
    close.type = "button";
    close.className = "button button--quiet";
    close.textContent = "Close";
    close.addEventListener("click", () => place.replaceChildren());
    notice.append(words, close);
    place.append(notice);
  }

  function fromAnswer(xhr) {
    const own = xhr.getResponseHeader("X-Sentence");
    return own ? decodeURIComponent(own) : sentences[xhr.status] || sentences[500];
  }

  document.addEventListener("htmx:responseError", (event) => {
    if (!event.defaultPrevented) say(fromAnswer(event.detail.xhr));
  });
  document.addEventListener("htmx:sendError", () => say(sentences[0]));
  document.addEventListener("htmx:timeout", () => say(sentences[0]));

  document.addEventListener("click", (event) => {
    for (const menu of document.querySelectorAll("details.menu[open]")) {
      if (!menu.contains(event.target)) menu.open = false;
    }
  });
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    for (const menu of document.querySelectorAll("details.menu[open]")) {
      menu.open = false;
      menu.querySelector("summary").focus();
    }
  });

  window.castworthy = Object.assign(window.castworthy || {}, { say });
})();
