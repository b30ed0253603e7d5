/**
 * Open questions below the photo: each with its likeliest answers, what a line would
 * measure by each, and one touch to answer.
 */
import { give, make, match, tell } from "./dom.mjs";
import { button, choiceField, field, lengthField, opened } from "./fields.mjs";
import { OFFERED, openQuestions, withFormat, withTape } from "./questions.mjs";
import { Refusal } from "./routes.mjs";

/**
 * @typedef {import("./questions.mjs").Question} Question
 * @typedef {import("./questions.mjs").Way} Way
 * @typedef {import("./types.mjs").Elevation} Elevation
 *
 * @typedef {object} CardSetting
 * @property {import("./desk.mjs").Desk} desk
 * @property {import("./texts.mjs").Say} say
 * @property {import("./types.mjs").Unit} unit
 * @property {import("./routes.mjs").Routes} routes
 * @property {ReturnType<typeof import("./actions.mjs").makeActions>} actions
 * @property {readonly {name: string, said: string}[]} formats
 */

/** @param {CardSetting} setting */
export function makeQuestionCards(setting) {
  const { desk, say, actions, formats } = setting;
  const element = make("div", { class: "dr-notices", role: "group", "aria-label": say("question.title") });
  /** @type {Question[]} */
  let open = [];
  /** @type {readonly unknown[]} */
  let shown = [];

  desk.onDraw((state) => {
    const elevation = desk.elevation();
    const parts = [elevation, state.measured, state.found, state.trials];
    if (state.live || parts.every((part, i) => part === shown[i])) return;
    shown = parts;
    open = openQuestions(state, elevation);
    element.hidden = open.length === 0;
    match(element, open, keyOf, createCard, updateCard);
  });

  /** Other answers make another card; new lengths only other words in it. @type {(question: Question) => string} */
  const keyOf = ({ key, ways, references }) => [key, references, ...ways.map((way) => way.said)].join(" ");

  /** @type {(question: Question) => HTMLElement} */
  function createCard(question) {
    const text = question.said || say(`question.${question.ask}`, { role: say(`role.${question.ways[0]?.proposal?.role ?? "other"}`) });
    const find = () => open.find((one) => keyOf(one) === keyOf(question));
    const answers = question.ways.map((way) => button("", () => answer(find(), way)));
    return make("section", { class: "dr-notice dr-question", role: "group", "aria-label": text },
      make("p", {}, text),
      make("div", { class: "dr-buttons" }, ...answers,
        ...(question.found ? [button(say("question.none"), () => wave(question))] : [])),
      ...more(question));
  }

  /** @type {(card: HTMLElement, question: Question) => void} */
  function updateCard(card, question) {
    const buttons = [...card.querySelectorAll(":scope > .dr-buttons:first-of-type > button")];
    question.ways.forEach((way, place) => {
      const told = desk.state().trials.get(`${question.key} ${way.key}`);
      const said = formats.find(({ name }) => name === way.said)?.said ?? way.said;
      const one = buttons[place];
      if (!one) return;
      tell(one, told ? say("question.way", { way: said, line: told }) : said);
      give(one, { class: way.proposal ? `dr-choice-${place}` : place === 0 ? "dr-main" : null });
    });
  }

  /** @type {(question: Question | undefined, way: Way) => void} */
  function answer(question, way) {
    const now = question?.ways.find(({ key }) => key === way.key);
    if (!question || !now) return; // the drawing moved on in the same moment
    const { proposal } = now;
    if (proposal) {
      question.ways.forEach((other) => other.proposal && actions.dismiss(other.proposal));
      actions.accept(proposal);
    } else desk.commit(now.apply(desk.elevation()));
    const names = new Set((desk.elevation().references ?? []).map(({ name }) => name));
    for (const one of desk.state().found?.references ?? []) {
      if (!proposal && names.has(one.reference.name)) actions.dismiss(one);
    }
  }

  /** It is none of these. @type {(question: Question) => void} */
  function wave({ key, said, ways }) {
    const { found } = desk.state();
    if (!found) return;
    for (const { proposal } of ways) if (proposal) actions.dismiss(proposal);
    const questions = found.questions.filter((one, index) => `found ${index}` !== key || one.said !== said);
    desk.change({ found: { .../** @type {import("./types.mjs").Found} */ (desk.state().found), questions } });
  }

  /** What a touch alone does not answer. @type {(question: Question) => HTMLElement[]} */
  function more(question) {
    if (question.ask === "print") return [printForm(setting, question.references)];
    if (question.found || question.ask !== "format") return [];
    return opened(say("question.more"), [tapeForm(setting, question.references), otherFormat(setting, question)]);
  }
  return element;
}

/** @type {(setting: CardSetting, question: Question) => HTMLElement} */
function otherFormat({ desk, say, formats }, { references, ways }) {
  const offered = new Set(ways.slice(0, OFFERED).map((way) => way.said));
  const options = formats.filter(({ name }) => !offered.has(name)).map(({ name, said }) => ({ value: name, text: said }));
  return choiceField(say("question.format.other"), [{ value: "", text: say("question.choose") }, ...options], "", (format) => {
    if (format) desk.commit(withFormat(desk.elevation(), references, format));
  }).element;
}

/** @type {(setting: CardSetting, references: readonly number[]) => HTMLElement} */
function tapeForm({ desk, say, unit }, references) {
  const count = make("input", { type: "number", step: 1, min: 1, inputmode: "numeric", value: 10 });
  const taped = lengthField({ label: say("courses.taped"), value: "", unit, wrong: say("form.no_length") });
  return submitted(make("div", { class: "dr-pair" }, field(say("courses.taped_count"), count), taped.element),
    say("question.tape"), async () => {
      const mm = taped.read();
      if (mm && Number(count.value) >= 1) desk.commit(withTape(desk.elevation(), references, Number(count.value), mm));
      else taped.input.focus();
      return "";
    });
}

/** @type {(setting: CardSetting, references: readonly number[]) => HTMLElement} */
function printForm({ desk, say, unit, routes }, references) {
  const wrong = say("form.no_length");
  const lines = /** @type {const} */ (["a", "b"]).map((line) =>
    lengthField({ label: say(`question.print.${line}`), value: "", unit, wrong }));
  return submitted(make("div", { class: "dr-pair" }, ...lines.map((line) => line.element)), say("question.print.use"), async () => {
    const [line_a_mm, line_b_mm] = lines.map((line) => line.read());
    if (line_a_mm === undefined || line_b_mm === undefined) return "";
    const asked = desk.elevation();
    try {
      const answer = await routes.printSize({ elevation: asked, line_a_mm, line_b_mm });
      const now = desk.elevation();
      if (now.references !== asked.references) return say("question.moved");
      const measured = (now.references ?? []).map((one, index) =>
        references.includes(index) ? (answer.references[index] ?? one) : one);
      desk.commit({ ...now, references: measured });
      return "";
    } catch (error) {
      return error instanceof Refusal && error.message ? error.message : say("found.failed");
    }
  });
}

/**
 * A small form; what its act answers is a complaint, or nothing.
 * @type {(fields: HTMLElement, text: string, act: () => Promise<string>) => HTMLElement}
 */
function submitted(fields, text, act) {
  const complaint = make("p", { class: "dr-complaint", role: "alert" });
  const form = make("form", { class: "dr-form", novalidate: true }, fields, complaint,
    make("div", { class: "dr-buttons" }, make("button", { type: "submit" }, text)));
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    void act().then((said) => tell(complaint, said));
  });
  return form;
}
