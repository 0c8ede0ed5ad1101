#include "core/notebook/import_runs.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "core/notebook/import_files.hpp"

namespace nestcup {
namespace {

using ProbeTime = std::pair<ProbeRole, TimeUs>;

bool is_same_note(const RevisionNote& a, const RevisionNote& b) {
  return a.action == b.action && a.reason == b.reason && a.who == b.who && a.wall_us == b.wall_us;
}

class Importer {
 public:
  Importer(const ImportPlan& plan, const Store* look, Store* store)
      : plan_(plan), look_(look), store_(store) {
    for (const ImportCandidate& run : plan.runs) {
      const Proof& proof = run.entry->proof;
      result_.runs.push_back({run.entry->where, proof.run_id, run.bench, proof.number, 0,
                              ImportOutcome::there, 0, run.faults});
      if (!run.well()) result_.runs.back().outcome = ImportOutcome::refused;
    }
  }

  Result<Imported> import(const std::function<void(int, int)>& progress) {
    if (auto known = find_known(); !known) return known.error();
    if (auto taken = take_over(); !taken) return taken.error();
    int done = 0;
    for (const ImportStep& step : plan_.steps) {
      if (auto taken = take(step); !taken) return taken.error();
      progress(++done, static_cast<int>(plan_.steps.size()));
    }
    return std::move(result_);
  }

 private:
  Result<void> find_known() {
    if (look_ == nullptr) return {};
    const auto runs = look_->runs();
    if (!runs) return runs.error();
    for (const StoredRun& run : *runs) {
      known_[run.id] = {run.number, run.revision};
      begun_[run.first_us] = run.id;
    }
    return {};
  }

  Result<void> take_over() {
    if (!known_.empty() || plan_.book.empty()) return {};
    result_.took_over_chain = true;
    return store_ == nullptr ? Result<void>{} : take_over_chain(*store_, plan_.book);
  }

  /// Files of the run that is at hand; nothing where it is refused.
  Result<const ImportFiles*> files_for(std::size_t run) {
    if (at_hand_ == run) return &files_;
    at_hand_.reset();
    try {
      auto files = import_files(plan_.runs[run]);
      if (files) {
        files_ = std::move(*files);
        at_hand_ = run;
        return &files_;
      }
      refuse(run, files.error().text);
    } catch (const std::exception& problem) {
      // Its digests were right a moment ago.
      refuse(run, std::string("its files were changed while they were read: ") + problem.what());
    }
    return nullptr;
  }

  void refuse(std::size_t run, std::string why) {
    result_.runs[run].outcome = ImportOutcome::refused;
    result_.runs[run].reasons.push_back(std::move(why));
  }

  Result<void> take(const ImportStep& step) {
    ImportedRun& told = result_.runs[step.run];
    if (told.outcome == ImportOutcome::refused) return {};
    const auto files = files_for(step.run);
    if (!files) return files.error();
    if (*files == nullptr) return {};
    const auto known = known_.find(told.id);
    if (known == known_.end()) return step.revision == 1 ? add_run(step, **files) : Result<void>{};
    told.number = known->second.number;
    if (step.revision <= known->second.revision) return compare(step, **files);
    if (step.revision != known->second.revision + 1) return {};
    return add_revision(step, **files);
  }

  /// What is there already must be the same.
  Result<void> compare(const ImportStep& step, const ImportFiles& files) {
    const std::string& id = result_.runs[step.run].id;
    if (look_ == nullptr || step.revision > looked_at(id)) return {};
    const auto revisions = look_->revisions(id);
    if (!revisions) return revisions.error();
    const auto place = static_cast<std::size_t>(step.revision) - 1;
    const StoredRevision& there = revisions->at(place);
    const auto stored = record_sha256(there.record_json);
    const auto here = record_sha256(files.records[place]);
    const ProofRevision& told = plan_.runs[step.run].entry->proof.revisions[place];
    if (stored && here && *stored == *here && is_same_note(there.note, told.note)) return {};
    refuse(step.run, fmt::format("its revision {} differs from the one in the store (run {}), "
                                 "which stays; nestcup verify says which is as it was made",
                                 step.revision, known_[id].number));
    return {};
  }

  /// How many revisions the store had before this import.
  int looked_at(const std::string& id) const {
    const auto added = added_.find(id);
    return added == added_.end() ? known_.at(id).revision : added->second;
  }

  Result<void> add_run(const ImportStep& step, const ImportFiles& files) {
    ImportedRun& told = result_.runs[step.run];
    const Proof& proof = plan_.runs[step.run].entry->proof;
    const auto begun = begun_.find(proof.first_us);
    if (begun != begun_.end()) {
      refuse(step.run, fmt::format("the store has another run ({}) with the same first reading",
                                   begun->second));
      return {};
    }
    const auto missing = missing_readings(step.run, files);
    if (!missing) return missing.error();
    if (told.outcome == ImportOutcome::refused) return {};
    told.outcome = ImportOutcome::added;
    begun_[proof.first_us] = told.id;
    added_[told.id] = 0;
    if (store_ != nullptr) {
      if (auto stored = store_run(step, files, *missing); !stored) return stored;
    } else {
      told.number = proof.number;
    }
    ++told.revisions;
    known_[told.id] = {told.number, 1};
    return {};
  }

  Result<void> store_run(const ImportStep& step, const ImportFiles& files,
                         const std::vector<Reading>& missing) {
    const Proof& proof = plan_.runs[step.run].entry->proof;
    if (auto ids = store_->register_probes(files.probes); !ids) return ids.error();
    if (auto added = store_->add(missing, {}); !added) return added;
    if (auto kept = keep_sheets(files); !kept) return kept;
    const std::string& record = files.records.front();
    const StoredRun run{proof.run_id,
                        proof.number,
                        proof.first_us,
                        proof.last_us,
                        1,
                        Json::parse(record).at("status"),
                        record};
    const auto number = store_->add_run(run, proof.revisions.front().note);
    if (!number) return number.error();
    result_.runs[step.run].number = *number;
    return check_link(step);
  }

  Result<void> keep_sheets(const ImportFiles& files) {
    for (const StoredSheet& sheet : files.sheets) {
      if (auto kept = store_->keep_sheet(sheet); !kept) return kept;
    }
    return {};
  }

  Result<void> add_revision(const ImportStep& step, const ImportFiles& files) {
    ImportedRun& told = result_.runs[step.run];
    if (told.outcome == ImportOutcome::there) told.outcome = ImportOutcome::continued;
    added_.emplace(told.id, known_[told.id].revision);
    if (store_ != nullptr) {
      const auto place = static_cast<std::size_t>(step.revision) - 1;
      const std::string& record = files.records[place];
      if (auto kept = keep_sheets(files); !kept) return kept;
      const auto added =
          store_->add_revision(told.id, step.revision - 1, Json::parse(record).at("status"), record,
                               plan_.runs[step.run].entry->proof.revisions[place].note);
      if (!added) return added;
      if (auto checked = check_link(step); !checked) return checked;
    }
    ++told.revisions;
    known_[told.id].revision = step.revision;
    return {};
  }

  /// In the same chain as before a revision must be the same link.
  Result<void> check_link(const ImportStep& step) {
    const Proof& proof = plan_.runs[step.run].entry->proof;
    const ChainLink& before = proof.revisions[static_cast<std::size_t>(step.revision) - 1].link;
    const Chain chain(*store_);
    const auto head = chain.head();
    if (!head) return head.error();
    if (head->book != proof.book) return {};
    const auto link = chain.link_of(proof.run_id, step.revision);
    if (!link) return link.error();
    if (*link && (*link)->sha256 == before.sha256) return {};
    result_.runs[step.run].reasons.push_back(
        fmt::format("revision {} was link {} of the chain of records and is another link now: the "
                    "store went on without it",
                    step.revision, before.number));
    return {};
  }

  /// The run's readings that the store has not got. Where it has others of the same probes in that
  /// time the run is refused.
  Result<std::vector<Reading>> missing_readings(std::size_t run, const ImportFiles& files) {
    if (look_ == nullptr) return files.readings;
    const Proof& proof = plan_.runs[run].entry->proof;
    const auto probes = look_->probes();
    if (!probes) return probes.error();
    const auto there = look_->readings(proof.first_us, proof.last_us);
    if (!there) return there.error();
    std::map<ProbeTime, Reading> wanted;
    for (const Reading& reading : files.readings) {
      wanted[{files.probes[reading.probe].role, reading.time_us}] = reading;
    }
    std::map<ProbeTime, Reading> missing = wanted;
    for (const Reading& reading : *there) {
      const ProbeRole role = (*probes)[reading.probe].role;
      const bool ours = std::any_of(files.probes.begin(), files.probes.end(),
                                    [&](const StoredProbe& probe) { return probe.role == role; });
      if (!ours) continue;
      const auto same = wanted.find({role, reading.time_us});
      if (same == wanted.end() || same->second.temperature_degC != reading.temperature_degC ||
          same->second.raw != reading.raw) {
        refuse(run,
               fmt::format("the store has other readings of the {}'s probe while this run went "
                           "on, so that it belongs to another bench; import it into a store "
                           "of its own",
                           role_name(role)));
        return std::vector<Reading>{};
      }
      missing.erase({role, reading.time_us});
    }
    std::vector<Reading> list;
    for (const auto& [key, reading] : missing) list.push_back(reading);
    return list;
  }

  struct Known {
    int number = 0;
    int revision = 0;
  };

  const ImportPlan& plan_;
  const Store* look_;
  Store* store_;
  Imported result_;
  std::map<std::string, Known> known_;   ///< runs in the store, by id
  std::map<std::string, int> added_;     ///< of those changed here: revisions before
  std::map<TimeUs, std::string> begun_;  ///< id by first reading
  std::optional<std::size_t> at_hand_;
  ImportFiles files_;
};

}  // namespace

Result<Imported> import_runs(const ImportPlan& plan, const Store* look, Store* store,
                             const std::function<void(int, int)>& progress) {
  return Importer(plan, look, store).import(progress);
}

}  // namespace nestcup
