// Everything comes from this service: no validator, no fonts, no network beyond it.
window.SwaggerUIBundle({
  url: "/openapi.json",
  dom_id: "#page",
  validatorUrl: null,
  deepLinking: true,
});
