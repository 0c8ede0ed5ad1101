// A run record of some bench, sorted out for a class.
#include "core/pool/found_run.hpp"

#include "tests/catch.hpp"
#include "tests/notebook/temporary_folder.hpp"
#include "tests/record/simulated_store.hpp"

using namespace nestcup;
using namespace nestcup::pooled;

namespace {

/// A finished run's record.
const Json& some_record() {
  static const Json record = [] {
    const TemporaryFolder folder;
    make_simulated_store(folder.at("bench.db"), {1, 1, analysis_version, ""});
    const Store store = Store::open(folder.at("bench.db"), StoreMode::read).value();
    return Json::parse(store.find_run("1")->record_json);
  }();
  return record;
}

Json finding(const std::string& code, const std::string& severity) {
  return {{"code", code}, {"severity", severity}, {"text", "so it is"}, {"values", Json::object()}};
}

FoundRun found(const Json& record) {
  return found_run(record, "run 1", "bench.db: run 1").value();
}

}  // namespace

TEST_CASE("a finished run counts, with its heat leak and its findings") {
  Json record = some_record();
  record["findings"] = {finding("knocks", "note"), finding("gap", "warning")};
  const FoundRun run = found(record);
  REQUIRE(run.run);
  CHECK(run.why.empty());
  CHECK(run.bench == "bench-4");
  CHECK(run.trial == "warm");
  CHECK(run.run->leak_per_s);
  REQUIRE(run.run->findings.size() == 2);
  CHECK(run.run->findings[0].severity == Severity::note);
  CHECK(run.run->findings[1].severity == Severity::warning);
  CHECK(run.run->findings[1].code == "gap");
}

TEST_CASE("what a record does not say stays open") {
  Json record = some_record();
  record["heat_leak"] = nullptr;
  record["sheet"] = nullptr;
  record["mixed_at"] = nullptr;
  const FoundRun run = found(record);
  CHECK(run.sheet_title.empty());
  REQUIRE(run.run);
  CHECK_FALSE(run.run->leak_per_s);
  CHECK(run.run->mixed_at.empty());
}

TEST_CASE("an unusable run does not count, and its findings say why") {
  Json record = some_record();
  record["corrected_rise_K"]["value"] = nullptr;
  record["findings"] = {finding("gap", "warning"), finding("no-foreperiod", "unusable"),
                        finding("no-after-period", "unusable")};
  const FoundRun run = found(record);
  CHECK_FALSE(run.run);
  CHECK(run.why == "unusable");
  CHECK(run.reason == "no-foreperiod, no-after-period");
}

TEST_CASE("what is no run record is said with its place") {
  for (const Json& other : {Json(), Json::object(), Json{{"format", "nestcup-run"}}}) {
    const auto run = found_run(other, "run 1", "bench.db: run 1");
    REQUIRE_FALSE(run);
    CHECK(run.error().kind == Fault::bad_data);
    CHECK_THAT(run.error().text, ContainsSubstring("bench.db: run 1"));
  }
  Json record = some_record();
  record["findings"] = {{{"code", 7}}};
  CHECK_FALSE(found_run(record, "run 1", "bench.db: run 1"));
}
