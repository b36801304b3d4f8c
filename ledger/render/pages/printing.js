// What is folded is printed, too: older browsers leave closed parts out whatever the style says.
const folded = () => document.querySelectorAll("details:not([open])");
let opened = [];
addEventListener("beforeprint", () => {
  opened = [...folded()];
  opened.forEach((part) => { part.open = true; });
});
addEventListener("afterprint", () => {
  opened.forEach((part) => { part.open = false; });
});
