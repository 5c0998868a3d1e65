/** Site: set a small site up by one person, and see what is still missing and what that means. */

import { get, post } from "../ground/api.js";
import { h } from "../ground/dom.js";
import { refresh } from "../ground/session.js";
import { here, redraw } from "../ground/store.js";
import { say } from "../ground/words.js";
import { key, keyLink, message } from "../part/key.js";
import { loadNewRules, newRulesPart } from "../part/newrules.js";
import { loadMatrix, matrixFold } from "../part/matrix.js";
import { problem } from "../part/problem.js";
import { fieldView } from "../setup/form.js";
import { gather } from "../setup/gather.js";
import { missing } from "../setup/missing.js";
import { rulesView } from "../setup/rules.js";
import { FORMS, PARTS } from "../setup/spec.js";
import { itemWords } from "../setup/item.js";

const state = { site: null, rules: [], open: null, error: null, pin: "", whole: false, asking: false };

export const title = () => say("page.site");

export async function enter() {
  if (here.away) Object.assign(state, { site: null });
  Object.assign(state, { open: null, error: null, pin: "" });
  await Promise.all([load(), loadMatrix(), loadNewRules()]);
}

async function load() {
  if (state.asking) return;
  state.asking = true;
  try {
    const whole = Boolean(here.me?.may_set_up);
    const [site, rules] = await Promise.all([get(whole ? "/site" : "/site/public"), get("/rules")]);
    Object.assign(state, { site, rules, whole, error: null });
  } catch (error) {
    state.error = error;
  }
  state.asking = false;
  redraw();
}

export function tree() {
  if (state.error?.id === "unreachable") return [h("h1", {}, say("page.site")), message(say("server-needed"), "alert")];
  if (state.site === null) return problem(state.error) ?? message(say("frame.waiting"));
  // Who is here may be heard only after the page was opened.
  if (here.me?.may_set_up && !state.whole) load();
  const may = here.me?.may_set_up && state.whole;
  return h(
    "div",
    { class: "site", "data-key": "site" },
    h("h1", {}, say("site.title", { name: state.site.site.name })),
    !may && h("p", {}, say("site.read-only"), " ", keyLink(say("signin.title"), "/sign-in")),
    h("p", { class: "quiet" }, say("site.what")),
    newRulesPart(),
    may ? parts() : publicParts(),
    matrixFold(),
  );
}

function publicParts() {
  return ["pools", "circuits", "kits", "contacts"].map((list) =>
    h(
      "section",
      { "data-key": list },
      h("h2", {}, say(`site.${list}`)),
      h("ul", {}, state.site[list].map((one) => h("li", {}, itemWords(list, one, state.site)))),
    ),
  );
}

function parts() {
  const gaps = missing(state.site);
  return h(
    "ol",
    { class: "steps" },
    PARTS.map(([what, list]) =>
      h(
        "li",
        { class: `step ${gaps[what].length ? "step-open" : "step-done"}`, "data-key": what },
        h("h2", {}, say(`site.${list}`)),
        h("p", { class: "quiet" }, say(`site.${list}.what`)),
        gapList(gaps[what]),
        what === "rules" ? rulesPart() : items(what, list),
      ),
    ),
  );
}

function gapList(gaps) {
  if (gaps.length === 0) return null;
  return h(
    "ul",
    { class: "gaps" },
    gaps.map(({ id, values }) => h("li", { "data-key": `${id} ${values.name ?? ""}` }, say(`missing.${id}`, values))),
  );
}

function rulesPart() {
  return rulesView(state.site.site.rules, state.rules, (rules) => add("rules", { rules }));
}

function items(what, list) {
  const open = state.open?.what === what ? state.open : null;
  return [
    h(
      "ul",
      { class: "items" },
      state.site[list].map((one) =>
        h(
          "li",
          { "data-key": one[what] ?? one.pool ?? list },
          h("span", {}, itemWords(list, one, state.site)),
          key(say("site.change"), () => begin(what, one), {
            kind: "small",
            "aria-label": say("site.change-this", { name: one.name ?? one.lot ?? say(`site.${list}`) }),
          }),
        ),
      ),
    ),
    state.pin && what === "person" && h("p", { class: "large saved", role: "status" }, say("site.pin", { pin: state.pin })),
    open ? form(open) : key(say(`site.${list}.add`), () => begin(what, {}), { "data-key": "add" }),
  ];
}

function begin(what, item) {
  const rows = {};
  for (const field of FORMS[what]) {
    if (field.as === "rows") rows[field.name] = item[field.name]?.length ?? 0;
  }
  state.open = { what, item, rows };
  Object.assign(state, { error: null, pin: "" });
  redraw();
}

function form({ what, item, rows }) {
  const onRow = (name, change) => {
    rows[name] = (rows[name] ?? 0) + change;
    redraw();
  };
  const context = { item, site: state.site, rows, onRow };
  const onsubmit = (event) => {
    event.preventDefault();
    const typed = gather(FORMS[what], new FormData(event.currentTarget), rows);
    if (what === "pool") typed.facts ??= {};
    if (what === "person") typed.roles ??= [];
    if (what === "closed-days") typed.days ??= [];
    add(what, item[what] ? { ...typed, [what]: item[what] } : typed);
  };
  const cancel = () => {
    state.open = null;
    redraw();
  };
  return h(
    "form",
    { class: "panel form", onsubmit, "data-key": `form ${what} ${item[what] ?? ""}` },
    FORMS[what].map((field) => fieldView(what, field, context)),
    problem(state.error, what),
    h(
      "div",
      { class: "keys" },
      h("button", { class: "key key-main" }, say("site.keep")),
      key(say("site.cancel"), cancel),
    ),
  );
}

async function add(what, item) {
  try {
    const answer = await post("/site/items", { what, item });
    Object.assign(state, { open: null, error: null, pin: answer.pin ?? "" });
    await Promise.all([load(), refresh()]);
  } catch (error) {
    state.error = error;
  }
  redraw();
}
