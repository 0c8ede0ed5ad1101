// check.mjs FILE: holds a description to OpenAPI's own rules, by openapi-core, which is of another
// make. Prints what is wrong, one line each, and ends with 1 then.
import { createConfig, lint } from "@redocly/openapi-core";

const config = await createConfig({
  extends: ["recommended-strict"],
  rules: {
    // Every operation has one answer for all failures, "default".
    "operation-4xx-response": "off",
    // The page's own files are together one path beside the routes that stand there by name.
    "no-ambiguous-paths": "off",
    // It takes parts of the run record's schema for unused that stand beside a reference.
    "no-unused-components": "off",
    "operation-operationId": "error",
    "operation-parameters-unique": "error",
    "path-not-include-query": "error",
    "parameter-description": "error",
    "no-http-verbs-in-paths": "off",
  },
});
const problems = await lint({ ref: process.argv[2], config });
for (const problem of problems) {
  const [at] = problem.location;
  console.log(`${problem.ruleId}: ${problem.message} (${at.pointer ?? ""})`);
}
if (problems.length > 0) process.exit(1);
console.log("nothing is wrong");
