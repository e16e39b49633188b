// What makes recording quick and safe where the connection is not: scanners that end with Enter, with Tab or with nothing,
// packs scanned one after the other, a camera where the browser can read codes, photos of codes, and entries that wait in this browser until the desk has them. Every form works without this file.
"use strict";

(() => {
  // Entries that wait. A form brings its slip, so that one that was taken although no answer came back is not taken twice.
  // Those with a patient's number stay in this page's memory and never on a disk that somebody else may read.
  const inMemory = [];
  let running = false;
  let base = null;

  const open = () => new Promise((done, failed) => {
    if (base) return done(base);
    const asked = indexedDB.open("trayproof", 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore("waiting", { keyPath: "order", autoIncrement: true });
    asked.onsuccess = () => done((base = asked.result));
    asked.onerror = () => failed(asked.error);
  });
  const change = async (work) => {
    const store = (await open()).transaction("waiting", "readwrite", { durability: "strict" });
    const asked = work(store.objectStore("waiting"));
    return new Promise((done, failed) => {
      store.oncomplete = () => done(asked.result);
      store.onerror = store.onabort = () => failed(store.error);
    });
  };
  const stored = async () => {
    const all = (await open()).transaction("waiting").objectStore("waiting").getAll();
    return new Promise((done, failed) => {
      all.onsuccess = () => done(all.result);
      all.onerror = () => failed(all.error);
    });
  };
  const everything = async () => [...(await stored()), ...inMemory].sort((a, b) => a.typed.localeCompare(b.typed));
  const keep = async (item) => item.number ? void inMemory.push(item) : change((store) => store.add(item));
  const put = async (item) => item.number ? undefined : change((store) => store.put(item));
  const drop = async (item) => {
    if (item.number) inMemory.splice(inMemory.indexOf(item), 1);
    else await change((store) => store.delete(item.order));
  };

  // One attempt. "gone": no answer came.
  const send = async (item) => {
    try {
      const me = await fetch("/api/v1/me", { signal: AbortSignal.timeout(5000) });
      if (!me.ok) return { state: "name" };
      const body = new URLSearchParams(item.body);
      const answer = await fetch(item.address, {
        method: "POST", body, signal: AbortSignal.timeout(10000),
        headers: { "Accept": "application/json", "X-CSRF-Token": (await me.json()).csrf },
      });
      if (answer.ok) return { state: "taken", ...(await answer.json()) };
      if (answer.status === 401 || answer.status === 403) return { state: "name" };
      if (answer.status === 422) return { state: "refused", says: (await answer.json()).refused.map((one) => one.says) };
      if (answer.status >= 500 || answer.status === 408 || answer.status === 429) return { state: "gone" };
      return { state: "refused", says: [String(answer.status)] };
    } catch {
      return { state: "gone" };
    }
  };

  const flush = async () => {
    if (running) return;
    running = true;
    try {
      for (const item of await everything()) {
        if (item.refused) continue;
        const answer = await send(item);
        if (answer.state === "taken") {
          await drop(item);
          show({ sent: answer.seq });
        } else if (answer.state === "refused") {
          item.refused = answer.says;  // one that cannot be taken does not hold up the rest
          await put(item);
        } else {
          needsName = answer.state === "name";
          break;
        }
      }
    } finally {
      running = false;
    }
    await show({});
  };

  let needsName = false;
  const place = document.getElementById("waiting");
  const make = (tag, text, work) => {
    const one = document.createElement(tag);
    one.textContent = text;
    if (work) {
      one.type = "button";
      one.className = "second";
      one.addEventListener("click", work);
    }
    return one;
  };
  const show = async ({ sent }) => {
    if (!place) return;
    const says = place.dataset;
    const items = await everything();
    const waiting = items.filter((one) => !one.refused);
    place.replaceChildren();
    if (sent) place.append(make("p", says.sent.replace("{seq}", sent)));
    if (waiting.length > 0) {
      place.append(make("p", waiting.length === 1 ? says.one : says.many.replace("{count}", waiting.length)));
      place.append(make("p", waiting.some((one) => one.number) ? says.number : says.kept));
      if (needsName) {
        const link = make("a", says.name);
        link.href = "/sign-in";
        place.append(link);
      }
      place.append(make("button", says.try, flush));
    }
    for (const item of items.filter((one) => one.refused)) {
      const box = document.createElement("div");
      box.append(make("p", says.refused + " " + item.title + ": " + item.refused.join(" · ")));
      box.append(make("button", says.mend, () => mend(item)));
      box.append(make("button", says.drop, async () => {
        if (!confirm(says.dropped)) return;
        await drop(item);
        await show({});
      }));
      place.append(box);
    }
    place.hidden = place.childElementCount === 0;
  };

  // The desk shows the form again with everything that was typed and what is wrong with it.
  const mend = async (item) => {
    const me = await fetch("/api/v1/me").catch(() => null);
    if (!me || !me.ok) return;
    const form = document.createElement("form");
    form.method = "post";
    form.action = item.address;
    const fields = [...new URLSearchParams(item.body), ["csrf", (await me.json()).csrf]];
    for (const [name, value] of fields) {
      const field = document.createElement("input");
      field.type = "hidden";
      field.name = name;
      field.value = value;
      form.append(field);
    }
    document.body.append(form);
    await drop(item);
    form.submit();
  };

  // What a form needs and has neither a value nor a reason for.
  const lacking = (form) => {
    const reason = (field) => form.querySelector(`[name="unknown.${field.dataset.needed}"]`)?.value;
    const empty = (field) => field.matches("fieldset") ? !field.querySelector(":checked") && !field.querySelector("textarea")?.value
                                                       : field.value.trim() === "";
    return [...form.querySelectorAll("[data-needed]")].filter((field) => empty(field) && !reason(field));
  };
  const enter = (field) =>
    (field.matches("fieldset") ? field.querySelector("[data-scan]") ?? field.querySelector("input, textarea") : field).focus();

  // A form that records: sent at once where there is a desk, else kept, and the page is ready for the next.
  const submitted = async (event) => {
    const form = event.currentTarget;
    event.preventDefault();
    const button = form.querySelector("button[type=submit]");
    button.disabled = true;
    const fields = new URLSearchParams([...new FormData(form)].filter(([, value]) => typeof value === "string"));
    fields.delete("csrf");
    fields.set("typed", new Date(Date.now() + ahead(form)).toISOString());
    if (!fields.get("by")) fields.set("by", form.dataset.person);
    const number = [...form.querySelectorAll("[data-number], [name^=newborns]")].some((field) => field.value.trim() !== "");
    const item = { address: form.action, title: form.dataset.queue, body: fields.toString(), typed: fields.get("typed"), number };
    const earlier = (await everything()).some((one) => !one.refused);
    const answer = earlier ? { state: "gone" } : await send(item);  // in order: not before those that wait
    if (answer.state === "taken") return void location.assign(answer.next);
    button.disabled = false;
    if (answer.state === "refused") return void form.submit();  // the desk shows what is wrong
    needsName = answer.state === "name";
    const [needed] = lacking(form);
    if (needed) return void enter(needed);  // nothing is kept that could not be taken
    await keep(item);
    form.reset();
    const slip = form.querySelector("[name=slip]");
    slip.value = [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
    await show({});
    first(form)?.focus();
    if (earlier) flush();
  };

  // How far the desk's clock is ahead of this machine's, so that a telephone with a wrong clock records right times.
  const loaded = Date.now();
  const ahead = (form) => Date.parse(form.dataset.now) - loaded;

  // A scanner types faster than any hand and ends with Enter, with Tab, or with nothing: then a short silence is the end.
  // Slower, Tab is a person's who goes on.
  const FAST_MS = 50, SILENCE_MS = 150, FAST_KEYS = 3;
  const onScanned = (field, take) => {
    let last = -Infinity, fast = 0, silence = 0;
    field.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing) return;
      clearTimeout(silence);
      const ends = event.key === "Enter" || (event.key === "Tab" && !event.shiftKey && fast >= FAST_KEYS - 1);
      if (ends && field.value.trim() !== "") {
        event.preventDefault();
        event.stopPropagation();
        fast = 0;
        return void take();
      }
      if (event.key.length !== 1) return;
      fast = event.timeStamp - last < FAST_MS ? fast + 1 : 0;
      last = event.timeStamp;
      if (fast >= FAST_KEYS) silence = setTimeout(take, SILENCE_MS);
    });
  };

  // In a field for one code, Enter goes to the next field that is needed and empty, and records when there is none.
  const first = (form) => form.querySelector("[data-first]") ?? form.querySelector("[data-scan], input[type=text]");
  const scanned = (event) => {
    if (event.key !== "Enter" || !["one", "many"].includes(event.target.dataset.scan)) return;
    const needed = lacking(event.currentTarget);
    if (needed.length === 0 && event.target.dataset.scan === "one") return;
    event.preventDefault();
    if (needed.length > 0) enter(needed[0]);
    else event.currentTarget.querySelector("button[type=submit]").focus();  // an empty scan records nothing by itself
  };

  // Many packs: the text area becomes a list that grows with each scan. What it holds stays the text area's, one a line, so
  // that the form is the same without this.
  const growing = (area) => {
    const says = place?.dataset;
    const group = area.closest("fieldset");
    const form = area.form;
    if (!says || !group || !form) return;
    let ids = [];
    const field = document.createElement("input");
    field.type = "text";
    field.id = area.id + "-scan";
    field.autocomplete = "off";
    field.autocapitalize = "off";
    field.spellcheck = false;
    field.dataset.scan = "many";
    field.setAttribute("aria-label", area.getAttribute("aria-label"));
    const list = document.createElement("ul");
    list.className = "scanned";
    const count = document.createElement("p");
    count.className = "count-of";
    count.setAttribute("role", "status");
    const told = document.createElement("p");
    told.setAttribute("role", "alert");
    told.hidden = true;
    const ticked = () => [...group.querySelectorAll("input[type=checkbox]:checked")].map((box) => box.value);
    const show = () => {
      area.value = ids.join("\n");
      list.replaceChildren(...ids.map((id) => {
        const item = document.createElement("li");
        const name = document.createElement("bdi");
        name.className = "id";
        name.textContent = id;
        const out = make("button", "", () => {
          ids = ids.filter((one) => one !== id);
          show();
          field.focus();
        });
        out.setAttribute("aria-label", says.scannedOut.replace("{pack}", id));
        item.append(name, out);
        return item;
      }).reverse());  // the last one stands beside the field
      const all = ids.length + ticked().length;
      count.textContent = all === 0 ? says.scannedNone : says.scanned.replace("{count}", all);
    };
    const add = (text) => {
      const twice = [];
      for (const id of text.split(/[\s,;]+/).filter((one) => one !== "")) {
        const box = [...group.querySelectorAll("input[type=checkbox]")].find((one) => one.value === id);
        if (ids.includes(id) || box?.checked) twice.push(id);
        else if (box) box.checked = true;  // one that could have been tapped
        else ids.push(id);
      }
      told.hidden = twice.length === 0;
      told.textContent = twice.map((id) => says.scannedTwice.replace("{pack}", id)).join(" ");
      show();
    };
    const take = () => {
      add(field.value);
      field.value = "";
      field.focus();
    };
    field.take = take;
    onScanned(field, take);
    field.addEventListener("paste", () => setTimeout(take));
    group.addEventListener("change", show);
    form.addEventListener("submit", () => field.value.trim() !== "" && take(), true);
    form.addEventListener("reset", () => setTimeout(() => {
      ids = [];
      told.hidden = true;
      add(area.defaultValue);
    }));
    area.hidden = true;
    delete area.dataset.scan;
    area.after(field, make("button", says.add, () => (field.value.trim() === "" ? field.focus() : take())));
    area.closest(".scan").after(told, count, list);
    const before = area.value;
    area.value = "";
    add(before);
  };

  // A photo of a code goes to the desk, small enough for the ward's wifi, and what it holds into the field beside it.
  const PHOTO_SIDE = 2400;
  const smaller = async (file) => {
    try {
      const picture = await createImageBitmap(file);
      const scale = Math.min(1, PHOTO_SIDE / Math.max(picture.width, picture.height));
      const canvas = document.createElement("canvas");
      canvas.width = Math.round(picture.width * scale);
      canvas.height = Math.round(picture.height * scale);
      canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
      return (await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.9))) ?? file;
    } catch {
      return file;  // of a sort that this browser does not know: the desk tells
    }
  };
  const photographed = async (input) => {
    const [file] = input.files;
    if (!file || !place) return;
    const holder = input.closest(".scan");
    const field = holder.querySelector("[data-scan]");
    let said = holder.nextElementSibling;
    if (!said?.classList.contains("photo-says")) {
      said = document.createElement("p");
      said.className = "photo-says";
      said.setAttribute("role", "status");
      holder.after(said);
    }
    said.textContent = place.dataset.photoReading;
    const body = new FormData();
    body.set("photo.one", await smaller(file), "photo");
    input.value = "";
    try {
      const answer = await fetch("/code", {
        method: "POST", body, signal: AbortSignal.timeout(30000),
        headers: { "Accept": "application/json", "X-CSRF-Token": field.form.querySelector("[name=csrf]").value },
      });
      const told = await answer.json();
      if (!answer.ok) return void (said.textContent = told.error.says);
      said.textContent = "";
      field.value = told.code;
      if (field.take) return void field.take();
      const [needed] = lacking(field.form);
      if (needed) enter(needed);
      else field.focus();
    } catch {
      said.textContent = place.dataset.photoFailed;
    }
  };

  // Where the browser reads codes by itself, which needs a secure address.
  const camera = (form) => {
    const field = first(form);
    if (!field || !place || !("BarcodeDetector" in window) || !navigator.mediaDevices) return;
    const button = make("button", place.dataset.camera, async () => {
      const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } }).catch(() => null);
      if (!stream) return void button.replaceWith(make("p", place.dataset.cameraNone));
      const video = document.createElement("video");
      video.srcObject = stream;
      video.playsInline = true;
      button.after(video);
      await video.play();
      const detector = new BarcodeDetector({ formats: ["qr_code", "data_matrix", "code_128"] });
      const look = async () => {
        const [code] = await detector.detect(video).catch(() => []);
        if (!code && video.isConnected) return void requestAnimationFrame(look);
        stream.getTracks().forEach((track) => track.stop());
        video.remove();
        if (!code) return;
        const into = document.activeElement?.dataset?.scan ? document.activeElement : field;
        into.value = code.rawValue;
        into.dispatchEvent(new KeyboardEvent("keydown", { key: "Enter", bubbles: true }));
      };
      look();
    });
    field.closest(".field").after(button);
  };

  document.querySelectorAll("textarea[data-scan=many]").forEach(growing);
  for (const input of document.querySelectorAll(".photo input[type=file]"))
    input.addEventListener("change", () => photographed(input));
  for (const field of document.querySelectorAll("[data-scan=goes]")) {
    field.take = () => field.form.requestSubmit();
    onScanned(field, field.take);
  }
  for (const form of document.querySelectorAll("form.record")) {
    form.addEventListener("keydown", scanned);
    if (form.dataset.queue) {
      form.addEventListener("submit", submitted);
      camera(form);
    }
    if (!document.getElementById("refused")) first(form)?.focus();
  }
  document.getElementById("refused")?.focus();
  addEventListener("online", flush);
  addEventListener("beforeunload", (event) => inMemory.length > 0 && event.preventDefault());
  if (place) {
    setInterval(async () => (await everything()).some((one) => !one.refused) && flush(), 5000);
    flush();
  }
})();
