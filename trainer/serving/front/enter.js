// An address with the token behind a # opens at once: that part of an address never leaves the browser by
// itself. It is taken out of the address line before anything is sent.
const token = decodeURIComponent(location.hash.slice(1));
if (token) {
  history.replaceState(null, "", "/");
  const field = document.getElementById("token");
  if (field) {
    field.value = token;
    field.form.requestSubmit();
  }
}
