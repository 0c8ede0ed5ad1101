#include "core/notebook/postgres/place.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "core/base/digest.hpp"
#include "core/notebook/postgres/runs.hpp"
#include "core/notebook/postgres/schema.hpp"
#include "core/notebook/run_entry.hpp"
#include "core/record/export_facts.hpp"

namespace nestcup {
namespace {

/// A run's rows from which its proof is made.
struct ProofRows {
  Proof proof;
  std::vector<std::string> digests;       ///< of the records, as their rows say
  std::vector<std::string> sheet_sha256;  ///< by revision; empty where none
  std::vector<std::size_t> links;         ///< places among all links
};

constexpr const char* run_sql =
    "SELECT run.id::text, run.number_at_bench, run.first_us, run.last_us, run.book, "
    "revision.revision, revision.action, revision.reason, revision.who, revision.wall_us, "
    "revision.record_sha256, coalesce(revision.sheet_sha256, '') FROM nestcup.run "
    "LEFT JOIN nestcup.revision ON revision.run = run.id ORDER BY run.number, revision.revision";

constexpr const char* link_sql =
    "SELECT link.run::text, book, number, revision, record_sha256, sha256, previous_sha256 "
    "FROM nestcup.link ORDER BY book, number";

constexpr const char* end_sql =
    "SELECT DISTINCT ON (book) bench, book, links, last_sha256 FROM nestcup.chain_end "
    "ORDER BY book, links DESC";

constexpr const char* sheet_sql = "SELECT sha256, title, first_used_us FROM nestcup.sheet";

std::string text_at(const pqxx::row& row, int column) {
  return row[column].as<std::string>();
}

/// Makes a run's files from its rows, which are what a folder's notebook would hold of it.
class PostgresSource : public KeptSource {
 public:
  explicit PostgresSource(std::unique_ptr<PostgresSession> session)
      : session_(std::move(session)) {}

  [[nodiscard]] PostgresSession& session() const { return *session_; }

  [[nodiscard]] Result<KeptRun> read(const KeptEntry& entry) const override {
    KeptRun run{entry.where, entry.proof, {}};
    PostgresRuns rows(*session_);
    const auto revisions = rows.revisions(entry.proof.run_id);
    if (!revisions) return revisions.error();
    for (const StoredRevision& one : *revisions) {
      const auto place = static_cast<std::size_t>(one.revision) - 1;
      if (place >= entry.proof.revisions.size()) continue;  // came in since
      add(run, entry.proof.revisions[place].file, one.record_json);
    }
    if (auto added = add_sheets(rows, run); !added) return added.error();
    if (auto added = add_readings(rows, run); !added) return added.error();
    return run;
  }

 private:
  static void add(KeptRun& run, const std::string& name, std::string bytes) {
    run.proof.files.emplace_back(name, sha256_hex(bytes));
    run.files.emplace(name, std::move(bytes));
  }

  static Result<void> add_sheets(PostgresRuns& rows, KeptRun& run) {
    std::vector<std::string> wanted;
    for (const ProofSheet& sheet : run.proof.sheets) wanted.push_back(sheet.sheet.sha256);
    const auto sheets = rows.sheets(wanted);
    if (!sheets) return sheets.error();
    for (const ProofSheet& sheet : run.proof.sheets) {
      const auto text = std::find_if(sheets->begin(), sheets->end(), [&](const StoredSheet& one) {
        return one.sha256 == sheet.sheet.sha256;
      });
      if (text != sheets->end()) add(run, sheet.file, text->text);
    }
    return {};
  }

  static Result<void> add_readings(PostgresRuns& rows, KeptRun& run) {
    const auto found = rows.readings(run.proof.run_id);
    if (!found && found.error().kind != Fault::bad_data) return found.error();
    if (found && !found->readings.readings.empty()) {
      add(run, "readings.csv",
          trace_text(found->readings.readings, found->readings.roles, found->raw_units,
                     run.proof.first_us));
    } else {
      // A run without its readings shows as a file that is not there.
      run.proof.files.emplace_back("readings.csv", "");
    }
    return {};
  }

  std::unique_ptr<PostgresSession> session_;
};

class PlaceRows {
 public:
  PlaceRows(std::string where, pqxx::work& transaction)
      : where_(std::move(where)), transaction_(transaction) {}

  void read() {
    for (const auto& row : transaction_.exec(sheet_sql)) {
      sheets_[text_at(row, 0)] = {text_at(row, 0), text_at(row, 1), "", row[2].as<TimeUs>()};
    }
    read_runs();
    for (const auto& row : transaction_.exec(link_sql)) {
      const auto run = places_.find(text_at(row, 0));
      tables.links.push_back(
          {where_ + ", table link",
           text_at(row, 1),
           {row[2].as<int>(), text_at(row, 0), row[3].as<int>(), text_at(row, 4), text_at(row, 5)},
           text_at(row, 6)});
      if (run != places_.end()) runs_[run->second].links.push_back(tables.links.size() - 1);
    }
    for (const auto& row : transaction_.exec(end_sql)) {
      tables.ends.push_back(
          {where_ + ", table chain_end",
           {text_at(row, 0), {text_at(row, 1), row[2].as<int>(), text_at(row, 3)}}});
    }
    for (ProofRows& run : runs_) finish(run);
  }

  KeptPlace::Tables tables;

 private:
  void read_runs() {
    for (const auto& row : transaction_.exec(run_sql)) {
      const std::string id = text_at(row, 0);
      if (places_.emplace(id, runs_.size()).second) {
        runs_.emplace_back();
        Proof& proof = runs_.back().proof;
        proof.run_id = id;
        proof.number = row[1].as<int>();
        proof.first_us = row[2].as<TimeUs>();
        proof.last_us = row[3].as<TimeUs>();
        proof.book = text_at(row, 4);
      }
      if (row[5].is_null()) continue;
      ProofRevision revision;
      revision.revision = row[5].as<int>();
      revision.note = {text_at(row, 6), text_at(row, 7), text_at(row, 8), row[9].as<TimeUs>()};
      runs_.back().proof.revisions.push_back(std::move(revision));
      runs_.back().digests.push_back(text_at(row, 10));
      runs_.back().sheet_sha256.push_back(text_at(row, 11));
    }
  }

  void problem(const Proof& proof, const std::string& what) {
    tables.problems.push_back(fmt::format("{}, run {}: {}", where_, proof.run_id, what));
  }

  void finish(ProofRows& run) {
    Proof& proof = run.proof;
    for (std::size_t i = 0; i < proof.revisions.size(); ++i) {
      if (proof.revisions[i].revision == static_cast<int>(i) + 1) continue;
      return problem(proof, fmt::format("its revision {} is not there", i + 1));
    }
    if (proof.revisions.empty()) return problem(proof, "has no record");
    choose_book(run);
    if (!add_links(run)) return;
    const int newest = static_cast<int>(proof.revisions.size());
    for (ProofRevision& one : proof.revisions) {
      one.file = one.revision == newest ? "run.json" : name_of_revision("run.json", one.revision);
    }
    add_sheets(run);
    tables.entries.push_back({proof.run_id, fmt::format("{}, run {}", where_, proof.run_id),
                              "proof.json", std::move(proof)});
  }

  /// A run that was imported back and went on is in two chains: the one with most of its revisions
  /// tells its history, the run's own where both have the same.
  void choose_book(ProofRows& run) const {
    std::map<std::string, int> counts;
    for (const std::size_t link : run.links) ++counts[tables.links[link].book];
    for (const auto& [book, count] : counts) {
      if (count > counts[run.proof.book]) run.proof.book = book;
    }
  }

  bool add_links(ProofRows& run) {
    Proof& proof = run.proof;
    for (ProofRevision& one : proof.revisions) {
      const auto link = std::find_if(run.links.begin(), run.links.end(), [&](std::size_t place) {
        const KeptLink& other = tables.links[place];
        return other.book == proof.book && other.link.revision == one.revision;
      });
      if (link == run.links.end()) {
        problem(proof, fmt::format("its revision {} is in no chain of records", one.revision));
        return false;
      }
      one.link = tables.links[*link].link;
      one.previous_sha256 = tables.links[*link].previous_sha256;
      const std::string& digest = run.digests[static_cast<std::size_t>(one.revision) - 1];
      if (digest == one.link.record_sha256) continue;
      problem(proof, fmt::format("its revision {} has the digest {}, expected {} as its link says",
                                 one.revision, digest.substr(0, 12),
                                 one.link.record_sha256.substr(0, 12)));
    }
    return true;
  }

  /// Named as in a folder: that of the newest record first.
  void add_sheets(ProofRows& run) const {
    std::vector<ProofSheet>& named = run.proof.sheets;
    for (std::size_t i = run.sheet_sha256.size(); i-- > 0;) {
      const std::string& digest = run.sheet_sha256[i];
      const bool is_known = std::any_of(named.begin(), named.end(), [&](const ProofSheet& one) {
        return one.sheet.sha256 == digest;
      });
      const auto sheet = sheets_.find(digest);
      if (is_known || sheet == sheets_.end()) continue;
      const bool newest = i + 1 == run.sheet_sha256.size();
      named.push_back(
          {newest ? "sheet.toml" : name_of_revision("sheet.toml", static_cast<int>(i) + 1),
           sheet->second});
    }
  }

  std::string where_;
  pqxx::work& transaction_;
  std::vector<ProofRows> runs_;
  std::map<std::string, std::size_t> places_;
  std::map<std::string, StoredSheet> sheets_;
};

}  // namespace

Result<KeptPlace> postgres_place(const NotebookSettings& settings) {
  auto session = open_postgres(settings);
  if (!session) return session.error();
  const auto source = std::make_shared<PostgresSource>(std::move(*session));
  if (auto good = check_postgres(source->session()); !good) return good.error();
  KeptPlace::Tables tables;
  const auto looked = source->session().look(
      [&](pqxx::work& transaction) -> Result<void> {
        PlaceRows rows(settings.target, transaction);
        rows.read();
        tables = std::move(rows.tables);
        return {};
      },
      PostgresPace::long_);
  if (!looked) return looked.error();
  return KeptPlace::of(settings.target, source, std::move(tables));
}

}  // namespace nestcup
