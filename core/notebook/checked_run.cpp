// Runs as they are checked: from a store's rows, and from files.
#include <fmt/format.h>

#include <algorithm>

#include "core/base/digest.hpp"
#include "core/notebook/verify.hpp"
#include "core/record/stored_run.hpp"

namespace nestcup {
namespace {

const ChainLink* link_at(const std::vector<ChainLink>& links, int number) {
  const auto found =
      std::lower_bound(links.begin(), links.end(), number,
                       [](const ChainLink& link, int wanted) { return link.number < wanted; });
  return found == links.end() || found->number != number ? nullptr : &*found;
}

CheckedRevision checked_revision(const StoredRevision& revision, const std::string& run,
                                 const std::string& id, const std::vector<ChainLink>& links) {
  CheckedRevision checked;
  checked.revision = revision.revision;
  checked.where = fmt::format("{}, table run_record, revision {}", run, revision.revision);
  checked.record_json = revision.record_json;
  const auto link = std::find_if(links.begin(), links.end(), [&](const ChainLink& one) {
    return one.run_id == id && one.revision == revision.revision;
  });
  if (link == links.end()) return checked;
  checked.link = *link;
  const ChainLink* const before = link_at(links, link->number - 1);
  if (before != nullptr || link->number == 1) {
    checked.previous_sha256 = before == nullptr ? "" : before->sha256;
  }
  return checked;
}

/// What the row of the run says beside its record.
void check_row(const StoredRun& run, CheckedRun& checked) {
  const int newest = checked.revisions.empty() ? 0 : checked.revisions.back().revision;
  if (newest != run.revision) {
    checked.faults.push_back(
        {"run-row", fmt::format("{}, table run: names revision {} as the newest, expected {}",
                                checked.where, run.revision, newest)});
  }
  const Json record = Json::parse(run.record_json, nullptr, false);
  if (record.is_object() && record.value("status", "") != run.status) {
    checked.faults.push_back(
        {"run-row", fmt::format("{}, table run: status is \"{}\", its record says {}",
                                checked.where, run.status, record.value("status", Json()).dump())});
  }
}

/// Records, readings and sheets, of which a run can be made again; all else is for people.
bool matters(const std::string& name) {
  return name.starts_with("run.") || name == "readings.csv" || name.starts_with("sheet.");
}

class FilesCheck {
 public:
  explicit FilesCheck(const KeptRun& run) : run_(run) {
    checked_.where = run.where;
    checked_.id = run.proof.run_id;
    checked_.number = run.proof.number;
    checked_.book = run.proof.book;
  }

  CheckedRun checked() {
    for (const ProofRevision& revision : run_.proof.revisions) add_record(revision);
    for (const auto& [name, digest] : run_.proof.files) check_file(name, digest);
    for (const ProofSheet& sheet : run_.proof.sheets) check_sheet(sheet);
    add_readings();
    return std::move(checked_);
  }

 private:
  [[nodiscard]] std::string at(const std::string& name) const { return run_.where + '/' + name; }
  void fault(std::string code, std::string text) {
    checked_.faults.push_back({std::move(code), std::move(text)});
  }
  void note(std::string code, std::string text) {
    checked_.notes.push_back({std::move(code), std::move(text)});
  }

  void add_record(const ProofRevision& revision) {
    const auto file = run_.file(revision.file);
    CheckedRevision checked;
    checked.revision = revision.revision;
    checked.where = at(file ? file->name : revision.file);
    if (file) checked.record_json = file->bytes;
    checked.link = revision.link;
    checked.previous_sha256 = revision.previous_sha256;
    checked_.revisions.push_back(std::move(checked));
  }

  void check_file(const std::string& name, const std::string& digest) {
    const auto file = run_.file(name);
    const bool is_record = name.starts_with("run.");
    if (!file) {
      // A record that is missing is told by its revision.
      if (is_record) return;
      return matters(name) ? fault("file-missing", at(name) + ": is not there; proof.json names it")
                           : note("file-missing", at(name) + ": is not there any more");
    }
    if (file->as_made) {
      if (file->name != name) {
        note("edited", fmt::format("{}: was changed by hand; what was made lies beside it as {}",
                                   at(name), file->name));
      }
      return;
    }
    // Whether a record says something else is told by its own digest.
    if (!matters(name) || is_record) return note("edited", at(name) + ": was changed by hand");
    fault("file-digest",
          fmt::format("{}: the file has the digest {}, proof.json expects {}: it "
                      "was changed since it was carried here",
                      at(name), sha256_hex(file->bytes).substr(0, 12), digest.substr(0, 12)));
  }

  void check_sheet(const ProofSheet& sheet) {
    const auto file = run_.file(sheet.file);
    if (!file) return;  // told as a file
    const std::string digest = sha256_hex(file->bytes);
    if (digest == sheet.sheet.sha256 || !file->as_made) return;
    fault("sheet-digest",
          fmt::format("{}: the sheet has the digest {}, expected {}", at(file->name),
                      digest.substr(0, 12), sheet.sheet.sha256.substr(0, 12)));
  }

  void add_readings() {
    const auto file = run_.file("readings.csv");
    checked_.readings_where = at(file ? file->name : "readings.csv");
    if (!file) {
      const bool named = std::any_of(run_.proof.files.begin(), run_.proof.files.end(),
                                     [](const auto& one) { return one.first == "readings.csv"; });
      if (!named) fault("file-missing", checked_.readings_where + ": is not there");
      return;
    }
    const auto trace = parse_trace(file->bytes, checked_.readings_where);
    if (!trace) return fault("readings-unreadable", trace.error().text);
    // Units of raw quantities stand in the header as in the record.
    checked_.readings = trace_text(trace->readings, trace->roles, trace->raw_units, 0);
    const TimeUs first_us = trace->readings.front().time_us;
    const TimeUs last_us = trace->readings.back().time_us;
    if (first_us == 0 && last_us == run_.proof.last_us - run_.proof.first_us) return;
    fault("span", fmt::format("{}: holds readings from {} to {} s, its proof.json expects 0 to {} "
                              "s",
                              checked_.readings_where, to_s(first_us), to_s(last_us),
                              to_s(run_.proof.last_us - run_.proof.first_us)));
  }

  const KeptRun& run_;
  CheckedRun checked_;
};

}  // namespace

Result<CheckedRun> run_of_store(const RunBook& source, const StoredRun& run,
                                const std::string& book, const std::vector<ChainLink>& links) {
  const auto revisions = source.revisions(run.id);
  if (!revisions) return revisions.error();
  CheckedRun checked;
  checked.where = fmt::format("{}: run {}", source.name(), run.number);
  checked.id = run.id;
  checked.number = run.number;
  checked.book = book;
  for (const StoredRevision& revision : *revisions) {
    checked.revisions.push_back(checked_revision(revision, checked.where, run.id, links));
  }
  check_row(run, checked);
  checked.readings_where =
      fmt::format("{}, table reading, time_us {} to {}", checked.where, run.first_us, run.last_us);
  try {
    const auto readings = readings_of(source, run);
    if (!readings && readings.error().kind != Fault::bad_data) return readings.error();
    if (readings) {
      const RawUnits units = raw_units_of(Json::parse(run.record_json).at("probes"));
      checked.readings = trace_text(readings->readings, readings->roles, units, run.first_us);
    }
  } catch (const Json::exception&) {
    // The record tells that itself.
  }
  return checked;
}

CheckedRun run_of_files(const KeptRun& run) {
  return FilesCheck(run).checked();
}

}  // namespace nestcup
