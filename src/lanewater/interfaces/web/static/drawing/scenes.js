/** One small drawing for each thing that is done with the hands. Their words are `draw.ID`. */

import { svg } from "../ground/dom.js";
import { arrow, at, cell, circle, clockFace, daylight, flask, foil, hand, meter, openWater, path, strip, tablet, water } from "./pieces.js";

/** @type {Record<string, () => any[]>} */
export const SCENES = {
  // The edge with its inlet far off, an arm in the water, the bottle's mouth down.
  sample: () => [
    path("M0 44H46V150M0 52H38V150", "line"),
    path("M46 118H34M46 128H34"),
    path("M52 116q10 1 12 7-2 6-12 7M68 118q8 2 8 5t-8 5", "thin"),
    openWater(46, 200, 54, 150),
    at(134, 88, [path("M-14 30V6a6 6 0 0 1 6-6H8a6 6 0 0 1 6 6V30l-8 8V46H-6V38Z", "body"), path("M-8 46H8")]),
    path("M196-4 146 82a9 9 0 0 0 6 12l4 2a9 9 0 0 0 10-3L224 4Z", "body"),
    path("M144 92 130 94M146 99 131 102M151 105 133 109", "line"),
    path("M98 54V112M91 54H105M91 112H105", "thin"),
    arrow(98, 112, 90),
  ],
  // The bottle is turned up below the face of the water and fills.
  fillBelow: () => [
    openWater(0, 200, 34, 150),
    at(84, 70, [path("M-12 0V12L-22 22V60a6 6 0 0 0 6 6H16a6 6 0 0 0 6-6V22L12 12V0Z", "body"), path("M-15 0H15")]),
    circle(72, 58, 5),
    circle(92, 50, 4),
    circle(80, 43, 3),
    path("M128 118a44 44 0 0 0 4-58"),
    arrow(131, 58, -122),
  ],
  // The cell pours out, three times.
  rinse: () => [
    at(128, 34, [cell({ level: 70, mark: false }), path("M8 60 32 30M10 44 24 26", "thin")], 112),
    path("M112 72q6 20 2 52M106 76q4 18 0 46", "thin"),
    path("M98 132h6M112 136h6M122 128h6"),
    path("M70 96a20 20 0 1 1 8-26"),
    arrow(79, 73, 70),
    svg("text", { x: 54, y: 142, class: "digits large" }, "3×"),
  ],
  // Filled to its line, with the eye level with it.
  fill: () => [
    at(62, 28, [cell({ level: 24, mark: false })].flat()),
    path("M60 52H52M106 52H114", "heavy"),
    path("M188 52q-20-20-40 0q20 20 40 0Z", "body"),
    circle(166, 52, 7, "ink"),
    path("M142 52H118", "thin"),
    path("M30 104H140"),
  ],
  // Both cells of a comparator filled to the line.
  fillTwo: () => [
    at(44, 28, [cell({ level: 24, mark: false })]),
    at(112, 28, [cell({ level: 24, mark: false })]),
    path("M36 52H30M90 52H106M158 52H164", "heavy"),
    path("M26 104H170"),
  ],
  // A dry cloth about the closed cell.
  wipe: () => [
    at(80, 40, cell({ level: 20, lid: true, mark: false })),
    at(0, -14, [
      path("M52 66q14-14 26-6t22-4 20 4 26-2q10 14-2 26 6 14-10 22-18 8-30 0-20 8-32-2-14-4-8-18-6-10 8-20Z", "body"),
      path("M66 78q12-8 20 0t18 0 18-2M68 94q10-6 18 0t20 0 16-2", "thin"),
      path("M26 70q-6 12 0 24M174 70q6 12 0 24", "thin"),
    ]),
  ],
  // Mark to mark: the cell's stroke and the instrument's, seen from the front.
  front: () => [
    at(38, 4, cell({ level: 20, lid: true })),
    path("M58 82V92"),
    arrow(58, 96, 90),
    at(14, 100, [path("M0 50V8a8 8 0 0 1 8-8H24V10H64V0H80a8 8 0 0 1 8 8V50Z", "body"), path("M44 10V26", "heavy"), path("M26 34H62V46H26Z")]),
    at(150, 76, [circle(0, 0, 36, "body"), circle(0, 0, 22, "body"), path("M0 10V22", "heavy"), path("M0 28V42", "heavy"), circle(0, 0, 13, "thin")]),
  ],
  // The closed cell in the instrument, which shows nothing but noughts.
  zero: () => [at(75, 16, [cellInWell()]), at(52, 62, meter({ digits: "0.00" })), path("M178 114H146"), arrow(142, 114, 180)],
  // The number is read off.
  read: () => [at(75, 16, [cellInWell()]), at(52, 62, meter()), path("M188 40q-14-14-28 0q14 14 28 0Z", "body"), circle(173, 40, 5, "ink"), path("M166 52 144 78", "thin")],
  // Out of the foil, straight into the cell; the fingers hold the foil and not the tablet.
  foil: () => [
    at(104, 80, cell({ level: 26 })),
    at(56, 4, foil(), 22),
    at(62, 20, hand(), 22),
    at(126, 66, tablet(), 24),
  ],
  // A rod turns and crushes.
  crush: () => [
    at(80, 62, cell({ level: 24, mark: false })),
    path("M96 6H104V118L100 124 96 118Z", "body"),
    at(90, 130, [path("M-6 0h3M2-3h3M14 1h4M22-2h3M7 2h3", "heavy")]),
    path("M78 28a24 10 0 1 0 44 0"),
    arrow(122, 26, -100),
    path("M54 136H146"),
  ],
  // Closed, and turned over gently.
  mix: () => [
    at(36, 40, cell({ level: 18, lid: true, mark: false, stir: true })),
    at(164, 108, cell({ level: 18, lid: true, mark: false, stir: true }), 180),
    path("M82 54a26 26 0 0 1 36-6"),
    arrow(119, 49, 40),
    path("M118 98a26 26 0 0 1-36 6"),
    arrow(81, 103, 220),
  ],
  // The second tablet goes into what is there already.
  second: () => [
    at(116, 70, [cell({ level: 22, stir: true, mark: false })]),
    at(136, 46, tablet(), 20),
    path("M136 12V30"),
    arrow(136, 32, 90),
    at(78, 54, [cell({ level: 70, mark: false })], 112),
    path("M62 92q6 14 2 34", "thin"),
    path("M20 44 84 126M84 44 20 126", "heavy"),
  ],
  // The cell stands and the clock runs.
  stand: () => [at(44, 50, cell({ level: 20, lid: true })), at(136, 76, clockFace()), path("M28 124H180")],
  // Two windows of a comparator, the disc's edge between them: the same hatching in both.
  match: () => [
    path("M34 20H166V128H34Z", "body"),
    path("M54 40H92V92H54ZM108 40H146V92H108Z"),
    path("M54 56 70 40M54 72 86 40M54 88 92 50M66 92 92 66M80 92 92 80M108 56 124 40M108 72 140 40M108 88 146 50M120 92 146 66M134 92 146 80", "thin"),
    path("M166 40a44 44 0 0 1 0 68"),
    path("M183 58h8M188 74h8M183 90h8", "thin"),
    arrow(166, 108, 150),
    path("M94 108h12M94 114h12"),
  ],
  // By daylight, with white behind it; no lamp.
  daylight: () => [
    at(14, 14, daylight()),
    path("M104 40H148V104H104Z", "body"),
    path("M112 50H124V76H112ZM128 50H140V76H128Z"),
    path("M156 28H176V122H156Z", "body"),
    at(40, 104, [circle(0, 0, 13), path("M-6 13H6M-5 19H5", "line"), path("M-20-20 20 26M20-20-20 26", "heavy")]),
  ],
  // A measured sample, its face on the line.
  measure: () => [
    path("M70 12H116M76 12V122H110V12M64 134H122L110 122H76Z", "body"),
    path("M98 34H110M98 56H110M98 78H110M98 100H110", "thin"),
    water(76, 110, 56, 118),
    path("M188 56q-18-18-36 0q18 18 36 0Z", "body"),
    circle(168, 56, 6, "ink"),
    path("M146 56H118", "thin"),
  ],
  // A bottle straight up over the flask, drop by drop.
  drops: () => [
    at(66, 76, flask({ level: 46 })),
    path("M82 2H110V32L100 42V50H92V42L82 32Z", "body"),
    path("M96 56q-5 8 0 9 5-1 0-9Z", "ink"),
    path("M96 72q-4 7 0 8 4-1 0-8Z", "ink"),
    path("M140 30v14M150 30v14M160 30v14M170 30v14M136 46 174 28"),
  ],
  // The flask is swirled.
  swirl: () => [
    at(70, 44, flask({ level: 40 })),
    path("M52 128a48 12 0 0 0 96 0"),
    arrow(148, 127, -82),
    path("M56 34a44 10 0 0 1 88 0", "thin"),
  ],
  // With colour, then without: the drops end there.
  gone: () => [
    at(16, 50, flask({ level: 40 })),
    at(16, 50, path("M16 50 24 42M12 60 32 40M12 68 42 40M24 68 48 46M36 68 52 54M48 68 56 60", "thin")),
    path("M84 88H112"),
    arrow(113, 88, 0),
    at(122, 50, [path("M22 0V20L1 62a6 6 0 0 0 5 8H54a6 6 0 0 0 5-8L38 20V0Z", "body"), path("M18 0H42M21 40H39")]),
  ],
  // A strip goes in and comes out.
  dip: () => [
    path("M40 62V138H132V62"),
    path("M40 80H78M96 80H132"),
    path("M50 96h10M106 96h12M52 112h8M108 112h12M60 128h10M98 128h10", "thin"),
    at(80, 24, strip()),
    at(70, 12, hand()),
    path("M158 66V104"),
    arrow(158, 106, 90),
    path("M174 104V66"),
    arrow(174, 64, -90),
  ],
  // Held flat while the clock runs; nothing is shaken off.
  flat: () => [
    at(150, 66, strip(), 90),
    at(72, 64, hand()),
    path("M44 96H158", "thin"),
    at(168, 112, [circle(0, 0, 20), path("M0-13V0L9 6", "heavy")]),
  ],
  // Beside the card, pad by pad.
  compare: () => [
    at(40, 30, strip()),
    path("M72 20H176V132H72Z", "body"),
    ...[74, 87, 100].map((y) => path(`M84 ${y}h14v10h-14ZM106 ${y}h14v10h-14ZM128 ${y}h14v10h-14ZM150 ${y}h14v10h-14Z`)),
    path("M54 79H72M54 92H72M54 105H72", "thin"),
    path("M84 38H144M84 50H124", "thin"),
  ],
  // One part from the pool, made up to the top mark with water that holds no chlorine.
  dilute: () => [
    path("M26 24V128H58V24M18 138H66M26 24H58"),
    path("M26 118H58V128H26Z", "ink"),
    path("M44 108H58M44 97H58M44 86H58M44 75H58M44 64H58M44 53H58M44 42H58M44 31H58M44 118H58", "thin"),
    path("M76 86H100"),
    arrow(101, 86, 0),
    path("M118 24V128H150V24M110 138H158M118 24H150"),
    path("M118 118H150V128H118Z", "ink"),
    water(118, 150, 28, 116),
    path("M168 8q14 8 10 20-8-2-14-10M164 18 152 28", "line"),
  ],
  // A packet and its date.
  dated: () => [
    path("M28 30H116V124H28Z", "body"),
    path("M28 50H116"),
    at(52, 78, [circle(0, 0, 9), circle(30, 0, 9)]),
    at(52, 104, [circle(0, 0, 9), circle(30, 0, 9)]),
    path("M132 44H184V100H132ZM132 58H184M144 38V48M172 38V48", "body"),
    path("M142 68h8M155 68h8M168 68h8M142 80h8M155 80h8M142 91h8", "thin"),
    path("M166 82l4 6 10-14", "heavy"),
  ],
  // A thermometer in the water, its end under it.
  warmth: () => [
    openWater(0, 200, 58, 150),
    path("M92 10a8 8 0 0 1 16 0V104a14 14 0 1 1-16 0Z", "body"),
    path("M100 34V106", "heavy"),
    circle(100, 116, 8, "ink"),
    path("M112 22h8M112 36h8M112 50h8M112 72h8M112 86h8", "thin"),
  ],
  // Pump, feeder and tank: each is looked at.
  plant: () => [
    path("M12 84H48V122H12ZM20 84V72H40V84", "body"),
    circle(78, 104, 18, "body"),
    path("M70 104a8 8 0 1 1 8 8M96 104H120M48 104H60"),
    path("M120 56H176V124H120Z", "body"),
    path("M120 84H176"),
    path("M128 94h10M146 94h12M132 108h12M154 108h10", "thin"),
    path("M148 56V30H30V72"),
    circle(84, 48, 15, "body"),
    path("M95 59 108 72", "heavy"),
  ],
  // A number typed again from the window.
  retype: () => [
    at(20, 30, [path("M0 8a8 8 0 0 1 8-8H74a8 8 0 0 1 8 8V84H0Z", "body"), path("M14 16H68V40H14Z"), path("M22 34h8M36 34h8M50 34h8", "heavy"), path("M32 36v.5", "heavy")]),
    path("M112 70H134"),
    arrow(135, 70, 0),
    path("M146 34H190V106H146ZM146 58H190M146 82H190M161 34V106M175 34V106", "body"),
  ],
  // A probe in a glass.
  probe: () => [
    path("M40 52V132H104V52"),
    water(40, 104, 74, 128),
    path("M66 14H78V104a6 6 0 0 1-12 0Z", "body"),
    path("M72 14V6q0-2 4-2H132V30"),
    path("M112 30H176V104H112Z", "body"),
    path("M122 42H166V64H122Z"),
    path("M130 58h6M141 58h6M152 58h6", "heavy"),
    circle(132, 84, 6),
    circle(156, 84, 6),
  ],
  // The second kit beside the first.
  otherKit: () => [
    path("M16 60H86V124H16ZM38 60V48H64V60", "body"),
    path("M22 130 80 54", "heavy"),
    path("M114 60H184V124H114ZM136 60V48H162V60", "body"),
    path("M132 92l12 14 24-28", "heavy"),
    path("M92 92H104"),
    arrow(106, 92, 0),
  ],
  // Rinsed and left to dry, mouths down.
  dry: () => [
    at(88, 112, cell({ level: 70, mark: false }), 180),
    at(148, 112, cell({ level: 70, mark: false }), 180),
    path("M20 118H184"),
    path("M58 126v6M78 126v8M118 126v6M140 126v8", "thin"),
    path("M164 102H188V116H164Z", "body"),
  ],
  // The bottom, seen through the water from the edge.
  bottom: () => [
    path("M0 40H40V130H200M0 40V40"),
    openWater(40, 200, 56, 118),
    path("M120 122H168V130H120ZM130 122V130M144 122V130M158 122V130", "body"),
    path("M30 22q-14-14-28 0q14 14 28 0Z", "body"),
    circle(18, 22, 5, "ink"),
    path("M34 26 118 116", "thin"),
  ],
};

function cellInWell() {
  return [path("M4 0V46H36V0", "body"), path("M-2-8H42V5H-2ZM6-8V5M14-8V5M22-8V5M30-8V5", "body"), path("M20 26V40", "heavy")];
}
