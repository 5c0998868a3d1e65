/** The key that makes all keys large enough for gloves, and back. */

import { gloveOn, setGlove } from "../ground/glove.js";
import { redraw } from "../ground/store.js";
import { say } from "../ground/words.js";
import { key } from "./key.js";

export function gloveKey() {
  const turn = () => {
    setGlove(!gloveOn());
    redraw();
  };
  return key(say("glove.key"), turn, { "aria-pressed": gloveOn() ? "true" : "false", "data-key": "glove" });
}
