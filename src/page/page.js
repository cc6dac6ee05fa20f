// Reads words as they are typed, and puts chosen words into the field. Without it everything still works by sending the form.
"use strict";

for (const form of document.querySelectorAll("form[data-reads]")) {
  const words = form.querySelector("[name=words]");
  const reads = form.querySelector(".reads");
  const hint = reads.textContent;
  let asked = 0;
  const read = async () => {
    const mine = ++asked;
    const text = words.value.trim();
    if (text === "") {
      reads.textContent = hint;
      reads.className = "reads";
      return;
    }
    const query = new URLSearchParams({ words: text });
    if (Number(form.dataset.reads) > 0) query.set("id", form.dataset.reads);
    if (form.dataset.waits) query.set("waits", form.dataset.waits);
    if (form.elements.heard) query.set("heard", form.elements.heard.value);
    const answer = await fetch("/read?" + query);
    if (mine !== asked) return;
    if (answer.redirected || !answer.ok) {
      location.reload();
      return;
    }
    const said = await answer.json();
    reads.textContent = said.becomes
      ? "It is read as: " + said.becomes + (said.teaches ? " " + said.teaches : "")
      : said.why_not;
    reads.className = said.becomes ? "reads understood" : "reads";
  };
  let waiting;
  words.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(read, 150);
  });
  for (const choice of form.querySelectorAll("[data-word]")) {
    choice.addEventListener("click", () => {
      words.value = (words.value + " " + choice.dataset.word).trim();
      words.focus();
      read();
    });
  }
}

for (const take of document.querySelectorAll("[data-words]")) {
  take.addEventListener("click", () => {
    const words = document.getElementById("words");
    words.value = take.dataset.words;
    words.form.elements.heard.value = take.dataset.words;
    words.form.elements.aside.value = take.dataset.aside;
    words.focus();
    words.dispatchEvent(new Event("input"));
  });
}

const board = document.getElementById("board");
if (board) {
  const level = document.getElementById("level");
  const changes = new EventSource("/live/events");
  // The table stands below what is touched.
  const sides = document.getElementById("sides");
  sides.replaceChildren(board.querySelector(".sides"));
  const canTouch = () => {
    const ended = board.querySelector(".mood.off") !== null;
    for (const one of document.querySelectorAll(".touch, .stop, .level")) one.hidden = ended;
  };
  canTouch();
  changes.addEventListener("board", (change) => {
    // Drawn and escaped by the program; open details stay open.
    const open = [...sides.querySelectorAll("details")].map((one) => one.open);
    board.innerHTML = change.data;
    sides.replaceChildren(board.querySelector(".sides"));
    sides.querySelectorAll("details").forEach((one, at) => { one.open = open[at] === true; });
    canTouch();
  });
  changes.addEventListener("level", (change) => { level.value = Number(change.data); });
  changes.addEventListener("error", () => {
    const mood = board.querySelector(".mood");
    mood.className = "mood off";
    mood.textContent = "No connection to couchside: this page does not show what happens now";
  });
}

for (const form of document.querySelectorAll("form[data-touch]")) {
  form.addEventListener("submit", async (touched) => {
    touched.preventDefault();
    const words = new FormData(form, touched.submitter);
    await fetch(form.action, { method: "POST", body: new URLSearchParams(words) });
    form.reset();
    form.querySelector(".reads")?.replaceChildren();
  });
}

// The record closes by itself; then what it showed goes from the screen, too. The live view stays while the program listens.
const IDLE = 10 * 60 * 1000;
if (!board && document.querySelector(".bar form")) {
  let locks = setTimeout(lock, IDLE);
  let told = Date.now();
  function lock() { location.assign("/unlock"); }
  for (const touched of ["keydown", "pointerdown", "input"]) {
    document.addEventListener(touched, () => {
      clearTimeout(locks);
      locks = setTimeout(lock, IDLE);
      if (Date.now() - told > 30_000) {
        told = Date.now();
        fetch("/awake");
      }
    });
  }
}
