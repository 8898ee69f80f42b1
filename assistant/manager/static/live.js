// Looks every few seconds whether the log has new entries and then takes the page in anew, without a jump.
// Nothing is replaced under somebody who writes, listens or has a form open: a line says that there is more.
"use strict";
(() => {
  const EVERY = Number(document.body.dataset.every) * 1000;
  const asked = { headers: { "X-Refresh": "1" }, cache: "no-store" };
  let seen = document.body.dataset.head;

  function busy() {
    const main = document.querySelector("main");
    const written = [...main.querySelectorAll("input, textarea, select")].some((each) =>
      each === document.activeElement || (each.tagName !== "SELECT" && each.type !== "hidden" &&
        (each.type === "checkbox" ? each.checked !== each.defaultChecked : each.value !== each.defaultValue)));
    const played = [...main.querySelectorAll("audio")].some((each) => !each.paused);
    return written || played || main.querySelector("details[open] form") !== null;
  }

  async function take() {
    const answer = await fetch(location.href, asked);
    if (!answer.ok || answer.redirected) return location.reload();
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    const open = [...document.querySelectorAll("main details[open] > summary")].map((each) => each.textContent);
    for (const part of ["main", "footer"]) document.querySelector(part).replaceWith(fresh.querySelector(part));
    for (const each of document.querySelectorAll("main details > summary")) {
      if (open.includes(each.textContent)) each.parentElement.open = true;
    }
    seen = fresh.body.dataset.head;
    return undefined;
  }

  async function look() {
    if (document.hidden) return;
    const answer = await fetch("/head", asked);
    if (!answer.ok || answer.redirected) return;
    if ((await answer.text()) === seen) return;
    if (busy()) document.getElementById("more").hidden = false;
    else await take();
  }

  setInterval(() => look().catch(() => undefined), EVERY);
})();
