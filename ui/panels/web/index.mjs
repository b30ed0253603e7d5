// @ts-check
// What the panels ask of the browser: photos go up, the drawing begins, the address
// remembers where one was. All text goes in as textContent.

export { photos } from "./photos.mjs";
export { leaveLines, lines } from "./lines.mjs";
export { books } from "./books.mjs";
export { manners } from "./manners.mjs";
export { remember } from "./address.mjs";
