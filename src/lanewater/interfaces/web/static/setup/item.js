/** A thing of the set-up in one line of words. */

import { day } from "../ground/time.js";
import { listed, say, sayOr } from "../ground/words.js";

/** @param {string} list @param {any} one @param {any} site */
export function itemWords(list, one, site) {
  return WORDS[list](one, site);
}

const dated = (date) => day(`${date}T12:00:00Z`);

const WORDS = {
  people: (one) => {
    const roles = one.roles.map((role) => say(`option.roles.${role}`));
    const doses = (one.competences ?? []).map((row) => say(`substance.${row.product}`));
    return [
      `${one.name} (${one.initials})`,
      listed(roles),
      doses.length && say("item.competent", { products: listed(doses) }),
    ]
      .filter(Boolean)
      .join(" · ");
  },
  circuits: (one, site) => {
    const pools = site.pools.filter((pool) => pool.circuit === one.circuit).map((pool) => pool.name);
    return [
      one.name,
      pools.length && say("now.same-filter", { pools: pools.join(" + ") }),
      volume(one),
      one.balance_tank && say(`option.balance_tank.${one.balance_tank}`),
    ]
      .filter(Boolean)
      .join(" · ");
  },
  pools: (one) =>
    [
      one.name,
      ...["kind", "location", "disinfectant"].map((fact) => one.facts[fact] && say(`option.${fact}.${one.facts[fact]}`)),
      volume(one),
      ...(one.targets ?? []).map((row) => say("item.target", { ...row, name: say(`short.${row.parameter}`) })),
    ]
      .filter(Boolean)
      .join(" · "),
  kits: (one) => [one.name, say(`option.kind.${one.kind}`)].join(" · "),
  reagents: (one) =>
    say("item.reagent", { name: say(`short.${one.parameter}`), lot: one.lot, date: dated(one.expires_on) }),
  products: (one) =>
    [
      one.name,
      sayOr(`substance.${one.substance}`, one.substance),
      say(`option.method.${one.method}`),
      one.strength &&
        say("item.strength", {
          value: one.strength.value,
          unit: say(`option.unit.${one.strength.unit}`),
          date: dated(one.strength.on),
        }),
    ]
      .filter(Boolean)
      .join(" · "),
  duties: (one, site) =>
    [
      one.name,
      say(`duty.${one.kind}`),
      poolOf(one, site),
      ...Object.entries(one.every ?? {}).map(([unit, count]) => say(`item.every.${unit}`, { count })),
      one.role && say(`option.roles.${one.role}`),
    ]
      .filter(Boolean)
      .join(" · "),
  closed_days: (one, site) => [poolOf(one, site), listed(one.days.map((row) => row.name ?? dated(row.day)))].join(" · "),
  contacts: (one) => `${one.name}: ${one.phone} (${say(`contact.${one.kind}`)})`,
};

/** The pool that something is of, else the whole site. */
function poolOf(one, site) {
  return site.pools.find((pool) => pool.pool === one.pool)?.name ?? say("noted.everywhere");
}

function volume(one) {
  if (!one.volume_m3) return "";
  const typed = one.volume_typed ?? { value: one.volume_m3, unit: "m3" };
  const known = one.volume_known ? say(`option.volume_known.${one.volume_known}`) : "";
  return `${typed.value} ${say(`option.volume.${typed.unit}`)} (${known})`;
}
