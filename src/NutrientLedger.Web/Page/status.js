// One line on how current the page is. Screen readers announce it, so it changes only when the state does.
import { setText } from "./patch.js";
import { sayClock } from "./times.js";

const quietAfter = 60_000;

export function makeStatus(node) {
  let lastNew = null;
  let lost = false;

  const show = () => {
    const now = new Date();
    if (lastNew === null) return;
    const state = lost ? "lost" : now - lastNew > quietAfter ? "waiting" : "live";
    const words = {
      lost: () => `Connection lost. Values from ${sayClock(lastNew, now)}. Reconnecting…`,
      waiting: () => `Connected. No new data since ${sayClock(lastNew, now)}.`,
      live: () => "Live.",
    };
    if (node.dataset.state !== state) node.dataset.state = state;
    setText(node, words[state]());
  };

  setInterval(show, 5_000);
  return {
    news() {
      lastNew = new Date();
      lost = false;
      show();
    },
    heartbeat() {
      lost = false;
      show();
    },
    lost() {
      lost = true;
      if (lastNew === null) setText(node, "The hub is not responding. Retrying…");
      show();
    },
  };
}
