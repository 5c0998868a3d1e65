/** The tabs of this browser tell each other what has changed in what they share. */

const NAME = "lanewater";

/** @type {Map<string, ((more: any) => void)[]>} */
const hearing = new Map();
const channel = globalThis.BroadcastChannel ? new BroadcastChannel(NAME) : null;
if (channel) channel.onmessage = ({ data }) => hear(data.what, data.more);

/** Hear of a change that another tab told. @param {string} what @param {(more: any) => void} then */
export function onTold(what, then) {
  hearing.set(what, [...(hearing.get(what) ?? []), then]);
}

/** Tell the other tabs of a change. @param {string} what @param {any} [more] */
export function tell(what, more = null) {
  channel?.postMessage({ what, more });
}

function hear(what, more) {
  for (const then of hearing.get(what) ?? []) then(more);
}
