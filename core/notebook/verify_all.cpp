#include "core/notebook/verify_all.hpp"

#include <fmt/format.h>

#include <limits>
#include <set>
#include <tuple>

#include "core/store/outbox.hpp"

namespace nestcup {
namespace {

class Verifier {
 public:
  explicit Verifier(const VerifyTask& task) : task_(task) {}

  Result<Verification> verify() {
    // In this order the store has at least what the places have, and these at least what was
    // carried, though a daemon may go on meanwhile.
    for (const auto& [path, name] : task_.notebooks) {
      auto carried = carried_to(name);
      if (!carried) return carried.error();
      carried_[path] = std::move(*carried);
    }
    if (auto opened = open_places(); !opened) return opened.error();
    if (task_.store != nullptr) {
      auto checked = Chain(*task_.store).at_one_moment([&] { return check_store(); });
      if (!checked) return checked.error();
    }
    for (const KeptPlace& place : places_) check_place(place);
    compare();
    for (const KeptPlace& place : places_) check_carried(place);
    for (const PlaceChain& chain : found_.chains) {
      if (!chain.faults().empty()) ++found_.wrong;
    }
    found_.wrong += static_cast<int>(found_.problems.size());
    return std::move(found_);
  }

 private:
  Result<void> open_places() {
    for (const std::string& path : task_.places) {
      auto place = task_.open(path);
      if (!place) {
        if (!task_.notebooks.contains(path)) return place.error();
        // A notebook that was never carried to need not be there.
        if (!carried_[path].empty()) found_.problems.push_back(place.error().text);
        continue;
      }
      total_ += static_cast<int>(place->entries().size());
      places_.push_back(std::move(*place));
    }
    return {};
  }

  Result<void> check_store() {
    const Store& store = *task_.store;
    const Chain chain(store);
    const auto head = chain.head();
    if (!head) return head.error();
    const auto links = chain.links(1, std::numeric_limits<int>::max());
    // A store of an older version that is only read has no such table.
    if (!links && !head->book.empty()) return links.error();
    const std::vector<ChainLink> known = links ? *links : std::vector<ChainLink>{};
    const auto runs = store.runs();
    if (!runs) return runs.error();
    total_ += static_cast<int>(runs->size());
    std::set<std::pair<std::string, int>> records;
    for (const StoredRun& run : *runs) {
      auto checked = run_of_store(store, run, head->book, known);
      if (!checked) return checked.error();
      for (const CheckedRevision& one : checked->revisions) records.insert({run.id, one.revision});
      if (!links) leave_links_out(*checked);
      take(verify_run(*checked));
    }
    if (links) add_store_chain(*head, known, records);
    return {};
  }

  /// A store without a chain cannot miss its links.
  static void leave_links_out(CheckedRun& run) {
    for (CheckedRevision& revision : run.revisions) {
      const auto digest = record_sha256(revision.record_json.value_or(""));
      revision.link = ChainLink{0, run.id, revision.revision, digest ? *digest : "", ""};
    }
    run.notes.push_back({"no-chain", run.where + ": the store is of an earlier version and has no "
                                                 "chain of records yet"});
  }

  void add_store_chain(const ChainHead& head, const std::vector<ChainLink>& links,
                       const std::set<std::pair<std::string, int>>& records) {
    PlaceChain chain(task_.store->path(), head.book, true);
    for (const ChainLink& link : links) {
      const std::string row = fmt::format("{}, table link", task_.store->path());
      chain.add(link, std::nullopt, row);
      links_.emplace(link.number, link);
      if (records.contains({link.run_id, link.revision})) continue;
      found_.problems.push_back(
          fmt::format("{}: link {} is of run {}, revision {}, whose record "
                      "is not there",
                      row, link.number, link.run_id, link.revision));
    }
    chain.set_end(head, task_.store->path() + ", table chain");
    if (head.book.empty()) {
      found_.problems.push_back(task_.store->path() + ", table chain: its row is not there");
    }
    chain.check(true);
    found_.chains.push_back(std::move(chain));
  }

  PlaceChain& chain_of(std::vector<PlaceChain>& chains, const KeptPlace& place,
                       const std::string& book) {
    for (PlaceChain& chain : chains) {
      if (chain.book() == book) return chain;
    }
    return chains.emplace_back(place.path(), book, false);
  }

  /// The run as it is now: a revision may have come in while others were checked.
  static std::pair<Proof, RunVerdict> checked(const KeptRun& run, bool is_files) {
    RunVerdict verdict = verify_run(run_of_files(run));
    if (verdict.well() || !is_files) return {run.proof, std::move(verdict)};
    const auto later = KeptPlace::open(run.where);
    if (!later || later->entries().size() != 1) return {run.proof, std::move(verdict)};
    const KeptEntry& entry = later->entries().front();
    const auto again = later->read(entry);
    if (!again || entry.proof.revisions.size() <= run.proof.revisions.size()) {
      return {run.proof, std::move(verdict)};
    }
    return {entry.proof, verify_run(run_of_files(*again))};
  }

  void check_place(const KeptPlace& place) {
    std::vector<PlaceChain> chains;
    for (const KeptEnd& end : place.ends()) {
      chain_of(chains, place, end.kept.head.book).set_end(end.kept.head, end.where);
    }
    for (const KeptEntry& entry : place.entries()) {
      const auto run = place.read(entry);
      if (!run) {
        found_.problems.push_back(run.error().text);
        continue;
      }
      auto [proof, verdict] = checked(*run, place.is_files());
      PlaceChain& chain = chain_of(chains, place, proof.book);
      for (const ProofRevision& one : proof.revisions) {
        chain.add(one.link, one.previous_sha256, entry.where + '/' + entry.proof_file);
        records_[place.path()].insert({one.link.run_id, one.revision, one.link.record_sha256});
      }
      take(verdict);
    }
    for (const KeptLink& one : place.links()) {
      chain_of(chains, place, one.book).add(one.link, one.previous_sha256, one.where);
    }
    for (const std::string& problem : place.problems()) found_.problems.push_back(problem);
    for (PlaceChain& chain : chains) found_.chains.push_back(std::move(chain));
  }

  /// Checks the chains of places, each against the store's, or that of the first place that has it.
  void compare() {
    std::map<std::string, std::size_t> first;
    for (std::size_t i = 0; i < found_.chains.size(); ++i) {
      PlaceChain& chain = found_.chains[i];
      const auto [reference, is_first] = first.emplace(chain.book(), i);
      if (chain.is_store()) continue;
      const PlaceChain& other = found_.chains[reference->second];
      // What the store's own notebooks must have, its outbox knows.
      const bool is_own = other.is_store() && task_.notebooks.contains(chain.where());
      chain.check(!is_own);
      if (!is_first) chain.check_against(other);
    }
  }

  /// Everything that was carried to a notebook must be there, be it as a link of another chain
  /// (that of a store that was lost and imported back).
  void check_carried(const KeptPlace& place) {
    LinkRanges missing;
    std::string what;
    for (const int number : carried_[place.path()]) {
      const auto link = links_.find(number);
      if (link == links_.end()) continue;
      const ChainLink& one = link->second;
      if (records_[place.path()].contains({one.run_id, one.revision, one.record_sha256})) continue;
      if (missing.empty() || missing.back().second != number - 1) {
        missing.emplace_back(number, number);
      }
      missing.back().second = number;
      what += "; " + link_text(one);
    }
    if (missing.empty()) return;
    found_.problems.push_back(fmt::format("{}: has no {} any more, though {} carried that here{}",
                                          place.path(), link_words(missing), task_.store->path(),
                                          what));
  }

  /// The links that the store says it carried to this notebook of its bench.
  Result<std::set<int>> carried_to(const std::string& name) {
    std::set<int> carried;
    if (task_.store == nullptr) return carried;
    const auto head = Chain(*task_.store).head();
    if (!head) return head.error();
    if (head->book.empty()) return carried;
    const OutboxView outbox(*task_.store);
    const auto last = outbox.last_carried(name);
    if (!last) return last.error();
    const auto owed = outbox.owed(name, 0, std::numeric_limits<int>::max());
    if (!owed) return owed.error();
    const auto links = Chain(*task_.store).links(1, *last);
    if (!links) return links.error();
    for (const ChainLink& link : *links) carried.insert(link.number);
    for (const OwedRevision& one : *owed) carried.erase(one.link);
    return carried;
  }

  void take(const RunVerdict& verdict) {
    ++(verdict.well() ? found_.well : found_.wrong);
    task_.take(verdict);
    task_.progress(++done_, total_);
  }

  const VerifyTask& task_;
  std::vector<KeptPlace> places_;
  std::map<std::string, std::set<int>> carried_;  ///< links, by the notebook's path
  std::map<int, ChainLink> links_;                ///< of the store
  /// Run, revision and digest of the records that a place has.
  std::map<std::string, std::set<std::tuple<std::string, int, std::string>>> records_;
  Verification found_;
  int done_ = 0;
  int total_ = 0;
};

}  // namespace

Result<Verification> verify_all(const VerifyTask& task) {
  return Verifier(task).verify();
}

}  // namespace nestcup
