// Keyboard and foot pedal: space or page-down does the one thing that is next. A pedal that bounces counts once.
let last = 0;

export function takeKeys() {
  addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "PageDown") return;
    if (event.ctrlKey || event.altKey || event.metaKey || event.shiftKey) return;
    const at = document.activeElement;
    if (at && at !== document.body && at.id !== "main") return;
    const button = document.querySelector("[data-alarm]") ?? document.querySelector("[data-primary]");
    if (!button) return;
    event.preventDefault();
    if (event.repeat || performance.now() - last < 700) return;
    last = performance.now();
    button.closest("form").requestSubmit(button);
  });
}
