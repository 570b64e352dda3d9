// A form to preview a decision, give name and reason, and take it.

import { changeTable } from "./changes.js";
import { setOptional } from "./patch.js";

let made = 0;

/**
 * Makes the form of a decision. preview and decide get { by, reason, until }. preview returns { changes, warnings };
 * after decide done is called. Deciding is possible only after a preview. until is a day; its input appears only if a
 * value is given. forget removes the preview when something was recorded meanwhile; the inputs stay.
 */
export function makeDecision({ label, verb, reason: suggested, until = null, preview, decide, names, done }) {
  const form = document.createElement("form");
  form.className = "decision";
  form.setAttribute("aria-label", label);
  form.autocomplete = "off";
  const by = field("Who decides", "input", "");
  const reason = field("Reason", "textarea", suggested);
  const look = button("Preview changes", "button");
  const take = button(verb, "submit");
  take.disabled = true;
  const shown = document.createElement("div");
  shown.className = "wide";
  shown.setAttribute("aria-live", "polite");
  const error = document.createElement("p");
  error.className = "error";
  error.setAttribute("role", "alert");
  error.hidden = true;
  const last = field("Valid until (optional)", "input", until ?? "");
  last.input.type = "date";
  last.input.required = false;
  if (until !== null) form.append(last.label);
  form.append(look, shown, by.label, reason.label, take, error);

  const given = () => ({ by: by.input.value.trim(), reason: reason.input.value.trim(), until: last.input.value });
  // Disabling a focused button would lose the focus, so a second press is ignored instead.
  let isDeciding = false;
  // A response is shown only if nothing was requested, changed or recorded since its request.
  let question = 0;
  const hide = () => {
    question++;
    shown.replaceChildren();
    take.disabled = true;
  };
  // The preview holds only for the day it was made for.
  last.input.addEventListener("input", hide);
  look.addEventListener("click", async () => {
    if (isDeciding) return;
    const mine = ++question;
    take.disabled = true;
    setOptional(error, null);
    try {
      const { changes, warnings } = await preview(given());
      if (mine !== question) return;
      shown.replaceChildren(...warnings.map(note), changeTable(changes, names));
      take.disabled = false;
    } catch (failure) {
      if (mine === question) setOptional(error, failure.message);
    }
  });
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (isDeciding || take.disabled) return;
    isDeciding = true;
    setOptional(error, null);
    try {
      await decide(given());
      hide();
      done();
    } catch (failure) {
      setOptional(error, failure.message);
    }
    isDeciding = false;
  });
  return {
    form,
    forget() {
      const wasShown = shown.hasChildNodes() && !isDeciding;
      hide();
      if (wasShown) shown.textContent = "Data changed since this preview. Preview again.";
    },
  };
}

function field(name, kind, value) {
  const label = document.createElement("label");
  const input = document.createElement(kind);
  input.id = `decision-${++made}`;
  input.required = true;
  input.value = value;
  label.htmlFor = input.id;
  label.append(name, input);
  return { label, input };
}

function note(text) {
  const node = document.createElement("p");
  node.className = "note";
  node.textContent = text;
  return node;
}

function button(text, type) {
  const node = document.createElement("button");
  node.type = type;
  node.textContent = text;
  return node;
}
