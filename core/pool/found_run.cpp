#include "core/pool/found_run.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "core/record/quantity_json.hpp"
#include "core/record/results_input.hpp"
#include "core/store/store.hpp"

namespace nestcup::pooled {
namespace {

std::string text_of(const Json& json) {
  return json.is_string() ? json.get<std::string>() : std::string{};
}

Severity severity_of(const std::string& name) {
  for (const Severity severity : {Severity::warning, Severity::unusable}) {
    if (severity_name(severity) == name) return severity;
  }
  return Severity::note;
}

std::vector<RunFinding> findings_of(const Json& record) {
  std::vector<RunFinding> findings;
  for (const Json& finding : record.at("findings")) {
    findings.push_back({finding.at("code").get<std::string>(),
                        severity_of(finding.at("severity").get<std::string>()),
                        finding.at("text").get<std::string>()});
  }
  return findings;
}

std::optional<Uncertain> quantity_or_none(const Json& json) {
  if (!json.is_object() || !json.at("value").is_number()) return std::nullopt;
  return quantity_of(json);
}

ClassRun class_run(const Json& record, RunFacts facts, const std::string& label) {
  ClassRun run;
  run.facts = std::move(facts);
  run.label = label;
  const Json& leak = record.at("heat_leak");
  if (leak.is_object()) {
    run.leak_per_s = quantity_or_none(leak.at("rate_per_s"));
    run.rest_degC = quantity_or_none(leak.at("rest_degC"));
  }
  run.findings = findings_of(record);
  run.mixed_at = text_of(record.at("mixed_at"));
  return run;
}

/// Codes of what makes a run unusable.
std::string unusable_reason(const Json& record) {
  std::vector<std::string> codes;
  for (const RunFinding& finding : findings_of(record)) {
    if (finding.severity == Severity::unusable) codes.push_back(finding.code);
  }
  return fmt::format("{}", fmt::join(codes, ", "));
}

FoundRun sorted_out(const Json& record, const std::string& label, RecordFacts facts) {
  FoundRun found;
  found.id = record.at("id").get<std::string>();
  found.revision = record.at("revision").get<int>();
  found.bench = text_of(record.at("bench"));
  found.label = label;
  if (record.at("sheet").is_object()) {
    found.sheet_title = text_of(record.at("sheet").at("title"));
    found.sheet_sha256 = text_of(record.at("sheet").at("sha256"));
  }
  if (record.at("trial").is_object()) found.trial = text_of(record.at("trial").at("name"));
  if (facts.facts) {
    found.run = class_run(record, std::move(*facts.facts), label);
  } else {
    found.why = facts.left_out;
    if (facts.left_out == "unusable") found.reason = unusable_reason(record);
  }
  return found;
}

/// The reason of the last time that a run was struck out.
Result<std::string> strike_reason(const RunBook& book, const std::string& id) {
  const auto revisions = book.revisions(id);
  if (!revisions) return revisions.error();
  std::string reason;
  for (const StoredRevision& revision : *revisions) {
    if (revision.note.action == "struck") reason = revision.note.reason;
  }
  return reason;
}

}  // namespace

Result<FoundRun> found_run(const Json& record, const std::string& label, const std::string& from) {
  auto facts = record_facts(record);
  if (!facts) return Error{Fault::bad_data, from + ": " + facts.error().text};
  try {
    return sorted_out(record, label, std::move(facts).value());
  } catch (const Json::exception& problem) {
    return Error{Fault::bad_data, fmt::format("{}: is no run record: {}", from, problem.what())};
  }
}

Result<void> read_runs(const RunBook& book, Place& place) {
  const auto taken = book.each_run([&](const StoredRun& run) -> Result<void> {
    auto found =
        found_run(Json::parse(run.record_json, nullptr, false), fmt::format("run {}", run.number),
                  fmt::format("{}: run {}", book.name(), run.number));
    if (!found) return found.error();
    if (found->why == "struck out") {
      auto reason = strike_reason(book, run.id);
      if (!reason) return reason.error();
      found->reason = std::move(reason).value();
    }
    place.runs.push_back(std::move(found).value());
    return {};
  });
  if (!taken) return taken;
  auto sheets = book.sheets();
  if (!sheets) return sheets.error();
  place.sheets = std::move(sheets).value();
  return {};
}

Result<void> read_store(const std::string& path, Place& place) {
  const auto store = Store::open(path, StoreMode::read);
  if (!store) return store.error();
  return read_runs(*store, place);
}

}  // namespace nestcup::pooled
