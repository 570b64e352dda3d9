// One live connection to the hub while the page is visible. Browsers allow few connections per host, so a hidden tab
// closes its own and opens it again when shown.

const silenceMax = 40_000;
const retryAfter = 2_000;

export function listen(address, heard) {
  let source = null;
  let timer = 0;

  const stop = () => {
    clearTimeout(timer);
    source?.close();
    source = null;
  };

  const again = () => {
    stop();
    heard.lost();
    timer = setTimeout(open, retryAfter);
  };

  // The hub sends something at least every 15 s. A connection silent for longer than silenceMax (in ms) is dead,
  // whatever its state.
  const alive = () => {
    clearTimeout(timer);
    timer = setTimeout(again, silenceMax);
  };

  const open = () => {
    stop();
    if (document.hidden) return;
    source = new EventSource(address);
    source.addEventListener("sheet", (event) => {
      alive();
      heard.sheet(JSON.parse(event.data));
    });
    source.addEventListener("heartbeat", () => {
      alive();
      heard.heartbeat();
    });
    source.addEventListener("error", again);
    alive();
  };

  document.addEventListener("visibilitychange", open);
  open();
  return () => {
    document.removeEventListener("visibilitychange", open);
    stop();
  };
}
