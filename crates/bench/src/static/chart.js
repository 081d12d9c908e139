// Values of a chart are said when the pointer or the keyboard comes to them.
// @ts-check

const chart = document.getElementById("chart");
if (chart) {
  const said = document.createElement("p");
  said.className = "said";
  said.setAttribute("aria-live", "polite");
  const rest = "Point at a value, or step through them with Tab.";
  said.textContent = rest;
  chart.append(said);
  for (const mark of chart.querySelectorAll("g.section, g.left-out")) {
    const coupon = mark.closest("g.coupon")?.querySelector(":scope > title")?.textContent ?? "";
    const own = mark.querySelector(":scope > title");
    const words = `coupon ${coupon}, ${own?.textContent ?? ""}`;
    // The browser's own tip would stand in the way.
    own?.remove();
    mark.setAttribute("tabindex", "0");
    mark.setAttribute("role", "img");
    mark.setAttribute("aria-label", words);
    const say = () => {
      said.textContent = words;
    };
    const rests = () => {
      said.textContent = rest;
    };
    mark.addEventListener("pointerenter", say);
    mark.addEventListener("focus", say);
    mark.addEventListener("pointerleave", rests);
    mark.addEventListener("blur", rests);
  }
}
