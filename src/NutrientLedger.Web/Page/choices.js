// The farm and the season that the page shows.
const at = (id) => document.getElementById(id);

/** Lists the farms, keeps the choice in the page's address, and opens the farm in the address or else the first. */
export function offerFarms(farms, open) {
  const select = at("farm-select");
  select.replaceChildren(...farms.map(({ farm, name }) => new Option(name, farm)));
  at("farm-choice").hidden = farms.length < 2;
  const asked = new URLSearchParams(location.search).get("farm");
  select.value = (farms.find(({ farm }) => farm === asked) ?? farms[0]).farm;
  select.addEventListener("change", () => {
    history.replaceState(null, "", `?${new URLSearchParams({ farm: select.value })}`);
    open(select.value);
  });
  open(select.value);
}

/** Lists the seasons of the shown farm. The list changes with a new season or another farm. */
export function offerSeasons({ season, seasons }, open) {
  const select = at("season-select");
  const all = seasons.includes(season) ? seasons : [...seasons, season];
  if ([...select.options].map((option) => option.value).join() !== all.join())
    select.replaceChildren(...all.map((one) => new Option(one, one)));
  if (document.activeElement !== select) select.value = season;
  at("season-choice").hidden = false;
  select.onchange = () => open(select.value);
}
