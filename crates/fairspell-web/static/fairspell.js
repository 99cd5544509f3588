// What script makes quicker. Every page works without it.

/** Buttons that copy a text: shown only where the browser lets us. */
function copyButtons() {
  if (!navigator.clipboard) return;
  for (const button of document.querySelectorAll("button[data-copy]")) {
    const text = document.querySelector(button.dataset.copy);
    if (!text) continue;
    button.hidden = false;
    button.addEventListener("click", async () => {
      try {
        await navigator.clipboard.writeText(text.textContent);
        button.textContent = button.dataset.copied;
      } catch {
        // Not allowed: the text stands below, to be marked and copied by hand.
        getSelection().selectAllChildren(text);
      }
    });
  }
}

const STEP_MS = 400;
const REST_MS = 1800;

/** The rain loop: one picture after another, until it is stopped. */
function rainLoops() {
  for (const loop of document.querySelectorAll("[data-rain-loop]")) {
    const labels = [...loop.querySelectorAll("[data-show-frame]")];
    const play = loop.querySelector("[data-play]");
    if (labels.length === 0 || !play) continue;
    let current = labels.findIndex((label) => label.hasAttribute("aria-current"));
    let timer = 0;

    const show = (index) => {
      current = (index + labels.length) % labels.length;
      for (const group of loop.querySelectorAll("[data-frame]")) {
        group.toggleAttribute("data-off", Number(group.dataset.frame) !== current);
      }
      for (const [number, label] of labels.entries()) {
        if (number === current) label.setAttribute("aria-current", "true");
        else label.removeAttribute("aria-current");
      }
    };
    const stop = () => {
      clearTimeout(timer);
      timer = 0;
      play.textContent = play.dataset.play;
    };
    const next = () => {
      show(current + 1);
      timer = setTimeout(next, current === labels.length - 1 ? REST_MS : STEP_MS);
    };
    play.hidden = false;
    play.addEventListener("click", () => {
      if (timer) return stop();
      play.textContent = play.dataset.stop;
      next();
    });
    for (const [number, label] of labels.entries()) {
      label.addEventListener("click", (event) => {
        event.preventDefault();
        stop();
        show(number);
      });
    }
    document.addEventListener("visibilitychange", () => document.hidden && stop());
    const wantsNoMotion = matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (!wantsNoMotion) play.click();
  }
}

/** Subscribes this browser to messages from the studio, where the origin is secure. */
function pushForms() {
  for (const form of document.querySelectorAll("form[data-push-key]")) {
    if (!("serviceWorker" in navigator) || !("PushManager" in window)) continue;
    form.hidden = false;
    form.addEventListener("submit", async (event) => {
      if (form.elements.endpoint.value) return;
      event.preventDefault();
      const worker = await navigator.serviceWorker.register("/worker.js");
      await navigator.serviceWorker.ready;
      const subscription = await worker.pushManager.subscribe({
        userVisibleOnly: true,
        applicationServerKey: form.dataset.pushKey,
      });
      const { endpoint, keys } = subscription.toJSON();
      form.elements.endpoint.value = endpoint;
      form.elements.p256dh.value = keys.p256dh;
      form.elements.auth.value = keys.auth;
      form.submit();
    });
  }
}

/** Buttons that show what is typed into a passphrase field. */
function revealButtons() {
  for (const button of document.querySelectorAll("button[data-reveal]")) {
    const field = document.querySelector(button.dataset.reveal);
    if (!field) continue;
    const show = button.textContent;
    button.hidden = false;
    button.addEventListener("click", () => {
      const isHidden = field.type === "password";
      field.type = isHidden ? "text" : "password";
      button.textContent = isHidden ? button.dataset.hide : show;
    });
  }
}

/** The arrow keys follow a page's links to the one before and the one after. */
function stepByKey() {
  const links = { ArrowLeft: 'a[rel="prev"]', ArrowRight: 'a[rel="next"]' };
  document.addEventListener("keydown", (event) => {
    const isTyping = event.target.closest("input, select, textarea, [tabindex]");
    const isPlain = !(event.altKey || event.ctrlKey || event.metaKey || event.shiftKey);
    const link = links[event.key];
    if (link && isPlain && !isTyping) document.querySelector(link)?.click();
  });
}

/** A session is dragged to another evening of the season; nothing is saved before she says so. */
function dragSessions() {
  const season = document.querySelector("[data-season]");
  if (!season) return;
  const evenings = [...season.querySelectorAll("[data-date]:not([data-session])")];
  for (const sold of season.querySelectorAll("[data-try]")) {
    sold.draggable = true;
    sold.addEventListener("dragstart", (event) => {
      event.dataTransfer.setData("text/plain", sold.dataset.try);
      event.dataTransfer.effectAllowed = "move";
    });
  }
  for (const evening of evenings) {
    const isOver = (event, over) => {
      event.preventDefault();
      evening.classList.toggle("drop", over);
    };
    evening.addEventListener("dragover", (event) => isOver(event, true));
    evening.addEventListener("dragleave", (event) => isOver(event, false));
    evening.addEventListener("drop", (event) => {
      isOver(event, false);
      const address = event.dataTransfer.getData("text/plain");
      if (address.startsWith("/season/try?")) location.assign(`${address}&date=${evening.dataset.date}`);
    });
  }
}

copyButtons();
revealButtons();
dragSessions();
rainLoops();
pushForms();
stepByKey();
