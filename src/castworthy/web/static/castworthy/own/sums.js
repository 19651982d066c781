/* A sum's form: says of every field whether it is wrong, as its own sentence does. */
"use strict";

document.addEventListener("htmx:afterSettle", () => {
  document.querySelectorAll("[data-sum] .sum__error").forEach((error) => {
    const control = document.getElementById(error.id.replace(/-error$/, ""));
    if (!control) return;
    if (error.textContent) control.setAttribute("aria-invalid", "true");
    else control.removeAttribute("aria-invalid");
  });
});

/* What stands in the fields is kept, or taken along to a head, even where its answer is still on
   its way. */
(() => {
  const typed = document.querySelector("[data-sum]");
  if (!typed) return;
  const first = new FormData(typed);
  const send = (form, name, value) => {
    let kept = form.querySelector(`input[type=hidden][name="${name}"]`);
    if (!kept) {
      kept = Object.assign(document.createElement("input"), { type: "hidden", name });
      form.append(kept);
    }
    kept.value = value;
  };
  document.addEventListener("submit", (event) => {
    const form = event.target;
    const keeping = form.matches(".sum__keeping");
    if (!keeping && !form.matches(".sum__choose")) return;
    for (const [name, value] of new FormData(typed)) {
      const there = form.querySelector(`input[type=hidden][name="${name}"]`);
      if (keeping ? there : value !== first.get(name)) send(form, name, value);
    }
  });
})();
