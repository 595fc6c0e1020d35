"use strict";
// Adds sorting and choosing to the summary; what is chosen stands in the address,
// so that a link keeps the view. Everything is there without this.
(() => {
  const all = document.getElementById("all");
  const form = document.getElementById("choose");
  if (!form) return;
  const body = all.querySelector("tbody");
  const rows = [...body.rows];
  const heads = [...all.querySelectorAll("th[data-by]")];
  const shown = document.getElementById("shown");
  const collator = new Intl.Collator(undefined, { numeric: true });
  const fold = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const lists = [...form.querySelectorAll("select")];
  const ticks = [...form.querySelectorAll("input[type=checkbox]")];
  const search = form.elements.q;
  let sort = { by: "rank", down: false };

  const tanks = rows.map((row) => ({
    row,
    section: document.querySelector(row.querySelector("a").getAttribute("href")),
    text: fold(row.textContent + " " + row.dataset.group),
  }));

  function key(row, by) {
    if (by === "rank") return row.dataset.rank;
    const cell = row.querySelector("." + by);
    if (!cell) return "";
    return "v" in cell.dataset ? cell.dataset.v : cell.textContent.trim();
  }

  function compare(one, other) {
    const apart = Number(one) - Number(other);
    return Number.isNaN(apart) ? collator.compare(one, other) : apart;
  }

  function order() {
    const keyed = tanks.map((tank, place) => ({ tank, place, key: key(tank.row, sort.by) }));
    keyed.sort((a, b) => {
      // What has no value stands last, whichever way the rest goes.
      if (!a.key !== !b.key) return a.key ? -1 : 1;
      const way = compare(a.key, b.key) * (sort.down ? -1 : 1);
      return way || a.place - b.place;
    });
    body.append(...keyed.map((entry) => entry.tank.row));
    for (const head of heads) {
      const mine = head.dataset.by === sort.by;
      head.setAttribute("aria-sort", mine ? (sort.down ? "descending" : "ascending") : "none");
    }
  }

  function choose() {
    const words = fold(search.value).split(/\s+/).filter(Boolean);
    const wanted = ticks.filter((tick) => tick.checked).map((tick) => tick.value);
    let count = 0;
    for (const { row, section, text } of tanks) {
      const fits =
        (!wanted.length || wanted.includes(row.dataset.attention)) &&
        lists.every((list) => !list.value || row.dataset[list.name] === list.value) &&
        words.every((word) => text.includes(word));
      row.hidden = !fits;
      section.hidden = !fits;
      if (fits) count += 1;
    }
    shown.textContent = shown.dataset.form
      .replace("{shown}", count)
      .replace("{all}", tanks.length);
  }

  function keep() {
    const state = new URLSearchParams();
    for (const [name, value] of new FormData(form)) if (value) state.append(name, value);
    if (sort.by !== "rank" || sort.down) state.append("sort", (sort.down ? "-" : "") + sort.by);
    const kept = "#" + (state.toString() || "all");
    if (location.hash !== kept) history.replaceState(null, "", kept);
  }

  function restore() {
    const fragment = location.hash.slice(1);
    if (fragment && !fragment.includes("=")) return; // a link to a tank
    const state = new URLSearchParams(fragment);
    search.value = state.get("q") || "";
    for (const tick of ticks) tick.checked = state.getAll("a").includes(tick.value);
    for (const list of lists) {
      const value = state.get(list.name) || "";
      list.value = [...list.options].some((option) => option.value === value) ? value : "";
    }
    const asked = state.get("sort") || "rank";
    const by = asked.replace(/^-/, "");
    const known = heads.some((head) => head.dataset.by === by);
    sort = known ? { by, down: asked.startsWith("-") } : { by: "rank", down: false };
    order();
    choose();
  }

  for (const head of heads) {
    const button = document.createElement("button");
    button.type = "button";
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener("click", () => {
      const by = head.dataset.by;
      sort = { by, down: sort.by === by && !sort.down };
      order();
      keep();
    });
  }
  form.addEventListener("input", () => { choose(); keep(); });
  form.addEventListener("submit", (event) => event.preventDefault());
  form.addEventListener("reset", () => setTimeout(() => {
    sort = { by: "rank", down: false };
    order();
    choose();
    keep();
  }));
  addEventListener("hashchange", restore);
  addEventListener("beforeprint", () => {
    for (const part of document.querySelectorAll("details")) part.open = true;
  });
  // A table too wide for the page can be moved with the arrow keys.
  function reach() {
    for (const part of document.querySelectorAll(".wide")) {
      if (part.scrollWidth > part.clientWidth) part.tabIndex = 0;
      else part.removeAttribute("tabindex");
    }
  }
  addEventListener("resize", reach);
  reach();
  all.classList.add("sorts");
  const chooser = document.getElementById("chooser");
  chooser.hidden = false;
  chooser.open = matchMedia("(min-width: 52rem)").matches;
  order();
  choose();
  restore();
})();
