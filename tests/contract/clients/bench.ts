// A bench app asks how far to press, then whether a part of its setup is right.
import assert from "node:assert/strict";
import createClient from "openapi-fetch";
import type { components, paths } from "./api.d.ts";

const { RINGWRIGHT: baseUrl = "", RINGWRIGHT_KEY: key = "" } = process.env;
const client = createClient<paths>({ baseUrl, headers: { Authorization: `Bearer ${key}` } });
const tube: components["schemas"]["TubeFacts"] = {
  od: { value: 16, unit: "mm" },
  wall: { value: 2, unit: "mm" },
  material: "e235-n",
  bend: "near-end",
  straight_length: { value: 60, unit: "mm" },
};
const fitting = { series: "S", ring_style: "metal", ring_material: "carbon-steel" } as const;
const asked = { tube, fitting, press: "press-a", gauge: "gauge-a" };
const pressed = await client.POST("/v1/press-targets", { body: asked });
const stop = pressed.data?.target?.dial?.stop_at;
assert.ok(stop && stop.unit === "bar");
console.log("stop at", stop.value, stop.unit);
const checked = await client.POST("/v1/setup-checks", { body: asked });
assert.equal(checked.data?.verdict, "undetermined");
console.log("then", checked.data.next?.at);
// @ts-expect-error a length is no bare number
await client.POST("/v1/press-targets", { body: { tube: { od: 16 } } });
// @ts-expect-error a pressure is not in mm
await client.POST("/v1/setup-checks", { body: { intended_reading: { value: 1, unit: "mm" } } });
