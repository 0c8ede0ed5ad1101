#include "core/notebook/carrier.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <random>
#include <set>

#include "core/base/time_text.hpp"

namespace nestcup {
namespace {

constexpr int batch = 64;
constexpr TimeUs day_us = 86'400'000'000;
// A month by the clock on the wall may lie this far from the same month on the bench's axis.
constexpr TimeUs month_slack_us = 40 * day_us;

double by_chance() {
  static std::random_device device;
  return std::generate_canonical<double, 32>(device);
}

class Pass {
 public:
  Pass(const Store& store, Notebook& notebook, OutboxNotes& notes, const CarryOptions& options)
      : store_(store), outbox_(store), notebook_(notebook), notes_(notes), options_(options) {}

  Result<CarryCount> run() {
    if (auto counted = count_waiting(); !counted) return counted.error();
    auto first = next_owed(0);
    if (!first) return first.error();
    if (first->has_value() && (*first)->next_try_us > options_.now_us()) {
      count_.next_try_us = (*first)->next_try_us;
      return count_;
    }
    const auto last = outbox_.last_carried(notebook_.name());
    if (!last) return last.error();
    if (auto begun = notebook_.begin(*last > 0); !begun) {
      // The place fails, so no revision is to blame: none is blocked for it.
      const Error passing{Fault::unavailable, begun.error().text};
      if (auto noted = give_up(*first, passing); !noted) return noted.error();
      return count_;
    }
    if (auto carried = carry_all(); !carried) return carried.error();
    if (count_.failure.empty()) {
      if (auto kept = keep_end(); !kept) {
        count_.failure = kept.error().text;
        count_.next_try_us = next_try_us(options_.failed_passes);
      }
    }
    return count_;
  }

 private:
  /// What came to a month in this pass.
  struct Month {
    TimeUs first_us = std::numeric_limits<TimeUs>::max();
    TimeUs last_us = 0;
    std::vector<IndexLine> lines;
  };

  Result<void> count_waiting() {
    const auto waiting = outbox_.waiting(notebook_.name());
    if (!waiting) return waiting.error();
    count_.waiting = *waiting;
    return {};
  }

  /// The first that is owed behind the link `after` and not blocked.
  Result<std::optional<OwedRevision>> next_owed(int after) {
    while (true) {
      if (ahead_.empty()) {
        auto more = outbox_.owed(notebook_.name(), after, batch);
        if (!more) return more.error();
        if (more->empty()) return std::optional<OwedRevision>{};
        ahead_ = std::move(*more);
      }
      const auto found = std::find_if(ahead_.begin(), ahead_.end(), [&](const OwedRevision& one) {
        return !one.blocked && one.link > after;
      });
      if (found != ahead_.end()) return std::optional<OwedRevision>{*found};
      after = std::max(after, ahead_.back().link);
      ahead_.clear();
    }
  }

  Result<void> carry_all() {
    int after = 0;
    while (options_.go_on()) {
      const auto owed = next_owed(after);
      if (!owed) return owed.error();
      if (!owed->has_value()) return {};
      if (auto done = carry_one(**owed); !done) return done;
      if (!count_.failure.empty()) return {};
      after = (*owed)->link;
    }
    return {};
  }

  Result<void> carry_one(const OwedRevision& owed) {
    EntryOptions wanted = options_.entry;
    wanted.charts = wanted.charts && notebook_.wants_charts();
    const auto entry = run_entry(store_, owed.run_id, owed.revision, wanted);
    auto arrival = entry ? notebook_.bring(*entry) : Result<Arrival>(entry.error());
    if (!arrival) return give_up(owed, arrival.error());
    if (auto noted = notes_.carried(owed, options_.now_us()); !noted) return noted;
    ++count_.carried;
    --count_.waiting;
    late_ = std::min(late_, owed.link);
    for (std::string& remark : arrival->remarks) count_.remarks.push_back(std::move(remark));
    options_.tell(owed, count_.waiting);
    return {};
  }

  /// When to try again what failed now, and so many times before.
  [[nodiscard]] TimeUs next_try_us(int failed_before) const {
    const double own_s = pause_s(failed_before + 1, by_chance());
    return options_.now_us() + to_us(std::max(own_s, notebook_.wanted_pause_s()));
  }

  /// Notes that an attempt failed; ends the pass unless the revision is blocked.
  Result<void> give_up(const std::optional<OwedRevision>& owed, const Error& error) {
    FailedAttempt attempt{error.text, error.kind == Fault::bad_data, 0};
    if (!attempt.blocked) {
      attempt.next_try_us = next_try_us(owed ? owed->attempts : options_.failed_passes);
      count_.failure = error.text;
      count_.next_try_us = attempt.next_try_us;
    } else {
      ++count_.blocked;
      --count_.waiting;
    }
    return owed ? notes_.failed(*owed, attempt) : Result<void>{};
  }

  /// Keeps in the notebook where the chain ends, and the index of each month that changed since.
  Result<void> keep_end() {
    const Chain chain(store_);
    const auto head = chain.head();
    if (!head) return head.error();
    const auto last = outbox_.last_carried(notebook_.name());
    if (!last) return last.error();
    const auto bench = bench_at(chain, *last);
    if (!bench) return bench.error();
    const auto kept = notebook_.head(head->book, *bench);
    if (!kept) return kept.error();
    if (kept->head.links > head->links) {
      count_.remarks.push_back(fmt::format(
          "{} knows {} records of this bench, the store has {}: records are missing from the "
          "store; nestcup verify says which, nestcup import brings them back",
          notebook_.name(), kept->head.links, head->links));
      return {};
    }
    const auto same = agrees_with(chain, kept->head);
    if (!same) return same.error();
    if (!*same) {
      count_.remarks.push_back(fmt::format(
          "{} keeps another record as number {} of this bench than the store has: the store was "
          "changed, or is an old copy that went on; nestcup verify says more. Its end of the chain "
          "stays as it is",
          notebook_.name(), kept->head.links));
      return {};
    }
    const int from = std::min(kept->head.links + 1, late_);
    if (*last < from) return {};
    const auto news = chain.links(from, *last);
    if (!news) return news.error();
    KeptHead now{"", {head->book, *last, news->back().sha256}};
    if (auto indexed = keep_indexes(*news, now); !indexed) return indexed;
    return *last > kept->head.links ? notebook_.keep_head(now) : Result<void>{};
  }

  /// The bench's name in the record that the notebook got last; "" where it has got none.
  [[nodiscard]] Result<std::string> bench_at(const Chain& chain, int last) const {
    const auto link = chain.links(last, last);
    if (!link) return link.error();
    if (link->empty()) return std::string{};
    const auto run = store_.find_run(link->front().run_id);
    if (!run) return run.error();
    const Json record = Json::parse(run->record_json);
    return record.at("bench").is_string() ? record["bench"].get<std::string>() : std::string{};
  }

  /// Whether the store's chain still has the link that the notebook keeps as the last.
  static Result<bool> agrees_with(const Chain& chain, const ChainHead& kept) {
    if (kept.links == 0) return true;
    const auto link = chain.links(kept.links, kept.links);
    if (!link) return link.error();
    return !link->empty() && link->front().sha256 == kept.last_sha256;
  }

  /// @param now  gets the bench's name
  Result<void> keep_indexes(const std::vector<ChainLink>& news, KeptHead& now) {
    std::map<std::string, Month> months;
    std::set<std::string> seen;
    for (const ChainLink& link : news) {
      if (!seen.insert(link.run_id).second) continue;
      const auto run = store_.find_run(link.run_id);
      if (!run) return run.error();
      // What was never carried may be no record at all.
      const auto there = outbox_.has_run(notebook_.name(), run->number);
      if (!there) return there.error();
      if (!*there) continue;
      Json record = Json::parse(run->record_json);
      if (record.at("bench").is_string()) now.bench = record["bench"].get<std::string>();
      Month& month = months[month_of(record)];
      month.first_us = std::min(month.first_us, run->first_us);
      month.last_us = std::max(month.last_us, run->first_us);
      if (auto added = add_line(*run, std::move(record), month.lines); !added) return added;
    }
    for (auto& [name, month] : months) {
      if (auto kept = keep_index(now, name, std::move(month)); !kept) return kept;
    }
    return {};
  }

  Result<void> add_line(const StoredRun& run, Json record, std::vector<IndexLine>& lines) const {
    const auto folder = folder_of(run, record);
    if (!folder) return folder.error();
    lines.push_back({*folder, std::move(record)});
    return {};
  }

  /// The name of a run's folder, which its first record gives.
  [[nodiscard]] Result<std::string> folder_of(const StoredRun& run, const Json& newest) const {
    if (run.revision == 1) return entry_folder(newest);
    const auto revisions = store_.revisions(run.id);
    if (!revisions) return revisions.error();
    return entry_folder(Json::parse(revisions->front().record_json));
  }

  /// Every run of a month that the notebook has.
  [[nodiscard]] Result<std::vector<IndexLine>> whole_month(const std::string& name,
                                                           const Month& month) const {
    const auto runs =
        store_.runs_between(month.first_us - month_slack_us, month.last_us + month_slack_us);
    if (!runs) return runs.error();
    std::vector<IndexLine> lines;
    for (const StoredRun& run : *runs) {
      const auto there = outbox_.has_run(notebook_.name(), run.number);
      if (!there) return there.error();
      if (!*there) continue;
      Json record = Json::parse(run.record_json);
      if (month_of(record) != name) continue;
      if (auto added = add_line(run, std::move(record), lines); !added) return added.error();
    }
    return lines;
  }

  Result<void> keep_index(const KeptHead& now, const std::string& name, Month month) {
    IndexNews news{name, std::move(month.lines), [&] { return whole_month(name, month); }};
    auto remarks = notebook_.keep_index(now, news);
    if (!remarks) return remarks.error();
    for (std::string& remark : *remarks) count_.remarks.push_back(std::move(remark));
    return {};
  }

  const Store& store_;
  OutboxView outbox_;
  Notebook& notebook_;
  OutboxNotes& notes_;
  const CarryOptions& options_;
  std::vector<OwedRevision> ahead_;
  /// The first link carried in this pass; one that was blocked may come after later ones.
  int late_ = std::numeric_limits<int>::max();
  CarryCount count_;
};

}  // namespace

double pause_s(int failures, double chance) {
  constexpr double first_s = 5.0;
  constexpr double longest_s = 3600.0;
  constexpr double spread = 0.4;
  const double plain_s = std::min(first_s * std::exp2(std::max(failures, 1) - 1), longest_s);
  return plain_s * (1.0 - spread / 2.0 + spread * chance);
}

Result<CarryCount> carry(const Store& store, Notebook& notebook, OutboxNotes& notes,
                         const CarryOptions& options) {
  try {
    return Pass(store, notebook, notes, options).run();
  } catch (const Json::exception& problem) {
    return Error{Fault::bad_data,
                 fmt::format("{}: a record that was carried before cannot be read any more: {}",
                             store.path(), problem.what())};
  }
}

}  // namespace nestcup
