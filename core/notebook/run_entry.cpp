#include "core/notebook/run_entry.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/base/time_text.hpp"
#include "core/notebook/csvw.hpp"
#include "core/notebook/proof.hpp"
#include "core/notebook/safe_name.hpp"
#include "core/record/stored_run.hpp"
#include "core/record/trial_of_run.hpp"
#include "core/report/charts/run_drawing.hpp"
#include "core/report/document/markdown_page.hpp"
#include "core/report/drawing/chart_page.hpp"
#include "core/report/pages/run_page.hpp"

namespace nestcup {
namespace {

constexpr std::size_t id_end = 6;
constexpr double png_scale = 2.0;

std::string text_of(const Json& record, const char* key) {
  const Json& value = record.at(key);
  return value.is_string() ? value.get<std::string>() : "";
}

/// Makes the files of one revision.
class Maker {
 public:
  Maker(const Store& store, const EntryOptions& options) : store_(store), options_(options) {}

  Result<RunEntry> made(const StoredRun& head, std::vector<StoredRevision> revisions,
                        int revision) {
    revisions_ = std::move(revisions);
    revisions_.resize(static_cast<std::size_t>(revision));
    for (StoredRevision& one : revisions_) {
      if (!options_.logins) one.note.who.clear();
    }
    run_ = head;
    run_.revision = revision;
    run_.record_json = revisions_.back().record_json;
    entry_.number = run_.number;
    entry_.id = run_.id;
    entry_.revision = revision;
    entry_.record = Json::parse(run_.record_json);
    run_.status = entry_.record.at("status");
    entry_.bench = text_of(entry_.record, "bench");
    entry_.folder = entry_folder(Json::parse(revisions_.front().record_json));
    if (auto added = add_files(); !added) return added.error();
    return std::move(entry_);
  }

 private:
  Result<void> add_files() {
    add("run.json", entry_.record.dump(2) + "\n", "application/json", "the run's record");
    if (auto added = add_readings(); !added) return added;
    if (auto added = add_page(); !added) return added;
    if (auto added = add_sheets(); !added) return added;
    add_earlier_records();
    return add_proof();
  }

  void add(std::string path, std::string bytes, std::string media_type, std::string about) {
    entry_.files.push_back(
        {std::move(path), std::move(bytes), std::move(media_type), std::move(about)});
  }

  Result<void> add_readings() {
    auto csv = export_text(store_, run_);
    if (!csv) return csv.error();
    CsvTable table;
    table.title = page_title();
    std::string_view rest = *csv;
    while (rest.starts_with('#')) {
      ++table.comment_lines;
      rest.remove_prefix(rest.find('\n') + 1);
    }
    std::string_view header = rest.substr(0, rest.find('\n'));
    while (!header.empty()) {
      const std::size_t end = std::min(header.find(','), header.size());
      table.columns.emplace_back(header.substr(0, end));
      header.remove_prefix(std::min(end + 1, header.size()));
    }
    auto metadata = csvw_metadata(table);
    if (!metadata) return metadata.error();
    add("readings.csv", std::move(*csv), "text/csv", "readings as they came, a trace file");
    add("readings.csv-metadata.json", std::move(*metadata), "application/csvm+json",
        "what the columns of readings.csv are");
    return {};
  }

  [[nodiscard]] std::string page_title() const {
    const Json& trial = entry_.record.at("trial");
    if (trial.is_null()) return fmt::format("run {}", run_.number);
    return fmt::format("{} {}", trial.at("name").get<std::string>(), trial.at("number").get<int>());
  }

  Result<void> add_page() {
    ReportRun run;
    run.name = fmt::format("run {}", run_.number);
    run.record = entry_.record;
    for (const StoredRevision& revision : revisions_) {
      const RevisionNote& note = revision.note;
      run.history.push_back(
          {revision.revision, note.action, note.reason, note.who, rfc3339(note.wall_us)});
    }
    if (options_.charts) {
      if (auto drawn = add_charts(run); !drawn) return drawn;
    }
    add("page.md", markdown_page(run_page(run, options_.language), [](int) { return "chart.svg"; }),
        "text/markdown", "the run's page for people");
    return {};
  }

  /// Charts show what today's analysis makes of the readings; where that is not what the record
  /// says, they would contradict it and are left out.
  Result<void> add_charts(ReportRun& run) {
    const auto again = analysed_again(store_, run_);
    if (!again) return again.error();
    if (!*again ||
        (*again)->made.record.at("corrected_rise_K") != entry_.record.at("corrected_rise_K")) {
      return {};
    }
    run.chart = run_chart(**again, page_title(), options_.language);
    auto svg = chart_svg(*run.chart);
    auto png = chart_png(*run.chart, png_scale);
    if (!svg || !png) {
      run.chart.reset();
      return {};
    }
    add("chart.svg", std::move(*svg), "image/svg+xml", "readings, periods and the rise");
    add("chart.png", std::move(*png), "image/png", "the same as an image");
    return {};
  }

  Result<void> add_sheets() {
    for (auto revision = revisions_.rbegin(); revision != revisions_.rend(); ++revision) {
      const auto sheet = kept_sheet(store_, Json::parse(revision->record_json));
      if (!sheet) return sheet.error();
      if (!*sheet || has_sheet((*sheet)->sha256)) continue;
      const bool newest = revision->revision == entry_.revision;
      const std::string name =
          newest ? "sheet.toml" : name_of_revision("sheet.toml", revision->revision);
      add(name, (*sheet)->text, "application/toml", "the sheet that the record names");
      sheets_.push_back({name, **sheet});
    }
    return {};
  }

  [[nodiscard]] bool has_sheet(const std::string& sha256) const {
    return std::any_of(sheets_.begin(), sheets_.end(),
                       [&](const ProofSheet& kept) { return kept.sheet.sha256 == sha256; });
  }

  void add_earlier_records() {
    for (const StoredRevision& revision : revisions_) {
      if (revision.revision == entry_.revision) continue;
      add(name_of_revision("run.json", revision.revision),
          Json::parse(revision.record_json).dump(2) + "\n", "application/json",
          "the record of an earlier revision");
    }
  }

  Result<void> add_proof() {
    auto proof = proof_json(store_, run_, revisions_, sheets_, entry_.files);
    if (!proof) return proof.error();
    add("proof.json", proof->dump(2) + "\n", "application/json",
        "history, digests and links of every revision");
    return {};
  }

  const Store& store_;
  const EntryOptions& options_;
  StoredRun run_;
  std::vector<StoredRevision> revisions_;
  std::vector<ProofSheet> sheets_;
  RunEntry entry_;
};

}  // namespace

const std::string* RunEntry::bytes_of(std::string_view path) const {
  const auto file = std::find_if(files.begin(), files.end(),
                                 [&](const BundleFile& one) { return one.path == path; });
  return file == files.end() ? nullptr : &file->bytes;
}

std::string name_of_revision(const std::string& name, int revision) {
  const std::size_t dot = name.find('.');
  return fmt::format("{}.r{}{}", name.substr(0, dot), revision, name.substr(dot));
}

std::string entry_folder(const Json& first_record) {
  const std::string id = first_record.at("id");
  const std::string started = text_of(first_record, "started_at");
  const Json& trial = first_record.at("trial");
  std::string name = started.empty() ? "undated" : started.substr(0, 10);
  const std::string bench = text_of(first_record, "bench");
  if (!bench.empty()) name += ' ' + safe_name(bench);
  name +=
      ' ' + (trial.is_null() ? std::string("no-trial")
                             : safe_name(fmt::format("{}-{}", trial.at("name").get<std::string>(),
                                                     trial.at("number").get<int>())));
  return name + ' ' + id.substr(id.size() - std::min(id.size(), id_end));
}

Result<RunEntry> run_entry(const Store& store, const std::string& run_id, int revision,
                           const EntryOptions& options) {
  const auto run = store.find_run(run_id);
  if (!run) return run.error();
  auto revisions = store.revisions(run->id);
  if (!revisions) return revisions.error();
  if (revision < 1 || static_cast<std::size_t>(revision) > revisions->size()) {
    return Error{Fault::no_input,
                 fmt::format("{}: run {} has no revision {}", store.path(), run->number, revision)};
  }
  try {
    return Maker(store, options).made(*run, std::move(*revisions), revision);
  } catch (const Json::exception& problem) {
    return unreadable_record(store.path(), run->number, problem);
  }
}

}  // namespace nestcup
