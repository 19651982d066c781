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
