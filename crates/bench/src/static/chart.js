// Values of a chart are said when the pointer or the keyboard comes to them.
// @ts-check

const chart = document.getElementById("chart");
if (chart) {
  const said = document.createElement("p");
  said.className = "said";
  said.setAttribute("aria-live", "polite");
  chart.append(said);
  const rest = "Point at a value, or step through them with Tab.";
  said.textContent = rest;
  /** @param {Event} event */
  const say = (event) => {
    const at = /** @type {Element} */ (event.target).closest("[data-said]");
    said.textContent = at?.getAttribute("data-said") ?? rest;
  };
  for (const name of ["pointerover", "focusin", "focusout"]) chart.addEventListener(name, say);
}
