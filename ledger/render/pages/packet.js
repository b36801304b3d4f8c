/* Turning pages, writing notes on them, keeping and saving these. Nothing is asked of anybody. */
"use strict";
(() => {
  const one = (id) => document.getElementById(id);
  const root = document.documentElement;
  const main = document.querySelector("main");
  const { entry, reading, drawn, reader } = main.dataset;
  const packet = root.dataset.packet;
  const key = `inkledger ${packet}`;
  const openings = [...document.querySelectorAll(".opening")];
  const pages = [...document.querySelectorAll(".page")];
  const order = new Map(pages.map((page, at) => [page.dataset.place, at]));
  const say = (words) => { one("told").textContent = words; };
  const nameOf = (page) => page.getAttribute("aria-label");
  const make = (kind, held, words) => {
    const made = document.createElement(kind);
    if (held) made.className = held;
    if (words !== undefined) made.textContent = words;
    return made;
  };

  /* -- what is kept */
  let kept = { name: reader || "", asked: false, notes: [], gone: [], read: [], saved: 0 };
  let keeps = true;
  let unsaved = false;
  const sorted = (notes) => notes.filter((note) => order.has(note.place))
    .sort((a, b) => order.get(a.place) - order.get(b.place) || a.made - b.made);

  /* The same packet may lie open twice: what either has kept stays. */
  const merged = (mine, other) => {
    const gone = [...new Set([...mine.gone, ...other.gone])];
    const notes = new Map();
    for (const note of [...other.notes, ...mine.notes]) {
      const there = notes.get(note.id);
      if (!gone.includes(note.id) && (!there || there.changed <= note.changed)) notes.set(note.id, note);
    }
    const names = mine.asked ? mine : other;
    return {
      name: names.name, asked: mine.asked || other.asked, notes: sorted([...notes.values()]), gone,
      read: [...new Set([...other.read, ...mine.read])], saved: Math.max(other.saved, mine.saved),
    };
  };
  /* What is read back may be an older packet's, or damaged: its notes are taken for what they still say. */
  const shaped = (found) => {
    const list = (value) => (Array.isArray(value) ? value : []);
    const text = (value) => typeof value === "string";
    const when = (value) => (Number.isFinite(value) ? value : 0);
    const within = (value) => Number.isFinite(value) && value >= 0 && value <= 1;
    const note = (each) => ({
      id: each.id, made: when(each.made), changed: when(each.changed), place: each.place, text: each.text,
      spot: list(each.spot).length === 2 && each.spot.every(within) ? each.spot : null,
      quote: text(each.quote) ? each.quote : "", panel: text(each.panel) ? each.panel : "",
    });
    return {
      name: text(found.name) ? found.name : "", asked: found.asked === true, gone: list(found.gone).filter(text),
      read: list(found.read).filter(text), saved: when(found.saved),
      notes: list(found.notes).filter((each) => each && text(each.id) && text(each.text) && text(each.place)).map(note),
    };
  };
  const stored = () => {
    try {
      const text = localStorage.getItem(key);
      const found = text ? JSON.parse(text) : null;
      return found ? shaped(found) : null;
    } catch (fault) {
      if (!(fault instanceof SyntaxError)) refused();
      return null;
    }
  };
  const refused = () => {
    keeps = false;
    one("refused").textContent = "This browser does not keep your notes when the page is closed or loaded again. Save them before you leave.";
    one("refused").hidden = false;
  };
  const keep = () => {
    const other = stored();
    if (other) kept = merged(kept, other);
    kept.notes = sorted(kept.notes);
    try {
      localStorage.setItem(key, JSON.stringify(kept));
    } catch (fault) {
      refused();
    }
  };

  /* -- turning */
  let at = 0;
  /* A button that has nowhere to go looks so, but keeps the focus: it says why when it is pressed. */
  const ends = () => {
    for (const [ids, end] of [[["back", "over-back"], at === 0], [["on", "over-on"], at === openings.length - 1]]) {
      for (const id of ids) one(id).setAttribute("aria-disabled", String(end));
    }
  };
  const go = (to, focus) => {
    if (to < 0 || to >= openings.length) {
      say(to < 0 ? "These are the first pages." : "These are the last pages.");
      return;
    }
    say("");
    one("to").value = String(at);
    if (!settled()) return;
    const left = openings[at].contains(document.activeElement);
    at = to;
    openings.forEach((opening, number) => { opening.hidden = number !== at; });
    const shown = [...openings[at].querySelectorAll(".page")];
    const fresh = shown.map((page) => page.dataset.label).filter((label) => !kept.read.includes(label));
    if (fresh.length) {
      kept.read.push(...fresh);
      keep();
    }
    if (left || focus) shown[0].focus({ preventScroll: true });
    ends();
    one("to").value = String(at);
    one("where").replaceChildren(
      make("span", "unseen", `${shown.map(nameOf).join(" and ")}. `), `Opening ${at + 1} of ${openings.length}.`,
    );
  };
  one("to").addEventListener("change", () => go(Number(one("to").value)));
  /* From below the pages the next ones are shown from their top: on a phone two of them are taller than the glass. */
  const turnOver = (by) => {
    const before = at;
    go(at + by, true);
    if (at !== before) openings[at].scrollIntoView();
  };
  one("over-on").addEventListener("click", () => turnOver(1));
  one("over-back").addEventListener("click", () => turnOver(-1));
  const typing = (place) => place instanceof Element && place.closest("input, textarea, select");
  document.addEventListener("keydown", (event) => {
    const forward = reading === "rtl" ? "ArrowLeft" : "ArrowRight";
    const back = reading === "rtl" ? "ArrowRight" : "ArrowLeft";
    if (event.key !== forward && event.key !== back) return;
    if (event.altKey || event.ctrlKey || event.metaKey || event.shiftKey) return;
    if (typing(event.target) && event.target !== one("to")) return;
    event.preventDefault();
    go(at + (event.key === forward ? 1 : -1));
  });

  /* -- writing a note */
  const drafts = new Map();
  let open = null;
  const field = (name) => open.form.querySelector(`.${name}`);
  const fields = ["text", "across", "down", "panel-chosen", "quote"];
  const drafted = (page, note) => (note ? note.id : page.dataset.place);
  const typed = () => Object.fromEntries(fields.filter(field).map((name) => [name, field(name).value]));
  /* Whether something is being written that is no note yet, or another one than it was. */
  const begun = (text, note) => text.trim() !== "" && !(note && note.text === text.trim());
  const altered = () => {
    const before = open.note ? said(open.note) : {};
    const now = typed();
    return now.text.trim() !== "" && fields.some((name) => name in now && now[name].trim() !== (before[name] || ""));
  };
  const close = (focus) => {
    if (!open) return;
    const { form, page, button, note } = open;
    drafts.set(drafted(page, note), { ...typed(), page, note });
    form.remove();
    open = null;
    aim();
    if (focus) (button.isConnected ? button : page.querySelector(".add")).focus();
  };
  /* Pages on which something was typed and closed that is no note. */
  const waiting = () => [...drafts.values()].filter((draft) => draft.page && begun(draft.text, draft.note))
    .map((draft) => nameOf(draft.page).toLowerCase());
  const waits = () => {
    const where = [...new Set(waiting())];
    return where.length ? ` What you typed on ${where.join(" and ")} and closed is no note: open it again to keep it.` : "";
  };
  /* A reader who goes on has written the note: it is kept. False where it can't be, and the reader is told why. */
  const settled = () => {
    if (!open) return true;
    if (altered()) keepNote();
    else close(false);
    return !open;
  };
  const fill = (values) => {
    for (const name of fields) if (field(name) && values[name]) field(name).value = values[name];
  };
  const percent = (value) => String(Math.round(value * 1000) / 10);
  const panels = (page) => {
    const box = field("panel-chosen");
    if (!box) return;
    box.append(new Option("the whole page", ""));
    for (const panel of page.querySelectorAll(".panel[data-panel]")) {
      box.append(new Option(`panel ${panel.dataset.panel}`, panel.dataset.panel));
    }
  };
  /* Words that are marked on a page of a script, and the panel that they stand in. */
  const marked = (page) => {
    const chosen = getSelection();
    const words = chosen ? Round.oneRow(chosen.toString()) : "";
    const place = chosen && chosen.anchorNode && chosen.anchorNode.parentElement;
    if (drawn === "yes" || !words || !place || !page.querySelector(".sheet").contains(place)) return {};
    const panel = place.closest(".panel[data-panel]");
    return { quote: words, "panel-chosen": panel ? panel.dataset.panel : "" };
  };
  const inPercent = (spot) => (spot ? { across: percent(spot[0]), down: percent(spot[1]) } : {});
  const said = (note) =>
    note ? { text: note.text, "panel-chosen": note.panel || "", quote: note.quote || "", ...inPercent(note.spot) } : {};
  const point = (page, button, spot) => {
    if (!open || open.page !== page) write(page, button, { spot });
    if (!open || open.page !== page) return;
    fill(inPercent(spot));
    aim();
    field("text").focus();
  };
  /* Where the note that is being written will hang. */
  const aim = () => {
    document.querySelectorAll(".aim").forEach((old) => old.remove());
    const [across, down] = open && field("across") ? [field("across").value, field("down").value] : ["", ""];
    const within = (value) => value !== "" && value >= 0 && value <= 100;
    const picture = open && open.page.querySelector(".picture");
    if (!picture || !within(across) || !within(down)) return;
    const mark = make("span", "mark aim");
    mark.style.left = `${across}%`;
    mark.style.top = `${down}%`;
    mark.setAttribute("aria-hidden", "true");
    picture.append(mark);
  };
  const write = (page, button, { spot, note, values } = {}) => {
    if (!settled()) return;
    const form = one("writing").content.firstElementChild.cloneNode(true);
    open = { form, page, button, note };
    page.querySelector(".notes").before(form);
    panels(page);
    fill(drafts.get(drafted(page, note)) || said(note));
    fill({ ...inPercent(spot), ...values });
    form.addEventListener("submit", (event) => { event.preventDefault(); keepNote(); });
    form.querySelector(".leave").addEventListener("click", leave);
    form.addEventListener("input", aim);
    aim();
    field("text").focus();
  };
  const leave = () => {
    close(true);
    say(waits().trim());
  };
  const wrong = (words, box) => {
    field("wrong").textContent = words;
    field("wrong").hidden = false;
    box.focus();
  };
  const spotted = () => {
    const boxes = [field("across"), field("down")];
    if (!boxes[0] || boxes.every((box) => box.value === "" && box.validity.valid)) return null;
    const values = boxes.map((box) => (box.value === "" ? NaN : Number(box.value)));
    const bad = values.findIndex((value) => !(value >= 0 && value <= 100));
    if (bad < 0) return values.map((value) => value / 100);
    wrong("A spot takes two numbers from 0 to 100, or none for the whole page.", boxes[bad]);
    return undefined;
  };
  const phrase = () => {
    const box = field("quote");
    const words = box ? Round.oneRow(box.value) : "";
    const panel = field("panel-chosen") ? field("panel-chosen").value : "";
    const lines = [...open.page.querySelectorAll(panel ? `[data-panel="${panel}"] .said` : ".said")];
    const holding = words ? lines.filter((line) => Round.oneRow(line.textContent).includes(words)).length : 0;
    if (holding > 1 && !panel) {
      wrong("These words stand in several lines of this page. Say which panel is meant, or take more of them.", box);
      return undefined;
    }
    if (!words || holding) return words;
    wrong(`These words don't stand in one line of ${panel ? "this panel" : "this page"}. Mend them, or leave them out.`, box);
    return undefined;
  };
  const keepNote = () => {
    const { page, note } = open;
    const text = field("text").value.trim();
    if (!text) return wrong("Nothing is written yet.", field("text"));
    const spot = spotted();
    const quote = spot === undefined ? undefined : phrase();
    if (spot === undefined || quote === undefined) return undefined;
    const now = Date.now();
    const made = {
      id: note ? note.id : `${now}-${Math.random().toString(36).slice(2)}`, made: note ? note.made : now, changed: now,
      place: page.dataset.place, text, spot, quote, panel: field("panel-chosen") ? field("panel-chosen").value : "",
    };
    kept.notes = [...kept.notes.filter((each) => each.id !== made.id), made];
    unsaved = true;
    close(false);
    drafts.delete(drafted(page, note));
    keep();
    show();
    page.querySelector(".add").focus();
    say(`Note ${kept.notes.findIndex((each) => each.id === made.id) + 1} is kept; “Save notes” makes the file to send back.`);
    return undefined;
  };
  const takeOut = (note, page) => {
    kept.notes = kept.notes.filter((each) => each.id !== note.id);
    kept.gone.push(note.id);
    unsaved = true;
    keep();
    show();
    drafts.delete(note.id);
    drafts.set(page.dataset.place, { text: note.text });
    page.querySelector(".add").focus();
    say("The note is taken out; its words come back when you add a note to the page.");
  };

  /* -- showing notes at their page, tied to their spot by a line ruled to the margin */
  const where = (note) => [
    note.panel ? `panel ${note.panel}` : "", note.quote ? `\u201c${note.quote}\u201d` : "",
    note.spot ? `at ${percent(note.spot[0])} % across, ${percent(note.spot[1])} % down` : "",
  ].filter(Boolean).join(", ");
  const item = (note, number, page) => {
    const row = make("li");
    row.append(make("span", "number", String(number)));
    if (where(note)) row.append(make("bdi", "where", where(note)));
    const words = make("bdi", "words", note.text);
    words.dir = "auto";
    const change = make("button", "", "Change");
    const out = make("button", "", "Take out");
    for (const [button, does] of [[change, "Change"], [out, "Take out"]]) {
      button.type = "button";
      button.setAttribute("aria-label", `${does} note ${number}`);
    }
    change.addEventListener("click", () => write(page, change, { note }));
    out.addEventListener("click", () => takeOut(note, page));
    row.append(words, change, out);
    return row;
  };
  const rule = (note, number, page) => {
    const picture = page.querySelector(".picture");
    if (!picture || !Array.isArray(note.spot)) return;
    const [across, down] = note.spot.map((value) => 100 * value);
    const mark = make("span", "mark");
    mark.style.left = `${across}%`;
    const line = make("span", "ruled");
    const tag = make("span", "tag", String(number));
    const outer = page.classList.contains("left") ? "left" : "right";
    const beside = [...picture.querySelectorAll(".tag")].filter((other) => Math.abs(parseFloat(other.style.top) - down) < 5);
    line.style[outer] = "0";
    tag.style[outer] = `${1.75 * beside.length}rem`;
    line.style.width = outer === "left" ? `${across}%` : `${100 - across}%`;
    for (const each of [mark, line, tag]) {
      each.style.top = `${down}%`;
      each.setAttribute("aria-hidden", "true");
      picture.append(each);
    }
  };
  const show = () => {
    for (const page of pages) {
      page.querySelectorAll(".mark, .ruled, .tag").forEach((old) => old.remove());
      page.querySelector(".notes").replaceChildren();
    }
    kept.notes.forEach((note, index) => {
      const page = pages[order.get(note.place)];
      page.querySelector(".notes").append(item(note, index + 1, page));
      rule(note, index + 1, page);
    });
    counted();
    aim();
  };
  /* How many notes there are, here and at every opening, and whether all of them have left the browser. */
  const many = (count) => `${count} note${count === 1 ? "" : "s"}`;
  const counted = () => {
    openings.forEach((opening, number) => {
      const there = opening.querySelectorAll(".notes li").length;
      const names = [...opening.querySelectorAll(".page")].map(nameOf).join(" and ");
      one("to").options[number].textContent = names + (there ? `: ${many(there)}` : "");
    });
    const total = kept.notes.length;
    const left = kept.notes.filter((note) => note.changed > kept.saved).length;
    const which = left === total ? "" : ` ${left} of them`;
    const stays = keeps ? " This browser keeps your notes; a private window forgets them when it is closed." : "";
    one("count").textContent = !total ? "" : left ? `${many(total)},${which} not yet saved or copied.${stays}` :
      `${many(total)}, saved or copied.`;
  };

  /* -- who reads */
  const named = () => {
    one("naming").hidden = kept.asked;
    one("named").hidden = !kept.asked;
    one("reader").textContent = Round.oneRow(kept.name) || "somebody without a name";
    if (!kept.asked) one("name").value = kept.name;
  };
  one("naming").addEventListener("submit", (event) => {
    event.preventDefault();
    kept.name = Round.oneRow(one("name").value);
    kept.asked = true;
    keep();
    named();
    one("rename").focus();
  });
  one("rename").addEventListener("click", () => {
    one("naming").hidden = false;
    one("named").hidden = true;
    one("name").value = kept.name;
    one("name").focus();
  });

  /* -- out of the browser again */
  const text = () => {
    if (!one("naming").hidden && one("name").value.trim()) kept.name = Round.oneRow(one("name").value);
    return Round.text(kept, entry, new Date());
  };
  const ready = () => {
    if (!settled()) return false;
    if (!kept.notes.length) say("There are no notes yet.");
    return kept.notes.length > 0;
  };
  one("save").addEventListener("click", () => {
    if (!ready()) return;
    const link = make("a");
    link.download = `${packet}.notes.md`;
    link.href = URL.createObjectURL(new Blob([text()], { type: "text/markdown;charset=utf-8" }));
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 60000);
    out(`Your notes are saved as ${link.download}, among your downloads. Send that file back.`);
  });
  const out = (words) => {
    unsaved = false;
    kept.saved = Date.now();
    keep();
    counted();
    const unnamed = kept.name ? "" : " They bear no name: give yours above and do it again, or say who you are when you send them.";
    say(words + unnamed + waits());
  };
  const byHand = () => {
    one("byhand").hidden = false;
    one("copied").value = text();
    one("copied").focus();
    one("copied").select();
    say("Copy the notes from the box: they are marked.");
  };
  one("copy").addEventListener("click", () => {
    if (!ready()) return;
    const done = navigator.clipboard ? navigator.clipboard.writeText(text()) : Promise.reject();
    done.then(() => out("The notes are copied. Paste them into a mail."), byHand);
  });
  addEventListener("beforeunload", (event) => {
    if ((!keeps && unsaved) || (open && altered()) || waiting().length) event.preventDefault();
  });
  addEventListener("storage", (event) => {
    const other = event.key === key ? stored() : null;
    if (!other) return;
    kept = merged(kept, other);
    /* What the other window wrote over before it knew of it is put back. */
    const has = new Set([...other.notes.map((note) => `${note.id} ${note.changed}`), ...other.gone]);
    if (kept.notes.some((note) => !has.has(`${note.id} ${note.changed}`)) || kept.gone.some((id) => !has.has(id))) keep();
    show();
    named();
  });

  /* -- beginning */
  for (const page of pages) {
    const button = page.querySelector(".add");
    button.addEventListener("mousedown", () => { button.marked = marked(page); });
    button.addEventListener("click", () => {
      const values = button.marked || marked(page);
      button.marked = null;
      write(page, button, { values });
    });
    const image = page.querySelector(".picture img");
    if (image) {
      image.addEventListener("click", (event) => {
        const box = image.getBoundingClientRect();
        const within = (value) => Math.min(1, Math.max(0, value));
        point(page, button, [
          within((event.clientX - box.left) / box.width), within((event.clientY - box.top) / box.height),
        ]);
      });
    }
  }
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && open) leave();
  });
  one("on").addEventListener("click", () => go(at + 1));
  one("back").addEventListener("click", () => go(at - 1));
  one("needs").hidden = true;
  document.querySelectorAll(":is(button, select):disabled").forEach((button) => { button.disabled = false; });
  const before = stored();
  if (before) kept = merged(kept, before);
  keep();
  go(0);
  show();
  named();
  root.dataset.ready = "yes";
})();
