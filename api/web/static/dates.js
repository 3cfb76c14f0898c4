// Puts days into the reader's own time zone; the server has written them as the
// reader's language does, but does not know the zone.
"use strict";
for (const t of document.querySelectorAll("time[datetime]")) {
  const at = new Date(t.dateTime);
  if (!Number.isNaN(at.valueOf())) t.textContent = at.toLocaleDateString(undefined, { weekday: "short", day: "numeric", month: "short", year: "numeric" });
}
// A form that asks for a time zone and holds none takes the reader's own.
for (const input of document.querySelectorAll("input[data-zone]")) {
  if (!input.value) input.value = Intl.DateTimeFormat().resolvedOptions().timeZone || "";
}
