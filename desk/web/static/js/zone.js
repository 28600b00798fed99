// An empty field for a time zone offers the one that this device is in.
export function offerZone() {
  for (const field of document.querySelectorAll("[data-own-zone]")) {
    field.value ||= Intl.DateTimeFormat().resolvedOptions().timeZone || "";
  }
}
