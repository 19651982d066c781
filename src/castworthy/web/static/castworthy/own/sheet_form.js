// Rows of the sheet's form: add, repeat, take out; Enter goes down a column.
(function () {
  "use strict";

  function changed(card) {
    const count = card.querySelector("[data-count]");
    if (count) count.textContent = String(card.querySelector("[data-rows]").rows.length);
    card.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function focusFirst(row) {
    const field = row.querySelector("input, select");
    if (field) field.focus();
  }

  function addRow(card) {
    const blank = card.querySelector("template[data-blank]").content.querySelector("tr");
    const row = document.importNode(blank, true);
    card.querySelector("[data-rows]").append(row);
    focusFirst(row);
    return row;
  }

  function repeatRow(row) {
    const twin = row.cloneNode(true);
    const from = row.querySelectorAll("input, select");
    twin.querySelectorAll("input, select").forEach((field, place) => {
      field.value = from[place].value;
      field.removeAttribute("aria-invalid");
    });
    row.after(twin);
    focusFirst(twin);
    const name = twin.querySelector("input");
    if (name) name.select();
  }

  function takeOut(row) {
    const near = row.nextElementSibling || row.previousElementSibling;
    const card = row.closest("[data-table]");
    row.remove();
    if (near) near.querySelector("[data-remove-row]").focus();
    else card.querySelector("[data-add-row]").focus();
  }

  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-add-row], [data-copy-row], [data-remove-row]");
    if (!button) return;
    const card = button.closest("[data-table]");
    const row = button.closest("tr");
    if (button.hasAttribute("data-add-row")) addRow(card);
    else if (button.hasAttribute("data-copy-row")) repeatRow(row);
    else takeOut(row);
    changed(card);
  });

  function down(field) {
    const cell = field.closest("td");
    const row = cell.closest("tr");
    const place = Array.prototype.indexOf.call(row.cells, cell);
    const next = row.nextElementSibling;
    if (!next) return false;
    const below = next.cells[place].querySelector("input, select");
    below.focus();
    if (below.select) below.select();
    return true;
  }

  document.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || event.isComposing) return;
    const field = event.target;
    if (!field.matches("#panel input, #panel select")) return;
    event.preventDefault();
    if (field.hasAttribute("data-pattern-field")) {
      field.closest("fieldset").querySelector("[data-lay-out]").click();
    } else if (field.closest("td") && !down(field)) {
      field.closest("[data-table]").querySelector("[data-add-row]").focus();
    }
  });

  const units = {
    head_height: "length", finish_ra: "finish", finish_rz: "finish", waviness_wt: "finish",
    seat_load: "as 90 lbf", open_load: "as 90 lbf", chamber_volume: "as 62 cm3",
    vacuum_hold: "as 40 psi", pressure_hold: "as 40 psi",
  };

  document.addEventListener("input", (event) => {
    if (!event.target.matches("select[name='limit.quantity']")) return;
    const place = event.target.closest("tr").querySelector("[data-limit-unit]");
    const unit = document.getElementById("unit").value;
    const kind = units[event.target.value] || "length";
    place.textContent = kind === "length" ? unit : kind === "finish" ? (unit === "in" ? "µin" : "µm") : kind;
  });

  document.addEventListener("click", (event) => {
    const link = event.target.closest(".sheet-parts a");
    if (!link) return;
    const part = document.querySelector(link.getAttribute("href"));
    if (part && part.tagName === "DETAILS") part.open = true;
  });
})();
