// What eyes, fingers and ears need of what is on the screen now: read by test_looks.py.
// Each finding is a sentence; the WCAG 2.2 criterion stands beside each check.
(() => {
  const LEAST_TARGET = 44; // the house rule for a thumb; 2.5.8 asks for 24
  const found = [];
  const seen = (element) =>
    element.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true }) &&
    element.getClientRects().length > 0;
  const named = (element) => {
    const of = (one) => `${one.tagName.toLowerCase()}${one.id ? `#${one.id}` : ""}.${String(one.className?.baseVal ?? one.className).split(" ").slice(0, 2).join(".")}`;
    return `${of(element.parentElement ?? element)} > ${of(element)} "${element.textContent.trim().slice(0, 40)}"`;
  };

  // -- colours -----------------------------------------------------------------------
  const canvas = document.createElement("canvas").getContext("2d", { willReadFrequently: true });
  const known = new Map();
  const colour = (text) => {
    if (!known.has(text)) {
      canvas.clearRect(0, 0, 1, 1);
      canvas.fillStyle = text;
      canvas.fillRect(0, 0, 1, 1);
      const [r, g, b, a] = canvas.getImageData(0, 0, 1, 1).data;
      known.set(text, [r, g, b, a / 255]);
    }
    return known.get(text);
  };
  const over = ([r, g, b, a], [x, y, z]) => [r * a + x * (1 - a), g * a + y * (1 - a), b * a + z * (1 - a), 1];
  const luminance = (rgb) => {
    const [r, g, b] = rgb.slice(0, 3).map((v) => (v / 255 <= 0.04045 ? v / 255 / 12.92 : ((v / 255 + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const ratio = (a, b) => {
    const [low, high] = [luminance(a), luminance(b)].sort((x, y) => x - y);
    return (high + 0.05) / (low + 0.05);
  };
  /** Colours that may lie behind an element: two where a photo shows through. */
  const grounds = (element) => {
    const layers = [];
    for (let one = element; one; one = one.parentElement) {
      const paint = colour(getComputedStyle(one).backgroundColor);
      if (paint[3] > 0) layers.push(paint);
      if (paint[3] === 1) break;
      if (one.classList?.contains("dr-stage") || one.classList?.contains("dr-frame")) {
        return [[0, 0, 0, 1], [255, 255, 255, 1]].map((photo) => layers.reduceRight((under, layer) => over(layer, under), photo));
      }
    }
    return [layers.reduceRight((under, layer) => over(layer, under), [255, 255, 255, 1])];
  };
  const idle = (element) => element.closest(":disabled, [aria-disabled=true]");

  // 1.4.3 Contrast (Minimum)
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const judged = new Set();
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (!walker.currentNode.data.trim() || judged.has(element) || element.closest("svg, script, style, .pm-quiet, .dr-hidden, .sr-only")) continue;
    judged.add(element);
    if (!seen(element) || idle(element)) continue;
    const style = getComputedStyle(element);
    const size = Number.parseFloat(style.fontSize);
    const least = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700) ? 3 : 4.5;
    for (const ground of grounds(element)) {
      const got = ratio(over(colour(style.color), ground), ground);
      if (got < least) found.push(`1.4.3 contrast ${got.toFixed(2)} of ${named(element)}`);
    }
  }

  // 1.4.11 Non-text contrast: what one types in or ticks has an edge that is seen
  for (const field of document.querySelectorAll("input:not([type=file], [type=radio]), select, textarea")) {
    if (!seen(field) || idle(field)) continue;
    const box = field.closest(".wrap:has(> .wrap-inner)") ?? field;
    const style = getComputedStyle(box);
    for (const ground of grounds(box.parentElement)) {
      const edge = Number.parseFloat(style.borderTopWidth) > 0 ? ratio(over(colour(style.borderTopColor), ground), ground) : 0;
      const face = ratio(over(colour(style.backgroundColor), ground), ground);
      if (Math.max(edge, face) < 3) found.push(`1.4.11 edge ${Math.max(edge, face).toFixed(2)} of ${named(field)}`);
    }
  }

  // -- names and targets -------------------------------------------------------------
  const WORKABLE = "a[href], button, input, select, textarea, summary, [role=button], [role=tab], [role=option]";
  for (const element of document.querySelectorAll(WORKABLE)) {
    if (element.closest("[aria-hidden=true], .visually-hidden") || element.type === "hidden") continue;
    const drawn = element.closest(".dr-overlay"); // pressed through the stage, by reach
    const hidden = element.matches("input[type=file], input[type=radio]"); // its label is pressed
    if (!drawn && !hidden && !seen(element)) continue;
    if (hidden && !seen(element.closest("label") ?? element)) continue;
    // 4.1.2 Name, Role, Value; 2.5.3 needs the words that are seen in it
    const label = element.closest("label") ?? document.querySelector(`label[for="${CSS.escape(element.id)}"]`);
    const name = element.getAttribute("aria-label") || (element.matches("input, select, textarea") ? label?.textContent : element.textContent);
    if (!name?.trim()) found.push(`4.1.2 no name of ${named(element)}`);
    if (drawn || matchMedia("(min-width: 761px)").matches) continue;
    // 2.5.8 Target Size
    const press = (element.matches("input") && element.closest("label:has(input[type=checkbox], input[type=radio], input[type=file])")) || element.closest(".wrap:has(> .wrap-inner)") || element;
    const { width, height } = press.getBoundingClientRect();
    if (width < LEAST_TARGET - 0.5 || height < LEAST_TARGET - 0.5) found.push(`2.5.8 ${width.toFixed(0)} x ${height.toFixed(0)} px is ${named(element)}`);
  }

  // -- room --------------------------------------------------------------------------
  // 1.4.10 Reflow: the page never goes sideways
  const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
  if (wide > 0) found.push(`1.4.10 the page is ${wide} px too wide at ${innerWidth}`);
  for (const element of document.querySelectorAll("button, summary, label, h1, h2, h3, p, li, td, .dr-label")) {
    if (!seen(element) || element.closest(".pm-scroll, .dr-labels, .visually-hidden, .pm-quiet, .dr-hidden, .sr-only")) continue;
    const box = element.getBoundingClientRect();
    if (box.right > innerWidth + 1 || box.left < -1) found.push(`1.4.10 off the screen: ${named(element)}`);
    // 1.4.4 and 1.4.12: no words are cut off
    const style = getComputedStyle(element);
    const cut = style.overflow !== "visible" && (element.scrollWidth > element.clientWidth + 1 || element.scrollHeight > element.clientHeight + 1);
    const spills = element.matches("button") && (element.scrollWidth > element.clientWidth + 1 || element.scrollHeight > element.clientHeight + 1);
    if (cut || spills) found.push(`1.4.12 cut off: ${named(element)}`);
  }
  return [...new Set(found)];
})()
