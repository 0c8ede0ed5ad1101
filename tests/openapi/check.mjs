// check.mjs FILE...: holds descriptions to OpenAPI's own rules, by openapi-core, which is of another
// make. Prints a JSON object: by file, what is wrong.
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
const wrong = {};
for (const file of process.argv.slice(2)) {
  const problems = await lint({ ref: file, config });
  wrong[file] = problems.map(({ ruleId, message, location }) =>
    `${ruleId}: ${message} (${location[0]?.pointer ?? ""})`);
}
console.log(JSON.stringify(wrong));
