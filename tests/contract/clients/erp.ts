// An ERP asks for the tooling of a work order, and reads what answers.
import assert from "node:assert/strict";
import createClient from "openapi-fetch";
import type { components, paths } from "./api.d.ts";

type Line = components["schemas"]["PickItem"];
const { RINGWRIGHT: baseUrl = "", RINGWRIGHT_KEY: key = "" } = process.env;
const client = createClient<paths>({ baseUrl, headers: { Authorization: `Bearer ${key}` } });
const mm = (value: number) => ({ value, unit: "mm" }) as const;
const fitting = { series: "S", ring_style: "metal", ring_material: "carbon-steel" } as const;
const lines: Line[] = [2, 2.5].map((wall) => ({
  client_ref: `wall ${wall}`,
  quantity: 12,
  tube: { od: mm(16), wall: mm(wall), material: "e235-n" },
  fitting,
}));
const { data, error } = await client.POST("/v1/tooling-picks", { body: { items: lines } });
if (error) throw new Error(error.detail);
assert.equal(data.items.length, 2);
for (const item of data.items) {
  assert.ok(item.verdict === "allowed" || item.verdict === "allowed-with-cautions");
  console.log(item.client_ref, item.verdict, item.cone, item.plate, item.quantities?.rings);
}
const active = await client.GET("/v1/revisions/{revision}", {
  params: { path: { revision: "current" } },
});
console.log(active.data?.revision.state ?? active.error?.title);
