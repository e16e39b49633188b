// Says that scripts run here, before anything is shown. The key "/" goes to the search box from anywhere but a field.
"use strict";
document.documentElement.classList.add("scripted");
document.addEventListener("keydown", (event) => {
  const at = event.target;
  const typing = at instanceof HTMLElement && (at.isContentEditable || /^(INPUT|SELECT|TEXTAREA)$/.test(at.tagName));
  if (event.key !== "/" || typing || event.ctrlKey || event.metaKey || event.altKey) return;
  const find = document.getElementById("find");
  if (!find) return;
  event.preventDefault();
  find.focus();
  find.select();
});
