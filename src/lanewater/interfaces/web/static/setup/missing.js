/** What is still missing in a set-up, and what that means in plain words. */

/**
 * @param {any} site the whole set-up
 * @returns {Record<string, {id: string, values: Record<string, string>}[]>} by part
 */
export function missing(site) {
  return {
    rules: rules(site),
    person: people(site),
    circuit: circuits(site),
    pool: pools(site),
    kit: kits(site),
    reagent: site.kits.length && !site.reagents.length ? [one("reagent.none")] : [],
    product: products(site),
    duty: [],
    "closed-days": [],
    contact: contacts(site),
  };
}

function one(id, values = {}) {
  return { id, values };
}

function rules(site) {
  return site.site.rules === "none" ? [one("rules.none")] : [];
}

function people(site) {
  if (!site.people.length) return [one("person.none")];
  const has = (role) => site.people.some((person) => person.roles.includes(role));
  const found = [];
  if (!has("duty-manager") && !has("area-manager")) found.push(one("person.nobody-opens"));
  if (!site.people.some((person) => person.competences?.length)) found.push(one("person.nobody-doses"));
  return found;
}

function circuits(site) {
  return site.circuits.flatMap((circuit) => {
    const found = [];
    if (!circuit.volume_m3) found.push(one("circuit.volume", circuit));
    if (!circuit.feeder) found.push(one("circuit.feeder", circuit));
    if (!circuit.dye_test && !circuit.mixing_minutes) found.push(one("circuit.mixing", circuit));
    return found;
  });
}

function pools(site) {
  if (!site.pools.length) return [one("pool.none")];
  return site.pools.flatMap((pool) => {
    const found = [];
    if (Object.keys(pool.facts).length < 9) found.push(one("pool.facts", pool));
    if (!pool.volume_m3) found.push(one("pool.volume", pool));
    if (pool.volume_known === "guess") found.push(one("pool.guess", pool));
    if (!pool.targets?.length) found.push(one("pool.targets", pool));
    if (!pool.interval_minutes) found.push(one("pool.interval", pool));
    if (!pool.hours) found.push(one("pool.hours", pool));
    return found;
  });
}

function kits(site) {
  if (!site.kits.length) return [one("kit.none")];
  return site.kits.flatMap((kit) => {
    const found = [];
    if (!kit.ranges?.length) found.push(one("kit.ranges", kit));
    if (!kit.ph_free_chlorine_limit) found.push(one("kit.ph-limit", kit));
    if (!kit.total_stand_s && kit.kind !== "titration") found.push(one("kit.stand", kit));
    return found;
  });
}

function products(site) {
  if (!site.products.length) return [one("product.none")];
  return site.products.flatMap((product) => {
    if (product.method !== "by-hand") return [];
    const found = [];
    if (!product.strength) found.push(one("product.strength", product));
    if (product.strength?.unit === "percent-w-w" && !product.density_kg_l) found.push(one("product.density", product));
    if (!product.approved?.length) found.push(one("product.approved", product));
    return found;
  });
}

function contacts(site) {
  const has = (kind) => site.contacts.some((contact) => contact.kind === kind);
  const found = [];
  if (!has("emergency")) found.push(one("contact.emergency"));
  if (!has("manager")) found.push(one("contact.manager"));
  return found;
}
