/** When a pool was open, from what happened to it. */

const OPENS = ["pool-opened"];
const CLOSES = ["pool-shut", "pool-closed", "everyone-out"];

/**
 * Give the spans in which the pool was open; one that began before is open from the start.
 * @param {any} trends
 * @returns {{from: string, to: string}[]}
 */
export function openSpans(trends) {
  const own = trends.events.filter((event) => [...OPENS, ...CLOSES].includes(event.kind));
  const found = [];
  // What closes first was open before, unless everybody was only called out of a closed pool.
  let since = own.length > 0 && ["pool-shut", "pool-closed"].includes(own[0].kind) ? trends.from : "";
  for (const { at, kind } of own) {
    if (OPENS.includes(kind)) {
      since = since || at;
    } else if (since) {
      found.push({ from: since, to: at });
      since = "";
    }
  }
  return since ? [...found, { from: since, to: trends.to }] : found;
}
