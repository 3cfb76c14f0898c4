// Writes days as the reader's own language does; without it they stand in English.
"use strict";
for (const t of document.querySelectorAll("time[datetime]")) {
  const at = new Date(t.dateTime);
  if (!Number.isNaN(at.valueOf())) t.textContent = at.toLocaleDateString(undefined, { weekday: "short", day: "numeric", month: "short", year: "numeric" });
}
// A form that asks for a time zone and holds none takes the reader's own.
for (const input of document.querySelectorAll("input[data-zone]")) {
  if (!input.value) input.value = Intl.DateTimeFormat().resolvedOptions().timeZone || "";
}
