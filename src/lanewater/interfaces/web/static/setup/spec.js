/**
 * What each thing of a site's set-up asks for. Nothing is filled in beforehand; what is not
 * known is left out, and the list of steps says what that means.
 *
 * A field: {name: path in the item, as: kind of field, of: options, words: where the options'
 * texts stand in the catalogue, need: required}.
 * Kinds: text, phone, decimal, whole, date, time, select, ticks, lines, rows, flag, volume, pairs.
 */

const PARAMETERS = [
  "free_chlorine",
  "total_chlorine",
  "ph",
  "total_bromine",
  "temperature_c",
  "total_alkalinity",
  "calcium_hardness",
  "cyanuric_acid",
  "salt",
];
export const SUBSTANCES = [
  "sodium-hypochlorite",
  "calcium-hypochlorite",
  "chlorine",
  "sodium-dichloroisocyanurate",
  "trichloroisocyanuric-acid",
  "hydrochloric-acid",
  "sodium-bisulfate",
  "sulfuric-acid",
  "carbon-dioxide",
  "sodium-bicarbonate",
  "sodium-carbonate",
  "sodium-hydroxide",
  "calcium-chloride",
  "cyanuric-acid",
  "boric-acid",
  "borax",
  "sodium-thiosulfate",
  "sodium-sulfite",
];
const FEEDERS = ["sodium-hypochlorite", "calcium-hypochlorite", "trichloroisocyanuric-acid", "chlorine", "salt-cell", "none"];
export const PURPOSES = ["raise-chlorine", "lower-ph", "raise-ph", "raise-alkalinity", "raise-calcium"];
export const ROLES = ["tester", "duty-manager", "plant-operator", "area-manager", "contractor"];

export const DUTIES = [
  "balance",
  "stabiliser",
  "microbiology",
  "interlock-test",
  "kit-check",
  "controller-check",
  "backwash",
  "drain-cover",
  "emergency-drill",
  "other",
];
const CONTACTS = ["emergency", "manager", "contractor", "authority", "supplier", "other"];

export const FACTS = {
  kind: ["pool", "leisure", "teaching", "wading", "spa", "hydrotherapy", "plunge", "wave", "spray", "cold-plunge"],
  location: ["indoor", "outdoor", "roofed"],
  disinfectant: ["chlorine", "bromine", "other"],
  stabiliser: ["used", "not-used"],
  water: ["fresh", "salt", "sea"],
  supply: ["recirculated", "fill-and-draw", "flow-through"],
  control: ["manual", "orp", "amperometric"],
  secondary: ["none", "uv", "ozone", "both"],
  coagulant: ["none", "aluminium", "iron"],
};

const facts = Object.entries(FACTS).map(([name, of]) => ({ name: `facts.${name}`, as: "select", of }));
const known = { name: "volume_known", as: "select", of: ["meter", "drawing", "guess"] };

/** @type {Record<string, any[]>} */
export const FORMS = {
  person: [
    { name: "name", as: "text", need: true },
    { name: "initials", as: "text", need: true },
    { name: "phone", as: "phone" },
    { name: "roles", as: "ticks", of: ROLES },
    { name: "delegated", as: "ticks", of: ["open"] },
    {
      name: "competences",
      as: "rows",
      of: [
        { name: "product", as: "select", of: ["*", ...SUBSTANCES], words: "substance", need: true },
        { name: "from", as: "date", need: true },
        { name: "until", as: "date" },
        { name: "evidence", as: "text" },
      ],
    },
    { name: "new_pin", as: "flag" },
  ],
  circuit: [
    { name: "name", as: "text", need: true },
    { name: "volume", as: "volume" },
    known,
    { name: "balance_tank", as: "select", of: ["included", "not-included", "none"] },
    { name: "feeder", as: "select", of: FEEDERS, words: "substance" },
    { name: "mixing_minutes", as: "whole" },
    { name: "dye_test", as: "date" },
  ],
  pool: [
    { name: "name", as: "text", need: true },
    ...facts,
    { name: "circuit", as: "select", of: "circuits" },
    { name: "volume", as: "volume" },
    known,
    { name: "surface_m2", as: "decimal" },
    {
      name: "targets",
      as: "rows",
      of: [
        { name: "parameter", as: "select", of: PARAMETERS, words: "name", need: true },
        { name: "low", as: "decimal", need: true },
        { name: "high", as: "decimal", need: true },
      ],
    },
    {
      name: "hours",
      as: "rows",
      of: [
        { name: "day", as: "select", of: ["every", "0", "1", "2", "3", "4", "5", "6"], need: true },
        { name: "opens", as: "time", need: true },
        { name: "closes", as: "time", need: true },
      ],
    },
    { name: "interval_minutes", as: "whole" },
    { name: "before_opening_minutes", as: "whole" },
    { name: "points", as: "lines" },
  ],
  kit: [
    { name: "name", as: "text", need: true },
    { name: "kind", as: "select", of: ["photometer", "comparator", "titration", "strips"], need: true },
    {
      name: "ranges",
      as: "rows",
      of: [
        { name: "parameter", as: "select", of: PARAMETERS, words: "name", need: true },
        { name: "low", as: "decimal" },
        { name: "high", as: "decimal" },
        { name: "step", as: "decimal" },
        { name: "uncertainty", as: "decimal" },
      ],
    },
    { name: "total_stand_s", as: "whole" },
    { name: "ph_free_chlorine_limit", as: "decimal" },
    { name: "verified_on", as: "date" },
  ],
  reagent: [
    { name: "parameter", as: "select", of: PARAMETERS, words: "name", need: true },
    { name: "kit", as: "select", of: "kits" },
    { name: "lot", as: "text", need: true },
    { name: "expires_on", as: "date", need: true },
    { name: "opened_on", as: "date" },
  ],
  product: [
    { name: "name", as: "text", need: true },
    { name: "substance", as: "select", of: SUBSTANCES, words: "substance", need: true },
    { name: "method", as: "select", of: ["by-hand", "feeder-only", "never-by-hand"], need: true },
    { name: "strength.value", as: "decimal" },
    { name: "strength.unit", as: "select", of: ["percent-w-w", "percent-w-v", "g-l"] },
    { name: "strength.on", as: "date" },
    { name: "density_kg_l", as: "decimal" },
    { name: "jug", as: "text" },
    { name: "scoop.amount", as: "decimal" },
    { name: "scoop.unit", as: "select", of: ["mL", "L", "g", "kg"] },
    { name: "lot", as: "text" },
    { name: "stock.amount", as: "decimal" },
    { name: "stock.unit", as: "select", of: ["mL", "L", "g", "kg"] },
    { name: "stock.on", as: "date" },
    { name: "price.amount", as: "decimal" },
    { name: "price.per", as: "select", of: ["kg", "L"] },
    { name: "approved", as: "pairs" },
  ],
  duty: [
    { name: "name", as: "text", need: true },
    { name: "kind", as: "select", of: DUTIES, words: "duty", need: true },
    { name: "pool", as: "select", of: "pools" },
    { name: "every.weeks", as: "whole" },
    { name: "every.months", as: "whole" },
    { name: "every.years", as: "whole" },
    { name: "every.days", as: "whole" },
    { name: "from", as: "date" },
    { name: "role", as: "select", of: ROLES, words: "option.roles" },
    { name: "gone", as: "flag" },
  ],
  "closed-days": [
    { name: "pool", as: "select", of: "pools" },
    {
      name: "days",
      as: "rows",
      of: [
        { name: "day", as: "date", need: true },
        { name: "name", as: "text" },
      ],
    },
  ],
  contact: [
    { name: "kind", as: "select", of: CONTACTS, words: "contact", need: true },
    { name: "name", as: "text", need: true },
    { name: "phone", as: "phone", need: true },
    { name: "note", as: "text" },
  ],
};

/** In the order in which a small site is set up. */
export const PARTS = [
  ["rules", "rules"],
  ["person", "people"],
  ["circuit", "circuits"],
  ["pool", "pools"],
  ["kit", "kits"],
  ["reagent", "reagents"],
  ["product", "products"],
  ["duty", "duties"],
  ["closed-days", "closed_days"],
  ["contact", "contacts"],
];
