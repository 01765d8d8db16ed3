// A client as openapi-typescript and openapi-fetch make it from the contract, asking the service that the first argument
// names: one check that is answered, one build that is refused.
import assert from "node:assert/strict";

import createClient from "openapi-fetch";

import type { components, paths } from "./contract.js";

type Answer = components["schemas"]["Answer"];
type Build = components["schemas"]["Build"];

const baseUrl = process.argv[2];
assert(baseUrl, "usage: node check.js URL");
const service = createClient<paths>({ baseUrl });

function solved(answer: Answer): string[] {
  return answer.points.flatMap((point) => (point.state === "solved" ? [`${point.point} ${point.speed_rpm}`] : []));
}

const build: Build = {
  format: 1,
  family: "tarn-v8",
  slots: { lifter: [{ part: "BW-118", at: "intake" }, { part: "BW-121", at: "exhaust" }] },
  settings: { preload: "25 thou" },
};
const told = await service.POST("/v1/checks", { params: { query: { units: "si", samples: 0 } }, body: build });
assert.equal(told.response.status, 200);
assert(told.data, "an answer");
assert.equal(told.data.verdict, "stop");
assert(told.data.findings.some((finding) => finding.weighs === "stop" && finding.place.at === "exhaust"));
assert(solved(told.data).length > 0);
assert.equal(told.data.digests.build.length > 0, true);

const wrong: Build = { format: 1, family: "tarn-v8", slots: { lifter: "BW-1180" } };
const refused = await service.POST("/v1/checks", { body: wrong });
assert.equal(refused.response.status, 422);
assert(refused.error, "a problem");
assert.equal(refused.error.status, 422);
assert.deepEqual(refused.error.errors.map((flaw) => flaw.pointer), ["/slots/lifter"]);

const part = await service.GET("/v1/parts/{part}", { params: { path: { part: "BW-118" } } });
assert.equal(part.data?.id, "BW-118");

console.log(`typescript: ${told.data.verdict}, ${told.data.findings.length} findings; ${refused.error.title}`);
