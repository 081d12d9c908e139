// A job's page follows the job as it goes, and goes on when it is over.
// @ts-check

const line = /** @type {HTMLElement | null} */ (document.getElementById("job"));
const bar = /** @type {HTMLProgressElement | null} */ (document.getElementById("bar"));
if (line && bar) {
  const events = new EventSource(`/job/${line.dataset.job}/events`);
  /** @param {MessageEvent<string>} event */
  const show = (event) => {
    const { line: words, done, of } = JSON.parse(event.data);
    if (words) line.textContent = words;
    if (of > 1) {
      bar.max = of;
      bar.value = done;
    }
  };
  events.addEventListener("step", show);
  events.addEventListener("over", () => {
    events.close();
    location.replace(location.href);
  });
}
