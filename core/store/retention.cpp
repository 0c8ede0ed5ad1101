#include "core/store/retention.hpp"

#include <algorithm>
#include <limits>
#include <optional>

#include "core/store/store_file.hpp"
#include "core/store/store_inner.hpp"

namespace nestcup {

namespace {

/// Runs that one step passes by, some ten microseconds each.
constexpr int most_skipped = 100;

/// One number of the first row; nothing where there is no row, or NULL in it.
Result<std::optional<TimeUs>> time_answer(Statement& statement) {
  const auto row = statement.step();
  if (!row) return row.error();
  if (!*row || statement.is_null(0)) return std::optional<TimeUs>{};
  return std::optional<TimeUs>{statement.whole(0)};
}

/// The first reading with from_us <= time_us < before_us.
Result<std::optional<TimeUs>> first_reading(const Database& database, TimeUs from_us,
                                            TimeUs before_us) {
  auto statement = database.prepare(
      "SELECT time_us FROM reading WHERE time_us >= ? AND time_us < ? ORDER BY time_us LIMIT 1");
  if (!statement) return statement.error();
  return time_answer(statement->bind(1, from_us).bind(2, before_us));
}

/// The time of the reading that stands `most` behind the one at from_us; before_us where there are
/// fewer.
Result<TimeUs> end_of_step(const Database& database, TimeUs from_us, TimeUs before_us,
                           std::int64_t most) {
  auto statement = database.prepare(
      "SELECT time_us FROM reading WHERE time_us >= ? AND time_us < ? ORDER BY time_us "
      "LIMIT 1 OFFSET ?");
  if (!statement) return statement.error();
  const auto found = time_answer(statement->bind(1, from_us).bind(2, before_us).bind(3, most));
  if (!found) return found.error();
  // All readings of one moment go together: at least one moment a step.
  return found->has_value() ? std::max(**found, from_us + 1) : before_us;
}

/// Removes readings and counts them out, in one transaction. @return how many
Result<std::int64_t> remove_between(Database& database, TimeUs from_us, TimeUs before_us) {
  std::int64_t removed = 0;
  const auto done = database.in_transaction([&]() -> Result<void> {
    auto statement = database.prepare("DELETE FROM reading WHERE time_us >= ? AND time_us < ?");
    if (!statement) return statement.error();
    if (auto ran = statement->bind(1, from_us).bind(2, before_us).run(); !ran) return ran;
    removed = database.changed();
    auto total = database.prepare("UPDATE reading_total SET rows = rows - ? WHERE id = 1");
    if (!total) return total.error();
    return total->bind(1, removed).run();
  });
  if (!done) return done.error();
  return removed;
}

}  // namespace

Result<Retention> Retention::begin(const Store& store, TimeUs before_us) {
  const auto newest = store.last_reading_us();
  if (!newest) return newest.error();
  const TimeUs newest_us = newest->value_or(std::numeric_limits<TimeUs>::min() / 2);
  auto statement = store.inner_->prepare("SELECT first_us, last_us FROM run ORDER BY first_us");
  if (!statement) return statement.error();
  std::vector<Span> kept;
  for (auto row = statement->step();; row = statement->step()) {
    if (!row) return row.error();
    if (!*row) break;
    const Span run{statement->whole(0), statement->whole(1)};
    if (!kept.empty() && run.first_us <= kept.back().last_us) {
      kept.back().last_us = std::max(kept.back().last_us, run.last_us);
    } else {
      kept.push_back(run);
    }
  }
  return Retention(std::move(kept), std::min(before_us, newest_us - always_kept_us));
}

Result<std::optional<std::int64_t>> Retention::step(Store& store, std::int64_t most) {
  const auto database = store.inner_->writable();
  if (!database) return database.error();
  for (int skipped = 0; skipped < most_skipped; ++skipped) {
    const auto first = first_reading(**database, from_us_, before_us_);
    if (!first) return first.error();
    if (!*first) return std::optional<std::int64_t>{};
    const TimeUs first_us = **first;
    while (next_kept_ < kept_.size() && kept_[next_kept_].last_us < first_us) ++next_kept_;
    const bool has_run = next_kept_ < kept_.size();
    if (has_run && kept_[next_kept_].first_us <= first_us) {
      from_us_ = kept_[next_kept_].last_us + 1;
      continue;
    }
    const TimeUs stop_us = has_run ? std::min(before_us_, kept_[next_kept_].first_us) : before_us_;
    const auto end_us = end_of_step(**database, first_us, stop_us, most);
    if (!end_us) return end_us.error();
    const auto removed = remove_between(**database, first_us, *end_us);
    if (!removed) return removed.error();
    from_us_ = *end_us;
    return std::optional<std::int64_t>{*removed};
  }
  return std::optional<std::int64_t>{0};
}

Result<FilePages> Retention::pages(const Store& store) {
  const auto database = store.inner_->database();
  if (!database) return database.error();
  const auto all = (*database)->whole_answer("PRAGMA page_count");
  if (!all) return all.error();
  const auto free = (*database)->whole_answer("PRAGMA freelist_count");
  if (!free) return free.error();
  const auto kind = (*database)->whole_answer("PRAGMA auto_vacuum");
  if (!kind) return kind.error();
  return FilePages{*all, *free, *kind == incremental_vacuum};
}

Result<std::int64_t> Retention::give_back(Store& store, std::int64_t most) {
  const auto found = pages(store);
  if (!found) return found.error();
  const std::int64_t reserve = std::max<std::int64_t>(256, found->all / 8);
  const std::int64_t count = std::min(found->free - reserve, most);
  if (!found->can_be_given_back || count <= 0) return std::int64_t{0};
  const auto database = store.inner_->writable();
  if (!database) return database.error();
  const auto done = (*database)->in_transaction([&]() -> Result<void> {
    return (*database)->run("PRAGMA incremental_vacuum(" + std::to_string(count) + ")");
  });
  if (!done) return done.error();
  return count;
}

}  // namespace nestcup
