#include "core/notebook/pack.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "core/base/time_text.hpp"
#include "core/notebook/crate_checks.hpp"
#include "core/notebook/notebook.hpp"
#include "core/notebook/run_entry.hpp"
#include "core/record/stored_run.hpp"
#include "core/store/chain.hpp"

namespace nestcup {
namespace {

constexpr std::size_t day_length = 10;

std::size_t total_bytes(const std::vector<BundleFile>& files) {
  std::size_t bytes = 0;
  for (const BundleFile& file : files) bytes += file.bytes.size();
  return bytes;
}

std::string counted(std::size_t count, const char* one, const char* many) {
  return fmt::format("{} {}", count, count == 1 ? one : many);
}

Result<std::vector<StoredRun>> chosen_runs(const Store& store,
                                           const std::vector<std::string>& which) {
  if (which.empty()) {
    auto runs = store.runs();
    if (!runs || !runs->empty()) return runs;
    return Error{Fault::no_input, store.path() + ": has no runs yet; there is nothing to pack"};
  }
  std::vector<StoredRun> runs;
  for (const std::string& one : which) {
    auto run = store.find_run(one);
    if (!run) return run.error();
    runs.push_back(std::move(*run));
  }
  std::sort(runs.begin(), runs.end(),
            [](const StoredRun& a, const StoredRun& b) { return a.number < b.number; });
  const auto same = [](const StoredRun& a, const StoredRun& b) { return a.number == b.number; };
  runs.erase(std::unique(runs.begin(), runs.end(), same), runs.end());
  return runs;
}

/// Puts a crate together, run by run.
class Packer {
 public:
  Packer(const Store& store, const PackOptions& options) : store_(store), options_(options) {}

  /// Comes before the runs are listed, so that all links up to this end are those of listed runs.
  Result<void> begin() {
    const auto head = Chain(store_).head();
    if (!head) return head.error();
    if (head->book.empty()) {
      return Error{Fault::bad_data, store_.path() +
                                        ": was written by an older version, which kept no chain "
                                        "of records; start nestcupd with it once"};
    }
    end_.head = *head;
    return {};
  }

  Result<void> add(const StoredRun& stored) {
    const auto revisions = store_.revisions(stored.id);
    if (!revisions) return revisions.error();
    EntryOptions entry_options;
    entry_options.logins = options_.logins;
    auto entry = run_entry(store_, stored.id, stored.revision, entry_options);
    if (!entry) return entry.error();
    std::vector<RevisionNote> history;
    for (const StoredRevision& revision : *revisions) {
      if (revision.revision <= stored.revision) history.push_back(revision.note);
    }
    try {
      facts_.runs.push_back(crate_run(entry->record, stored.number, history));
    } catch (const Json::exception& problem) {
      return unreadable_record(store_.path(), stored.number, problem);
    }
    pack_.newest_us = std::max(pack_.newest_us, history.back().wall_us);
    revisions_ += history.size();
    end_.bench = entry->bench.empty() ? end_.bench : entry->bench;
    pack_.runs.push_back({stored.number, stored.id, stored.revision, stored.status, entry->folder,
                          entry->files.size(), total_bytes(entry->files)});
    facts_.runs.back().folder = std::move(entry->folder);
    facts_.runs.back().files = std::move(entry->files);
    return {};
  }

  Result<Pack> packed() {
    if (auto added = add_chain_end(); !added) return added.error();
    facts_.date_published = rfc3339(pack_.newest_us).substr(0, day_length);
    facts_.name = options_.name.empty() ? usual_name() : options_.name;
    facts_.description = options_.description.empty() ? usual_description() : options_.description;
    facts_.people = options_.people;
    facts_.licence = options_.licence;
    auto files = crate_files(std::move(facts_));
    if (!files) return files.error();
    pack_.files = std::move(*files);
    return std::move(pack_);
  }

 private:
  /// Where the chain ends, if every link of it is that of a revision in here. The daemon may store
  /// more runs in the meantime: they stand behind that end.
  Result<void> add_chain_end() {
    int last = 0;
    std::string last_sha256;
    const Chain chain(store_);
    for (const PackedRun& run : pack_.runs) {
      for (int revision = 1; revision <= run.revision; ++revision) {
        const auto link = chain.link_of(run.id, revision);
        if (!link) return link.error();
        if (!*link || (*link)->number <= last) continue;
        last = (*link)->number;
        last_sha256 = (*link)->sha256;
      }
    }
    const bool is_whole = static_cast<std::size_t>(last) == revisions_ && last >= end_.head.links;
    if (!is_whole) return {};
    end_.head.links = last;
    end_.head.last_sha256 = last_sha256;
    facts_.files.push_back({head_file_name(end_), head_text(end_), "application/json",
                            "where the chain of records ends: all of it is in here"});
    pack_.has_chain_end = true;
    return {};
  }

  [[nodiscard]] std::string usual_name() const {
    std::set<std::string> benches;
    std::set<std::string> days;
    for (const CrateRun& run : facts_.runs) {
      if (!run.bench.empty()) benches.insert(run.bench);
      days.insert(run.date_created.substr(0, day_length));
    }
    const std::string of = benches.empty() ? "" : fmt::format(" of {}", fmt::join(benches, ", "));
    const std::string name = fmt::format("Calorimetric runs{}, {}", of, *days.begin());
    return days.size() == 1 ? name : name + " to " + *days.rbegin();
  }

  [[nodiscard]] std::string usual_description() const {
    const auto struck = static_cast<std::size_t>(
        std::count_if(pack_.runs.begin(), pack_.runs.end(),
                      [](const PackedRun& run) { return run.status == "struck"; }));
    std::string text = counted(pack_.runs.size(), "run", "runs") + " of coffee-cup calorimetry";
    if (struck > 0) text += fmt::format(", {} of them struck out", struck);
    return text +
           ". Each folder is a run: run.json is its record, readings.csv every reading as it came, "
           "page.md the page for people, and proof.json holds digests by which all can be checked.";
  }

  const Store& store_;
  const PackOptions& options_;
  CrateFacts facts_;
  Pack pack_;
  KeptHead end_;
  std::size_t revisions_ = 0;
};

}  // namespace

std::size_t Pack::bytes() const {
  return total_bytes(files);
}

Result<Pack> make_pack(const Store& store, const PackOptions& options,
                       const std::function<void(std::size_t, std::size_t)>& tell) {
  // Before the work that takes long.
  if (auto good = check_people(options.people); !good) return good.error();
  Packer packer(store, options);
  if (auto begun = packer.begin(); !begun) return begun.error();
  const auto runs = chosen_runs(store, options.which);
  if (!runs) return runs.error();
  for (std::size_t i = 0; i < runs->size(); ++i) {
    if (auto added = packer.add((*runs)[i]); !added) return added.error();
    tell(i + 1, runs->size());
  }
  return packer.packed();
}

}  // namespace nestcup
