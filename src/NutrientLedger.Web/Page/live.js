// Keeps one live connection to the hub for as long as the page can be seen. Browsers allow a page few connections to
// one host, so a hidden tab lets its own go and asks again when it is looked at.

const silenceMost = 40_000;
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

  // The hub says something at least every quarter of a minute; a line that is silent for longer is dead, whatever it
  // claims.
  const alive = () => {
    clearTimeout(timer);
    timer = setTimeout(again, silenceMost);
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
