// Requests to the hub's API. A problem response becomes an error whose message says what is wrong and what to do.

export const farmAddress = (farm, rest) => `/api/farms/${encodeURIComponent(farm)}/${rest}`;

/** The reconciliation of a pit from a day up to, not including, another. */
export const reconciliationAddress = ({ farm, pit }, from, to, more = {}) =>
  farmAddress(farm, `reconciliations?${new URLSearchParams({ pit, from, to, ...more })}`);

export const ask = (address) => answered(fetch(address, { headers: { Accept: "application/json" } }));

export const send = (address, body) =>
  answered(
    fetch(address, {
      method: "POST",
      headers: { Accept: "application/json", "Content-Type": "application/json" },
      body: JSON.stringify(body),
    }),
  );

async function answered(request) {
  let answer;
  try {
    answer = await request;
  } catch {
    throw new Error("The hub is not responding. Try again in a moment.");
  }
  if (answer.ok) return answer.json();
  const problem = await answer.json().catch(() => ({}));
  throw new Error([problem.title ?? `The hub answered ${answer.status}.`, problem.detail].filter(Boolean).join(" "));
}
